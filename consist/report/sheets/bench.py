"""The bench's sheet: cars to weight, most useful first, each with its pieces, their place, and what they gain."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from consist.bench import BenchCar, BenchList, Choice, ExtraEngine, Status
from consist.intake import Recorded
from consist.report.document import Block, Item, Para, Sheet, Table
from consist.report.sheets.cells import figures, table, words
from consist.report.sheets.parts import ADDING_WEIGHT, items, legend, notes, section, sheet
from consist.report.words import counted, in_words, margin, named, numbered_names, unbroken
from consist.scales import scale_words
from consist.wording import NONE, Units, at

__all__ = [
    "IN_SHORT",
    "LITTLE_GAIN",
    "bench_sheet",
    "gain_words",
    "over_trucks",
    "recorded_words",
    "weighs_words",
]

REST: tuple[tuple[Status, str], ...] = (
    ("over", "Too heavy"),
    ("heavy", "Heavy, but within what standards allow"),
    ("near", "Near enough"),
    ("on", "On target or a little over"),
    ("not weighed", "Not weighed"),
    ("under", "Under, and nothing to be done"),
)
PUT_OFF = "To put off: each takes a margin down where it counts"
AT_HOME = "In no train tonight."
IN_SHORT = "To the standard too, though no verdict hangs on them"
LITTLE_GAIN = 0.005  # less does not show in a margin of two places


def bench_sheet(listed: BenchList, anchors: Mapping[str, str], units: Units, *, next_first: bool = False) -> Sheet:
    """What `consist bench` tells; `anchors` are those of the trains' sheets, by train.

    With `next_first` it opens with the car to take next.
    """
    used = _pieces_words(listed.used)
    too_heavy = (
        Item(_extra_engine_words(extra, units), label=extra.train, link=anchors.get(extra.train))
        for extra in listed.extra_engines
    )
    margins = table(
        "Margins of tonight's trains now and with all of these cars done",
        listed.trains,
        words("train", lambda one: one.train, wide=True, strong=True, links=anchors),
        figures("margin now", lambda one: one.margin, margin),
        figures("margin then", lambda one: one.after, margin),
    )
    first = _next(listed, units) if next_first else None
    telling, others = _groups(listed, next_first, tells=True), _groups(listed, next_first, tells=False)
    put_off = [group for group in telling if group[0].effect == "harms"]
    telling = [group for group in telling if group not in put_off]
    to_weight, later = (
        items((_item(group, listed.care_margin, units) for group in groups), numbered=True, boxes=True)
        for groups in (telling, put_off)
    )
    weights = _weights(listed, anchors, units) if listed.cars else None
    return sheet(
        "bench",
        "At the bench",
        section("", first, Para(_in_short(listed))),
        section("To weight, most useful first", weights if telling else None, to_weight),
        section(IN_SHORT, None if telling else weights, *_others(listed, others, units)),
        section(PUT_OFF, later),
        section("Where the weight goes", *_told_once((car.place, car.car) for car in listed.cars)),
        section(
            "Tonight's trains with all of these done",
            margins if listed.trains else None,
            legend(_together_words(listed)),
        ),
        section("Pieces this takes", Para(f"{used}.") if used else None),
        section("Too heavy for the engines", items(too_heavy)),
        section("The other cars", *(Para(f"{cars}.", label=title) for title, cars in _rest_words(listed, units))),
        notes(listed.notes),
        section("", ADDING_WEIGHT if listed.cars else None),
    )


def _weights(listed: BenchList, anchors: Mapping[str, str], units: Units) -> Table:
    return table(
        "Cars to weight, and what each by itself does for its train",
        listed.cars,
        words("car", lambda car: car.car, wide=True, strong=True),
        words("kind", lambda car: car.kind, lesser=True),
        words("owner", lambda car: car.owner, lesser=True),
        figures(f"weighs, {units.name}", lambda car: car.weight_g, units.weight_figure),
        figures("target", lambda car: car.target_g, units.weight_figure),
        figures("add", lambda car: car.add_g, units.weight_figure),
        figures("then", lambda car: car.after_g, units.weight_figure),
        words("train", lambda car: NONE if car.worst_train is None else car.worst_train, links=anchors),
        figures("margin now", lambda car: car.margin, margin, lesser=True),
        figures("margin then", lambda car: car.margin_after, margin, lesser=True),
        told_below=True,
    )


def _in_short(listed: BenchList) -> str:
    under = len(listed.cars) + len(listed.later)
    counts = f", which counts {listed.length_words}" if listed.length_words else ""
    said = f"{scale_words(listed.scale)}, car weights by {listed.title or listed.standard}{counts}. "
    said += f"{counted(under + len(listed.others), 'car')}: {under} to weight."
    if listed.minutes is None or listed.per_car is None or not under:
        return said
    return f"{said} {listed.minutes:g} minutes at {listed.per_car:g} a car are enough for {len(listed.cars)} of them."


Group = Sequence[BenchCar]
"""Cars alike in all that is told of them."""


def _groups(listed: BenchList, next_first: bool, *, tells: bool) -> list[Group]:
    """The cars whose weight can tell in a verdict tonight, or the others; those alike together. Without a train every
    car is told of in full."""
    groups: dict[object, list[BenchCar]] = {}
    for car in listed.cars[next_first:]:
        trucks = None if car.choice is None else car.choice.trucks
        gains = gain_words(car, listed.care_margin) if tells else ""
        alike = car.kind, car.owner, car.weight_g, car.target_g, str(trucks), car.place, car.note, gains
        if (car.tells or not listed.trains) is tells:
            groups.setdefault(alike, []).append(car)
    return list(groups.values())


def _label(group: Group) -> str:
    car, names = group[0], numbered_names([car.car for car in group])
    about = ", ".join(text for text in (car.kind, car.owner) if text.strip())
    return f"{names} ({about})" if about else names


def _what(group: Group, units: Units) -> str:
    """The pieces to add to each, and what it then weighs; what it lacks where there are none."""
    car, each = group[0], " to each" if len(group) > 1 else ""
    if car.choice is None or not car.choice.pieces:
        return weighs_words(car, units)
    it = "Each" if len(group) > 1 else "It"
    after = "" if car.after_g is None else f" {it} then weighs {unbroken(units.weight(car.after_g))}."
    return f"add{each} {over_trucks(car.choice)}.{after}"


def _item(group: Group, care_margin: float, units: Units) -> Item:
    """Cars with the pieces to add; what the table tells of them as well stands apart."""
    car, what = group[0], _what(group, units)
    weighs = weighs_words(car, units)
    facts = [("Weighs", weighs)] if what != weighs else []
    more = (car.note,) if car.note.strip() else ()
    facts += [("Gains", gain_words(car, care_margin))] if car.trains else []
    return Item(what, label=_label(group), more=more, facts=tuple(facts))


def _others(listed: BenchList, groups: Sequence[Group], units: Units) -> Iterator[Block | None]:
    """The cars whose weight tells in no verdict, a line a group, and what is to be known of them."""
    if groups:
        yield Para(_why_in_short(listed, groups))
        yield items((Item(_from_to(group, units), label=_label(group)) for group in groups), boxes=True)
        cars = [car for group in groups for car in group]
        yield from _told_once((said, car.car) for car in cars for said in (car.note, "" if car.trains else AT_HOME))


def _why_in_short(listed: BenchList, groups: Sequence[Group]) -> str:
    """Why these cars come after the others, and why a train's margin may fall when they are weighted."""
    falls = any(car.gain is not None and car.gain <= -LITTLE_GAIN for group in groups for car in group)
    why = (
        " A train's margin falls a little where a car in it is made heavier, which then pulls harder on those ahead "
        f"of it; each stays over {margin(listed.care_margin)} all the same."
    )
    return "They come to the standard when there is time." + (why if falls else "")


