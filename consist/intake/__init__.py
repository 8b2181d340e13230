"""Intake: the user's files read to checked records, every problem told with file, row, column and cure."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from consist.intake.cars import read_cars
    from consist.intake.layout import read_layout
    from consist.intake.new import new_session
    from consist.intake.rewrite import check_table_name, write_reordered
    from consist.intake.session import read_session
    from consist.intake.writing import write_whole

__all__ = [
    "check_table_name",
    "new_session",
    "read_cars",
    "read_layout",
    "read_session",
    "write_reordered",
    "write_whole",
]

_FROM = {
    "check_table_name": "rewrite",
    "new_session": "new",
    "read_cars": "cars",
    "read_layout": "layout",
    "read_session": "session",
    "write_reordered": "rewrite",
    "write_whole": "writing",
}


def __getattr__(name: str) -> Any:
    # the records are used all over the house, and a target weight needs none of the readers
    if name in _FROM:
        return getattr(import_module(f"consist.intake.{_FROM[name]}"), name)
    raise AttributeError(f"module 'consist.intake' has no attribute '{name}'")
