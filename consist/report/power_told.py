"""What the power page and its sheet both say: the plan in short, what would do, and trains left short."""

from __future__ import annotations

from consist.power import PowerPlan, TrainPower
from consist.report.figure_words import past_words
from consist.report.power_words import MANY_MORE, combos_words, in_order
from consist.report.units import Units
from consist.report.words import at, clean, counted, listing, percent
from consist.session import Session, Train

__all__ = [
    "HOW_TO_MEASURE",
    "LEGEND",
    "NO_OPTION",
    "SHORT",
    "differing",
    "given_words",
    "has_words",
    "in_short",
    "measuring_words",
    "needs_words",
    "short_words",
]

SHORT = "SHORT"
NO_OPTION = "Nothing that was looked at mends it."
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


def in_short(session: Session, plan: PowerPlan) -> str:
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


def needs_words(train: Train, power: TrainPower, units: Units, many_more: str = MANY_MORE) -> str:
    """The combinations that would do, and where the engines the train has are nearest to their limit.

    `many_more` says where those are that are too many to tell.
    """
    said = f"{combos_words(power.combos, many_more)}."
    if power.assigned and power.tightest is not None:
        said += f" Tightest {_tightest(train, power, units)}."
    return said


def _tightest(train: Train, power: TrainPower, units: Units) -> str:
    assert power.tightest is not None
    where = clean(at(power.tightest.place))
    head = past_words(train, power.tightest.head_mm, units)
    return where if head.startswith("at ") else f"{where}, head end {head}"


def short_words(train: TrainPower, many_more: str = MANY_MORE) -> str:
    """What stands at the first place of a train that is short, and what it would take."""
    return f"{has_words(train)} It takes {combos_words(train.combos, many_more)}."


def has_words(train: TrainPower) -> str:
    """The engines that a train left short has, or that stand at its first place."""
    start = clean(train.start)
    engines = train.assigned or train.at_hand
    if not engines:
        return f"No engine is free at {start}."
    names = listing([clean(name) for name in engines])
    one = len(engines) == 1
    have = f"It has only {names}" if train.assigned else f"At {start} there {'is' if one else 'are'} only {names}"
    if train.use is None:
        return f"{have}, which {'has' if one else 'have'} no pull to use at the hardest place."
    where = "" if train.tightest is None else f" {clean(at(train.tightest.place))}"
    return f"{have}, asked for {percent(train.use)} of {'its' if one else 'their'} usable pull{where}."


def differing(plan: PowerPlan) -> list[TrainPower]:
    """The trains whose engines are not those that the session gives; none where it gives none at all."""
    if not any(train.given for train in plan.trains):
        return []
    return [train for train in in_order(plan) if set(train.given) != set(train.assigned)]


def given_words(plan: PowerPlan) -> str:
    """How many engines the session gives and the plan runs, and which trains are not told apart."""
    given = {engine for train in plan.trains for engine in train.given}
    if not given:
        return f"The session gives no engine to any train; the plan runs {plan.engines_used}."
    differ = differing(plan)
    if not differ:
        return "The session gives every train the engines planned here."
    told = f"The session gives {counted(len(given), 'engine')} in all, the plan {plan.engines_used}."
    if any(train.given_use is not None and train.given_use > 1.0 for train in differ):
        told += " A use over 100 % is too little power."
    same = sum(bool(train.given) and train not in differ for train in plan.trains)
    if same:
        told += f" The other {'train has' if same == 1 else f'{same} trains have'} the same engines in both."
    return told


def measuring_words(plan: PowerPlan) -> str:
    """Which engines' pull is worth measuring."""
    names = [clean(name) for name in plan.worth_measuring]
    if not names:
        return "None: every train given engines moves even if those not measured pull a fifth less."
    which, have, pull = ("Engine", "has", "it pulls") if len(names) == 1 else ("Engines", "have", "they pull")
    return (
        f"{which} {listing(names)} {have} no measured pull, and a train is short of power if {pull} a fifth less "
        "than reckoned."
    )