def _told_once(of: Iterable[tuple[str, str]]) -> Iterator[Para]:
    """What is said of each car, once for all of which it is said."""
    told: dict[str, list[str]] = {}
    for said, car in of:
        if said.strip():
            told.setdefault(said.strip(), []).append(car)
    for said, cars in told.items():
        yield Para(said, label=numbered_names(cars))


def _from_to(group: Group, units: Units) -> str:
    """In short the pieces to add to each, what it weighs, then does, and ought to."""
    car, each = group[0], " to each" if len(group) > 1 else ""
    if car.choice is None or not car.choice.pieces or car.weight_g is None or car.after_g is None:
        return weighs_words(car, units)
    now, then, aim = (unbroken(units.weight(grams)) for grams in (car.weight_g, car.after_g, car.target_g))
    return f"add{each} {over_trucks(car.choice)}: {now} to {then}, target {aim}."


def _together_words(listed: BenchList) -> str:
    """The trains that all of the cars together take below where care begins."""
    care = listed.care_margin
    low = [
        one.train
        for one in listed.trains
        if one.after is not None and one.after < care and (one.margin is None or one.margin >= care)
    ]
    told = f"With all of these done care begins for {named(low)}: what is behind pulls harder on those ahead."
    return told if low else ""


def _next(listed: BenchList, units: Units) -> Block | None:
    """The next car at the bench, with its pieces."""
    if not listed.cars:
        return Para("No car is left to weight." if not listed.later else "There is no time for another car.")
    one = _item([listed.cars[0]], listed.care_margin, units)
    return items([replace(one, label=f"Next: {one.label}")])


