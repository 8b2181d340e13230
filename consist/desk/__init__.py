"""The desk: the evening live, changed by several people at once; its logic here, served by `consist.desk.server`."""

from __future__ import annotations

from consist.desk.desk import Desk, Done, Entry, StaleError, Who

__all__ = ["Desk", "Done", "Entry", "StaleError", "Who"]
