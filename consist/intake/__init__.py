"""Intake: the user's files read to checked records, every problem told with file, row, column and cure."""

from __future__ import annotations

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
