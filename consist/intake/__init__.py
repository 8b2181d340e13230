"""Intake: the user's files read to checked records, every problem told with file, row, column and cure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.lazy_front import lazy_front

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
    "check_table_name": "consist.intake.rewrite",
    "new_session": "consist.intake.new",
    "read_cars": "consist.intake.cars",
    "read_layout": "consist.intake.layout",
    "read_session": "consist.intake.session",
    "write_reordered": "consist.intake.rewrite",
    "write_whole": "consist.intake.writing",
}

__getattr__ = lazy_front(__name__, _FROM)
