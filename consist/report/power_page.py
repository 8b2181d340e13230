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
from consist.report.session_page import CLOSING
from consist.report.units import Units
from consist.report.words import clean, counted, listing, paragraph
from consist.session import Session

__all__ = ["HOW_TO_MEASURE", "power_page", "power_text"]

HOW_TO_MEASURE = (
    "Set the engine on level, clean track and tie a thread to its coupler. Lead the thread level to a pulley that "
    "turns freely at the end of the track, and down to a weight that stands on a scale and is heavier than the pull. "
    "Open the throttle until the drivers slip, and note by how much the scale shows less than before: that is the "
    "pull. Do it three times and enter the middle reading in engines.csv, as pull_g in grams or pull_oz in ounces."
)
"""How a pull is measured, in words for the page."""
LEGEND = (
    "Use is the greatest part of the engines' usable pull that the train asks for; the house's reserve is kept back."
)


def power_text(
    session: Session, plan: PowerPlan, units: Units, *, width: int = PIPED_WIDTH, colour: bool = False
) -> str:
    """The page as one string ending in a newline."""
    return as_text(power_page(session, plan, units, width), width, colour)


def power_page(session: Session, plan: PowerPlan, units: Units, width: int) -> list[Text]:
    """The page as lines of `width` columns at most."""
    title = f"Engines for {clean(plan.session)}"
    lines = [banner(title, None, width), *paragraph(_in_short(session, plan), width, indent=0)]
    if not plan.trains:
        lines.append(Text("No train is in this session yet; add a [[train]] to session.toml."))
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


def _in_short(session: Session, plan: PowerPlan) -> str:
    """Layout, engines used and assigned, trains short, and whether it is proven."""
    run = f"{plan.engines_used} of {counted(len(session.engines), 'engine')} run"
    assigned = f"{plan.engines_assigned} assigned, an engine counting once for each of its trains"
    said = f"Layout {clean(plan.layout)}. {counted(len(plan.trains), 'train')}: {run}; {assigned}."
    short = listing([clean(name) for name in plan.short])
    said += f" SHORT of power: {short}." if short else " Every train has power."
    if plan.proven:
        less = "leaves fewer short or does with fewer engines" if short else "does with fewer engines"
        return f"{said} Proven: no plan of the trains with times {less}."
    return f"{said} Not proven: a plan with fewer engines may exist."


def _measuring(plan: PowerPlan, width: int) -> list[Text]:
    names = [clean(name) for name in plan.worth_measuring]
    if not names:
        return paragraph("None: every train given engines moves even if those not measured pull a fifth less.", width)
    which, have, pull = ("Engine", "has", "it pulls") if len(names) == 1 else ("Engines", "have", "they pull")
    told = (
        f"{which} {listing(names)} {have} no measured pull, and a train is short of power if {pull} a fifth less "
        "than reckoned."
    )
    return [*paragraph(told, width), *paragraph(HOW_TO_MEASURE, width, label="To measure:", style="bold")]
