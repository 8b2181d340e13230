"""Learning: what really happened on a railroad, and what it teaches of its limits."""

from __future__ import annotations

from consist.learning.learn import learn
from consist.learning.log import log_run, undo_run
from consist.learning.results import EngineTold, Learned, Shifted

__all__ = ["EngineTold", "Learned", "Shifted", "learn", "log_run", "undo_run"]
