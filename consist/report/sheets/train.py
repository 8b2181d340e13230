"""A train's two sheets: why it may go or not, its figures, pictures and order; and the switch list to make it up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from consist.evening.orders import moved_train
from consist.evening.overview import Overview, TrainOverview
from consist.evening.results import TrainCheck
from consist.house import House
from consist.report.document import Cell, ChartKind, Facts, Item, Para, Picture, Sheet
from consist.report.sheets.cells import figure, use_words
from consist.report.sheets.moves import better_order, cars_moved, moves_to_make
from consist.report.sheets.parts import ADDING_WEIGHT, ADVISING_WEIGHT, items, legend, notes, section, sheet
from consist.report.sheets.power import swap_words
from consist.report.sheets.ranges import range_fact
from consist.report.sheets.standing import legs_table, make_up_table, no_engine_words, standing_table
from consist.report.sheets.tasks import Task
from consist.report.words import counted, in_words, leading_words, margin, named, past_words, score, unbroken
from consist.rules.case import LEVELS, Finding, Level
from consist.scales import scale_words
from consist.session import Session, Train
from consist.wording import NONE, Units, at, clock, engines_words, limit_percent, percent

__all__ = ["basis_words", "kinds_of", "pull_that_does", "switch_list", "train_sheet"]

PICTURES: tuple[tuple[str, tuple[tuple[ChartKind, str], ...]], ...] = (
    ("The train", (("train", "The train to scale, head end first"),)),
    ("The route", (("plan", "The route from above"), ("profile", "The route from the side"))),
    ("Which car is in danger where", (("side-use", "Side use by car and by place"),)),
    ("Drawbar", (("drawbar", "Drawbar along the train at the worst moment"),)),
)
SHOWN_OF_A_KIND = 3
TOLD_ABOVE = "told above."


def train_sheet(
    session: Session,
    one: TrainOverview,
    anchor: str,
    units: Units,
    *,
    drawn: bool = True,
    alone: Sequence[Task] | None = None,
) -> Sheet:
    """One train's sheet; unless it is `drawn` it has no picture but that of its route from the side.

    Where no session's sheet is told with it, it is `alone`, with the session's tasks.
    """
    train, check = one.train, one.check
    uses = {car.car: car.side_use for car in check.cars}
    worst = None if check.worst is None else check.worst.car
    advised = any(finding.code in ADVISING_WEIGHT for finding in check.findings)
    kinds = kinds_of(one) if drawn else ("profile",)
    reason, facts = _reason(check, session.house), [*_facts(one, units)]
    facts += [] if alone is None else [("Session", Cell(f"{session.title}. {basis_words(session)}"))]
    left = [Para(more) for task in alone or () if task.moves for more in task.more]
    pictures = (
        section(title, *(Picture(kind, train.name, caption) for kind, caption in of if kind in kinds))
        for title, of in PICTURES
    )
    return sheet(
        "train",
        train.name,
        section("", Para(reason, level=check.verdict), Facts(tuple(facts))),
        *pictures,
        section("Standing order, head end first", *standing_table(session, train, uses, worst, units)),
        section("Legs of the trip", legs_table(check, units) if len(check.legs) > 1 else None),
        section("Findings", items(_told_findings(check.findings, reason)), _how_to_ask(check.findings)),
        section("A better order", *better_order(session, train, check, one.after), *left),
        notes(() if alone is None else session.notes),
        section("", ADDING_WEIGHT if advised else None),
        anchor=anchor,
        verdict=check.verdict,
        train=train.name,
    )


def basis_words(session: Session) -> str:
    """What layout and what weights a check is of."""
    standard = session.standard
    where = f"Layout {session.layout.name}, {scale_words(session.layout.scale.name)}."
    return f"{where} Car weights by {standard.title}, which counts {standard.length_words}."


def kinds_of(one: TrainOverview) -> tuple[ChartKind, ...]:
    """The pictures that there are of a train, in the order a report has them."""
    train = one.train
    there: dict[ChartKind, object] = {
        "train": train.cars or one.engines or train.helpers, "then": one.after, "plan": True, "profile": True,
        "side-use": train.cars, "drawbar": one.moment,
    }  # fmt: skip
    return tuple(kind for kind in there if there[kind])


def _facts(one: TrainOverview, units: Units) -> Iterator[tuple[str, Cell]]:
    train, check = one.train, one.check
    worst, peak = check.worst, check.peak_drawbar
    told = f"{NONE}, no side pull."
    if worst is not None and check.margin is not None:
        there, head = _toward(train, worst.car_mm, units), leading_words(train, worst.head_mm, units)
        told = f"{margin(check.margin)} at {worst.car} in spot {worst.spot}, {there}, the {head}."
    yield "Margin", figure(told, check.margin)
    if (known := range_fact(check)) is not None:
        yield known
    told = f"{NONE}, no coupling."
    if peak is not None:
        head = leading_words(train, peak.head_mm, units)
        told = f"{units.weight(peak.g)} at most, behind {peak.behind} {at(peak.place)}, the {head}."
    yield "Drawbar", figure(told, None if peak is None else peak.g)
    yield "Power", figure(f"{'; '.join(_power(check, train, units))}.", check.power.use)
    best = "" if check.order_score is None else " of 100, where 100 is the best its blocks and holds allow"
    yield "Order", figure(f"{score(check.order_score)}{best}.", check.order_score)
    if check.heavy_forward is not None:
        told = f"{score(check.heavy_forward)} %, where 100 % is heavy to light from the head end."
        yield "Heavy forward", figure(told, check.heavy_forward)
    yield "Train", _makeup(check, units)
    times = f", {_times_words(train)}" if train.times is not None else ""
    told = f"{', '.join(train.route.called)}; {units.distance(check.route_mm)}{times}."
    yield "Route", figure(told, check.route_mm)


def _power(check: TrainCheck, train: Train, units: Units) -> Iterator[str]:
    """Engines on the train, how much of their pull and holding it takes, and how many of each class would do."""
    power, assigned = check.power, check.power.assigned
    if (pull_g := pull_that_does(check, train)) is not None:
        yield f"no engine named; engines of {units.weight(pull_g)} of pull in all, their reserve in it, would do"
        return
    yield f"{counted(len(assigned), 'engine')} assigned: {in_words(assigned)}" if assigned else "no engine assigned"
    if power.use is not None:
        yield f"{percent(power.use)} of usable pull used at the hardest place"
    elif assigned:
        yield "no pull left at the hardest place"
    if power.hold_use:
        can = "it can" if len(assigned) == 1 else "they can"
        yield f"{percent(power.hold_use)} of what {can} hold back used down grade"
    elif power.hold_use is None and assigned:
        yield "nothing left to hold back with down grade"
    if power.by_class:
        needed = (engines_words(n, one, power.owned.get(one, n or 0)) for one, n in power.by_class.items())
        yield f"would do at the head end alone: {' or '.join(needed)}"


def pull_that_does(check: TrainCheck, train: Train) -> float | None:
    """How much pull (g) in all a train needs whose engines only stand in; None where its engines are named."""
    if not any(engine.stands_in for engine in train.engines):
        return None
    power = check.power
    return sum(engine.pull_g for engine in train.engines) * max(power.use or 0.0, power.hold_use or 0.0)


def _makeup(check: TrainCheck, units: Units) -> Cell:
    where = " on the leg with the worst margin" if len(check.legs) > 1 else ""
    told = f"{units.train_weight(check.weight_g)} of cars, {units.distance(check.length_mm)} long{where}"
    return figure(f"{counted(len(check.cars), 'car')}; {told}.", check.weight_g)


def _times_words(train: Train) -> str:
    if train.times is not None:
        return f"{clock(train.times[0])} to {clock(train.times[1])}"
    given = (("departs", train.depart), ("arrives", train.arrive))
    return ", ".join(f"{does} {clock(minutes)}" for does, minutes in given if minutes is not None) or "not given"


def _toward(train: Train, distance_mm: float, units: Units) -> str:
    """Where a distance along the route lies, with the place ahead."""
    where = past_words(train, distance_mm, units)
    here, _ = train.route.past(distance_mm)
    ahead = [name for name, place_mm in train.route.places if place_mm > distance_mm]
    if ahead and ahead[0] != here and not where.startswith("at "):
        where = f"{where} toward {ahead[0]}"
    return f"{where}, backing" if train.route.leads_at(distance_mm) == "rear" else where


def _reason(check: TrainCheck, house: House) -> str:
    """The first cause of the verdict: the worst car's side pull, or the gravest findings, or that all is well."""
    worst, use = check.worst, use_words(house, check.side_use)
    if check.verdict != "go":
        does, kind = ("holds a train", "that hold it") if check.verdict == "hold" else ("takes care", "of care")
        threshold = house.margin_of(check.verdict)
        if worst is not None and check.margin is not None and check.margin < threshold:
            limit = limit_percent(1.0 / threshold, check.side_use)
            where = f"{worst.car} in spot {worst.spot} uses {use} of the side pull it can bear {at(worst.place)}"
            return f"{where}; the house {does} past {limit}."
        causes = [finding.say for finding in check.findings if finding.level == check.verdict]
        if causes:
            others = len(causes) - 1
            return causes[0] + (f" {counted(others, 'more finding')} {kind} below." if others else "")
    if not check.cars:
        return "No car rides in this train."
    if worst is None:
        return "No car feels any side pull on this route."
    nearest = f"{worst.car} in spot {worst.spot} comes nearest"
    return f"No car uses more than {use} of the side pull it can bear; {nearest}."


