"""What the terminal, file or pipe that the pages go to can show."""

from __future__ import annotations

import os
import shutil
import sys
from dataclasses import dataclass

from consist.report.page import LEAST_WIDTH, MOST_WIDTH, PIPED_WIDTH

__all__ = ["Terminal", "this_terminal"]


@dataclass(frozen=True)
class Terminal:
    """The width to print at, and whether colour is wanted."""

    width: int = PIPED_WIDTH
    colour: bool = False


def this_terminal() -> Terminal:
    """That of stdout. A pipe or file gets 80 columns without colour; so does NO_COLOR no colour."""
    if sys.stdout is None or not sys.stdout.isatty():
        return Terminal()
    columns = shutil.get_terminal_size((PIPED_WIDTH, 24)).columns
    plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM") == "dumb"
    return Terminal(min(max(columns, LEAST_WIDTH), MOST_WIDTH), not plain)
