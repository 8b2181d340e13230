"""Pages put together and turned into text, with colour only where it is wanted."""

from __future__ import annotations

from collections.abc import Sequence
from io import StringIO

from rich.console import Console
from rich.text import Text

from consist.checking.results import SessionCheck
from consist.report.session_page import session_page
from consist.report.train_page import train_page
from consist.report.units import Units
from consist.session import Session

__all__ = ["LEAST_WIDTH", "MOST_WIDTH", "PIPED_WIDTH", "as_text", "session_text"]

PIPED_WIDTH = 80
LEAST_WIDTH, MOST_WIDTH = 60, 100


def session_text(
    session: Session,
    check: SessionCheck,
    units: Units,
    *,
    width: int = PIPED_WIDTH,
    colour: bool = False,
    train_pages: bool = True,
) -> str:
    """The session's page, and a page for each train checked."""
    lines = session_page(session, check, units, width)
    trains = {train.name: train for train in session.trains}
    if train_pages:
        for result in check.trains:
            lines += [Text(), Text(), *train_page(session, trains[result.train], result, units, width)]
    return as_text(lines, width, colour)


def as_text(lines: Sequence[Text], width: int = PIPED_WIDTH, colour: bool = False) -> str:
    """Lines as one string ending in a newline; without colour there is not one control code in it."""
    if not colour:
        return "\n".join(line.plain.rstrip() for line in lines) + "\n"
    out = StringIO()
    console = Console(
        file=out,
        width=width,
        force_terminal=True,
        color_system="standard",
        legacy_windows=False,
        markup=False,
        highlight=False,
        emoji=False,
    )
    for line in lines:
        console.print(line, soft_wrap=True)
    return out.getvalue()