def _how_to_ask(findings: Sequence[Finding]) -> Para | None:
    """How to ask what a finding means, by the gravest."""
    gravest = min(findings, key=lambda finding: LEVELS.index(finding.level), default=None)
    return None if gravest is None else legend(f"consist explain {gravest.code} tells more.")


def _told_findings(findings: Iterable[Finding], reason: str) -> Iterator[Item]:
    """Each finding, gravest first; after the third of a code and level the rest are only named.

    One that is the `reason` told above all is not told again.
    """
    kinds: dict[tuple[Level, str], list[Finding]] = {}
    for finding in findings:
        kinds.setdefault((finding.level, finding.code), []).append(finding)
    for (level, code), found in sorted(kinds.items(), key=lambda kind: LEVELS.index(kind[0][0])):
        rest = found[SHOWN_OF_A_KIND:]
        cars = dict.fromkeys(finding.car for finding in rest if finding.car is not None)
        more = f"and {len(rest)} more."
        if len(cars) == len(rest):
            more = f"and {counted(len(cars), 'more car')}: {', '.join(map(unbroken, cars))}."
        says = (TOLD_ABOVE if reason.startswith(one.say) else one.say for one in found[:SHOWN_OF_A_KIND])
        for told in (*says, more if rest else ""):
            yield from [Item(told, label=code, level=level)] if told else []


