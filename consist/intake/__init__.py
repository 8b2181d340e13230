"""Intake: the user's files to cars, engines, track and trains, every problem told with file, row, column and cure.

And back: weights and standing orders into the owner's own tables.
"""

from __future__ import annotations

from consist.intake.fields import Field, declared, declared_tables
from consist.intake.files import Reading
from consist.intake.hardest import Hard, HardestPlaces, hardest_layout, longest_train_mm, route_over
from consist.intake.headings import ColumnGuess, Guessed, guess
from consist.intake.importing import check_headings, problems_of, proposed, taken_of, write_copy, write_map
from consist.intake.layout import read_layout
from consist.intake.new import new_session
from consist.intake.resave import Brought, Kept, RowOfCar, saved_files
from consist.intake.reweigh import Recorded, WeightChange, record_figure, record_weights
from consist.intake.rewrite import check_table_name, trains_table, write_reordered
from consist.intake.rows import Given
from consist.intake.runs import (
    RUNS,
    Doing,
    Happened,
    LoggedRun,
    StretchUses,
    append_run,
    read_runs,
    take_back_run,
)
from consist.intake.session import SessionRead, TrainRead, own_standard, read_layout_and_engines, read_session
from consist.intake.stock import KNOWN_PIECES, PieceKind, cars_of, pieces_at_hand, read_cars, read_pieces
from consist.intake.table_map import TableMap
from consist.intake.trains import TrainRow
from consist.intake.writing import check_output, same_file, session_files, turn_to_write, write_whole

__all__ = [
    "KNOWN_PIECES",
    "RUNS",
    "Brought",
    "ColumnGuess",
    "Doing",
    "Field",
    "Given",
    "Guessed",
    "Happened",
    "Hard",
    "HardestPlaces",
    "Kept",
    "LoggedRun",
    "PieceKind",
    "Reading",
    "Recorded",
    "RowOfCar",
    "SessionRead",
    "StretchUses",
    "TableMap",
    "TrainRead",
    "TrainRow",
    "WeightChange",
    "append_run",
    "cars_of",
    "check_headings",
    "check_output",
    "check_table_name",
    "declared",
    "declared_tables",
    "guess",
    "hardest_layout",
    "longest_train_mm",
    "new_session",
    "own_standard",
    "pieces_at_hand",
    "problems_of",
    "proposed",
    "read_cars",
    "read_layout",
    "read_layout_and_engines",
    "read_pieces",
    "read_runs",
    "read_session",
    "record_figure",
    "record_weights",
    "route_over",
    "same_file",
    "saved_files",
    "session_files",
    "take_back_run",
    "taken_of",
    "trains_table",
    "turn_to_write",
    "write_copy",
    "write_map",
    "write_reordered",
    "write_whole",
]
