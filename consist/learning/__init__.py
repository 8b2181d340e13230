"""Learning: how sure a check is and what would make it surer; what really happened, and what that teaches."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.lazy_front import lazy_front

if TYPE_CHECKING:
    from consist.learning.lessons import learn
    from consist.learning.log import log_run, undo_run
    from consist.learning.results import EngineTold, Learned, Shifted

__all__ = ["EngineTold", "Learned", "Shifted", "learn", "log_run", "undo_run"]

_ROOMS = {
    "lessons": ("learn",),
    "log": ("log_run", "undo_run"),
    "results": ("EngineTold", "Learned", "Shifted"),
}
# a check asks for ranges alone, and is not to load what learning needs
__getattr__ = lazy_front(
    __name__, {name: f"consist.learning.{file}" for file, names in _ROOMS.items() for name in names}
)