def switch_list(overview: Overview, one: TrainOverview, anchor: str, tasks: Iterable[Task], units: Units) -> Sheet:
    """One train's list; `tasks` are all of the evening's, of which the yard's own stand on it."""
    train, suggestion = one.train, one.check.suggestion
    mine = [task for task in tasks if task.who == "yard" and task.train == train.name and not task.moves]
    to_see_to = items((task.item() for task in mine), boxes=True)
    made = train if suggestion is None else moved_train(train, suggestion.order)
    moves = () if suggestion is None else moves_to_make(suggestion.moves, train, made, boxes=True)
    moved, out = cars_moved(suggestion), {car for task in mine if task.leaves_out for car in task.cars}
    title = "Order to make up, head end first" if moved else "Standing order, head end first"
    return sheet(
        "switch-list",
        f"Switch list: {train.name}",
        section("", _heading(overview, one, units)),
        section("To see to first", to_see_to),
        section("Moves to make", *moves),
        section(title, *make_up_table(title, train, made, moved, out)),
        anchor=anchor,
        train=train.name,
    )


def _heading(overview: Overview, one: TrainOverview, units: Units) -> Facts:
    train = one.train
    facts = (
        ("Times", Cell(_times_words(train))),
        ("Route", Cell(", ".join(map(unbroken, train.route.called)))),
        ("Engines", Cell(_engines(overview, train))),
        ("Helpers", Cell(named(engine.name for engine in train.helpers))),
        ("Train", _makeup(one.check, units)),
    )
    return Facts(tuple(fact for fact in facts if fact[1].text))


def _engines(overview: Overview, train: Train) -> str:
    """The engines given, and what the power desk has planned where that is not the same."""
    given = named(engine.name for engine in train.engines) or no_engine_words(train)
    for one in () if overview.power_to_make is None else overview.power_to_make.trains:
        if one.train == train.name and swap_words(one):
            return f"{given}; the power desk plans {named(one.assigned)}"
    return given
