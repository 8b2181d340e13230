"""An evening's power on a page: engines for every train, every engine through the evening, and what is behind it."""

from __future__ import annotations

from rich.text import Text

from consist.power import PowerPlan
from consist.report.headings import banner, heading
from consist.report.page import PIPED_WIDTH, as_text
from consist.report.power_given import given_and_planned
from consist.report.power_short import short_trains
from consist.report.power_table import needs, plan_table
from consist.report.power_timeline import timeline
from consist.report.power_told import HOW_TO_MEASURE, LEGEND, in_short, measuring_words
from consist.report.session_page import CLOSING
from consist.report.session_words import NO_TRAIN
from consist.report.units import Units
from consist.report.words import clean, paragraph
from consist.session import Session

__all__ = ["power_page", "power_text"]


def power_text(
    session: Session, plan: PowerPlan, units: Units, *, width: int = PIPED_WIDTH, colour: bool = False
) -> str:
    """The page as one string ending in a newline."""
    return as_text(power_page(session, plan, units, width), width, colour)


def power_page(session: Session, plan: PowerPlan, units: Units, width: int) -> list[Text]:
    """The page as lines of `width` columns at most."""
    title = f"Engines for {clean(plan.session)}"
    lines = [banner(title, None, width), *paragraph(in_short(session, plan), width, indent=0)]
    if not plan.trains:
        lines.append(Text(NO_TRAIN))
        return [*lines, Text(), *paragraph(CLOSING, width, indent=0)]
    lines += [Text(), *plan_table(plan, width), *paragraph(LEGEND, width)]
    if plan.short:
        lines += [*heading("Short of power"), *short_trains(plan, width)]
    lines += [*heading("Every engine through the evening"), *timeline(session, plan, width)]
    lines += [*heading("What would do"), *needs(session, plan, units, width)]
    lines += [*heading("As given in the session and as planned"), *given_and_planned(plan, width)]
    lines += [*heading("Worth measuring"), *_measuring(plan, width)]
    notes = (*plan.notes, *session.notes)
    if notes:
        lines += heading("Notes")
        for note in notes:
            lines += paragraph(clean(note), width, label="-")
    return [*lines, Text(), *paragraph(CLOSING, width, indent=0)]


def _measuring(plan: PowerPlan, width: int) -> list[Text]:
    lines = paragraph(measuring_words(plan), width)
    if plan.worth_measuring:
        lines += paragraph(HOW_TO_MEASURE, width, label="To measure:", style="bold")
    return lines