def weighs_words(car: BenchCar, units: Units) -> str:
    """What a car weighs, what it ought to, and what it lacks."""
    weighs = "not weighed" if car.weight_g is None else unbroken(units.weight(car.weight_g))
    lacks = "" if car.add_g is None else f": add {unbroken(units.weight(car.add_g))}"
    return f"{weighs} now, {unbroken(units.weight(car.target_g))} is its target{lacks}."


def over_trucks(choice: Choice) -> str:
    """Which pieces go where."""
    one, other = choice.trucks
    if one == other:
        return f"{_pieces_words(one)} over each truck"
    if not one or not other:
        return f"{_pieces_words(one or other)} over {'the middle' if choice.even else 'one truck'}"
    return f"{_pieces_words(one)} over one truck, {_pieces_words(other)} over the other"


def _pieces_words(pieces: Mapping[str, int]) -> str:
    return in_words([f"{number} × {unbroken(name)}" for name, number in pieces.items() if number])


def gain_words(car: BenchCar, care_margin: float = 0.0) -> str:
    """What the car by itself does for the worst of its trains, where and for which car, or what it costs and why.

    A train that falls is told to stay over the house's `care_margin` where it does.
    """
    if car.worst_train is None or car.gain is None:
        return "nothing tonight: it rides in no train." if not car.trains else "nothing tonight."
    train = unbroken(car.worst_train)
    light = f" Its weight is then no matter of care in {named(car.far_under_in)}." if car.far_under_in else ""
    if light and abs(car.useful_gain or 0.0) < LITTLE_GAIN and car.level == car.level_after:
        return f"its{light[4:]}"
    if abs(car.gain) < LITTLE_GAIN:
        return f"nothing tonight; {train} keeps its margin of {margin(car.margin)}."
    way = f"from {margin(car.margin)} to {margin(car.margin_after)}"
    if car.level and car.level_after and car.level != car.level_after:
        way += f", by side pull from {car.level.upper()} to {car.level_after.upper()}"
    if car.gain > 0.0:
        for_whom = ""
        if car.worst_car is not None and car.worst_place is not None:
            who = "this car itself" if car.worst_car == car.car else unbroken(car.worst_car)
            for_whom = f"; the car in danger there is {who}, {at(car.worst_place)}"
        return f"the margin of {train} goes {way}{for_whom}.{light}"
    stays = car.margin_after is not None and 0.0 < care_margin <= car.margin_after
    enough = f", which is still over {margin(care_margin)}" if stays else ""
    on = f", most on {unbroken(car.worst_car)}, {at(car.worst_place)}" if car.worst_car and car.worst_place else ""
    falls = f"{train} falls {way}, since the car then pulls harder on those ahead of it{on}{enough}."
    return f"nothing tonight; {falls}{light}"


def _extra_engine_words(extra: ExtraEngine, units: Units) -> str:
    now = "no number of engines" if extra.engines is None else counted(extra.engines, "engine")
    over = f"{named(extra.cars)} {'is' if len(extra.cars) == 1 else 'are'} over the standard"
    excess = unbroken(units.weight(extra.excess_g))
    return f"needs {now} of class {extra.engine_class}, and {extra.without} without the {excess} that {over}."


def _rest_words(listed: BenchList, units: Units) -> Iterator[tuple[str, str]]:
    """Cars left for another day, and those that need nothing, each kind under its title."""

    def apart(car: BenchCar) -> str:
        if car in listed.later:
            return " (to weight)" if car.add_g is None else f" ({unbroken(f'lacks {units.weight(car.add_g)}')})"
        if car.status not in ("over", "heavy") or car.weight_g is None:
            return ""
        return f" ({unbroken(f'{units.weight(car.weight_g - car.target_g)} over')})"

    of_status = ((title, [car for car in listed.others if car.status == status]) for status, title in REST)
    for title, cars in (("Left for another day", listed.later), *of_status):
        if cars:
            yield title, ", ".join(f"{unbroken(car.car)}{apart(car)}" for car in cars)


def recorded_words(recorded: Sequence[Recorded]) -> Iterator[str]:
    """What was written into which table, and where the old one is kept."""
    for written in recorded:
        changes = (f"{one.car} {one.column} {one.old or NONE} to {one.new}" for one in written.changes)
        yield f"{written.file}: {', '.join(changes)}. The old table is kept as {written.backup.name}."
