"""How people write yes and no in a cell."""

from __future__ import annotations

__all__ = ["NO", "YES"]

YES = ("yes", "y", "true", "1", "x", "ok")
NO = ("no", "n", "false", "0")
