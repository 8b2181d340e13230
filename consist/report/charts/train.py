"""The train drawn to scale from the head end, each car as long as it is and as tall as it is heavy.

It stands in rows at one scale, the drawing being narrower than the train is long.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np

from consist.evening.overview import TrainOverview
from consist.report.charts.drawing import WIDTH, Chart, Floats, Sheet, boxes_path, pointer_path
from consist.report.charts.key import Entry, draw_key, level_entries, where_worst
from consist.report.charts.palette import ENGINE, FAINT, INK, MUTED, SHADES, Levels
from consist.report.charts.plot import BASELINE, length_unit, scale_bar, weight_unit
from consist.report.document import ChartKind
from consist.report.lettering import shortened, width_of
from consist.report.words import clean, counted
from consist.session import Session, Train
from consist.stock import Car, Engine
from consist.wording import Units, percent

__all__ = ["then_chart", "train_chart"]

TITLE = "The train to scale, from the head end"
THEN_TITLE = "The train in the order suggested, from the head end"
LEFT, RIGHT = 34.0, WIDTH - 6.0
HEADER = 15.0
OVER_BODY = 24.0
MOST_NAMED = 44
"""In a train of more vehicles only what the picture is for is told, so that it stays small enough."""
NAMED, DENSE = (40.0, 34.0), (26.0, 22.0)
"""The height of the heaviest car and the least length of the shortest vehicle; and those in such a train."""
ENGINE_BODY = 25.0
WHEELS, LINE, ROW_GAP = 4.0, 10.5, 9.0
COUPLER = 1.6
SCALE_SHARE = 0.25
MOST = 96.0
"""The shortest vehicle is drawn no longer than that in a short train."""
WIDEST_SHARE = 0.5
"""No vehicle is drawn longer than this share of a row."""
FILLED = 0.9
"""How full rows are on the whole, since no vehicle is parted between two."""


@dataclass(frozen=True)
class _Vehicle:
    """What is drawn of a vehicle: `spot` and `use` are None for an engine, `was` where it did not move."""

    made: Car | Engine
    weight_g: float
    spot: int | None = None
    use: float | None = None
    was: int | None = None
    worst: bool = False

    @property
    def name(self) -> str:
        return clean(self.made.name)

    @property
    def length_mm(self) -> float:
        return self.made.coupled_length_mm


def train_chart(seen: TrainOverview, session: Session, units: Units) -> Chart:
    """The train as it stands; raises `ValueError` where it has neither car nor engine."""
    uses = {car.car: car.side_use for car in seen.check.cars}
    vehicles = _vehicles(seen, seen.train, uses)
    if not vehicles:
        raise ValueError(f"no train to draw: {clean(seen.train.name)} has neither car nor engine")
    said = f"{_makeup(vehicles, units)} {where_worst(seen, units)}"
    return _drawing("train", TITLE, vehicles, said, session, units)


def then_chart(seen: TrainOverview, session: Session, units: Units) -> Chart:
    """The train in the order that its check suggests; raises `ValueError` where it suggests none."""
    if seen.after is None:
        raise ValueError(f"no other order to draw: the check suggests none for {clean(seen.train.name)}")
    vehicles = _vehicles(seen, seen.after.train, seen.after.uses)
    return _drawing("then", THEN_TITLE, vehicles, _describe_then(vehicles), session, units)


def _vehicles(seen: TrainOverview, train: Train, uses: Mapping[str, float]) -> list[_Vehicle]:
    """The engines, cars and helpers of the train, in the order it stands in or another; `uses` by car."""
    worst = max(uses, key=lambda name: uses[name], default="")
    spots = {car.car.name: car.spot for car in seen.train.cars}
    cars = []
    for one in train.cars:
        name, use = one.car.name, uses.get(one.car.name, 0.0)
        was = spots[name] if spots[name] != one.spot else None
        cars.append(_Vehicle(one.car, one.weight_g, one.spot, use, was, name == worst and use > 0.0))
    heads, helpers = ([_Vehicle(one, one.weight_g) for one in some] for some in (seen.engines, train.helpers))
    return [*heads, *cars, *helpers]


def _drawing(
    kind: ChartKind, title: str, vehicles: Sequence[_Vehicle], said: str, session: Session, units: Units
) -> Chart:
    levels, sheet = Levels.of(session.house), Sheet()
    dense, moved = len(vehicles) > MOST_NAMED, any(vehicle.was is not None for vehicle in vehicles)
    body, shortest = DENSE if dense else NAMED
    per_mm = _scale([vehicle.length_mm for vehicle in vehicles], shortest)
    names = _names(vehicles, per_mm)
    over_rail = OVER_BODY + max(body, ENGINE_BODY)
    row_high = over_rail + WHEELS + LINE * (1 + moved + (0 if dense else 1 + len(names[0]))) + ROW_GAP
    heaviest = max((one.weight_g for one in vehicles if one.spot is not None), default=0.0)
    per_g = body / heaviest if heaviest > 0.0 else 0.0
    boxes = _boxes(vehicles, per_mm, per_g, HEADER + over_rail, row_high)

    _header(sheet, per_mm, units)
    _guides(sheet, boxes, per_g, body, units)
    _underframes(sheet, boxes, vehicles)
    _bodies(sheet, boxes, vehicles, levels)
    for one, box, lines in zip(vehicles, boxes.tolist(), names, strict=True):
        _words(sheet, one, box, lines, dense, units)
    key = [*level_entries(levels), *map(Entry, _legend(dense, moved, units))]
    foot = float(boxes[-1, 3]) - over_rail + row_high
    sheet.ends_at(draw_key(sheet, key, 8.0, foot - 2.0) + 2.0)
    return Chart(kind, title, said, sheet)


def _legend(dense: bool, moved: bool, units: Units) -> list[str]:
    """What stands where."""
    under = "its spot" if dense else f"spot, name and weight in {units.name}"
    said = [
        f"Over each car its side use{' in per cent' if dense else ''}; under it {under}.",
        "A car is as tall as it is heavy; engines are not.",
    ]
    if moved:
        sign = "in brackets" if dense else "was"
        said.append(f"Thick outline: a car that moves; {sign}: the spot it stands in now.")
    return said


def _scale(lengths: Sequence[float], shortest: float) -> float:
    """The scale at which the shortest vehicle has room for its words, enlarged to fill the rows that it takes.

    It is the same for any order of the same vehicles, so that two orders can be held side by side.
    """
    row = RIGHT - LEFT
    most = WIDEST_SHARE * row / max(lengths)
    least = min(shortest / min(lengths), most)
    total = sum(lengths)
    if total * least <= row:
        return max(least, min(row / total, MOST / min(lengths), most))
    rows = ceil(total * least / (FILLED * row))
    return max(least, min(FILLED * rows * row / total, most))


def _boxes(vehicles: Sequence[_Vehicle], per_mm: float, per_g: float, rail: float, row_high: float) -> Floats:
    """Left, top, right and rail of each vehicle from the head end, row by row; `rail` is that of the first row."""
    boxes, left, taken, row_mm = [], LEFT, 0.0, (RIGHT - LEFT) / per_mm
    for one in vehicles:
        if taken > 0.0 and taken + one.length_mm > row_mm * (1.0 + 1e-9):
            left, taken, rail = LEFT, 0.0, rail + row_high
        taken += one.length_mm
        right = left + one.length_mm * per_mm
        boxes.append((left, rail - (ENGINE_BODY if one.use is None else one.weight_g * per_g), right, rail))
        left = right
    return np.array(boxes)


def _header(sheet: Sheet, per_mm: float, units: Units) -> None:
    """The way the train goes, and the scale of lengths."""
    sheet.line([[(LEFT + 5.0, 7.0), (LEFT + 18.0, 7.0)]], INK, 1.4)
    sheet.shape([[(LEFT, 7.0), (LEFT + 7.0, 3.5), (LEFT + 7.0, 10.5)]], ENGINE, "way")
    sheet.text(LEFT + 22.0, 10.2, "head end", bold=True)
    size, words = scale_bar(per_mm, SCALE_SHARE * WIDTH, length_unit(units))
    left = RIGHT - size
    sheet.line([[(left, 4.0), (left, 8.0), (RIGHT, 8.0), (RIGHT, 4.0)]], INK, 0.9, "scale")
    sheet.text(left - 5.0, 10.2, words, anchor="right", color=MUTED)


def _guides(sheet: Sheet, boxes: Floats, per_g: float, body: float, units: Units) -> None:
    """The rails, the coupled train, and a faint line at a round weight."""
    ends = {rail: right for _, _, right, rail in boxes.tolist()}
    sheet.line([[(LEFT, rail + WHEELS), (end, rail + WHEELS)] for rail, end in ends.items()], FAINT, 1.2)
    sheet.line([[(LEFT, rail - 2.0), (end, rail - 2.0)] for rail, end in ends.items()], INK, 1.0)
    if per_g > 0.0:
        high, words = scale_bar(per_g, body, weight_unit(units))
        lines = [[(LEFT - 2.0, rail - high), (end, rail - high)] for rail, end in ends.items()]
        sheet.line(lines, FAINT, 0.6, "weight")
        for rail in ends:
            sheet.text(LEFT - 4.0, rail - high + BASELINE, words, anchor="right", color=MUTED)


def _underframes(sheet: Sheet, boxes: Floats, vehicles: Sequence[_Vehicle]) -> None:
    """A hint of the trucks, where their centers are."""
    left, _, right, rail = boxes.T
    apart = np.array([0.5 * one.made.truck_centers_mm / one.length_mm for one in vehicles]) * (right - left)
    middle, half = 0.5 * (left + right), np.minimum(4.0, 0.12 * (right - left))
    trucks = [(at - half, rail, at + half, rail + WHEELS) for at in (middle - apart, middle + apart)]
    sheet.shape(boxes_path(np.transpose(trucks, (2, 0, 1))), ENGINE, "trucks")


def _bodies(sheet: Sheet, boxes: Floats, vehicles: Sequence[_Vehicle], levels: Levels) -> None:
    bodies = boxes + np.array((COUPLER, 0.0, -COUPLER, 0.0))
    car = np.array([one.spot is not None for one in vehicles])
    moved = np.array([one.was is not None for one in vehicles])
    level = np.where(car, levels.level([one.use or 0.0 for one in vehicles]), -1)
    for number, shade in enumerate(SHADES):
        sheet.shape(boxes_path(bodies[level == number]), shade, f"level {number}")
    sheet.shape(boxes_path(bodies[car & ~moved]), label="bodies", edge=INK)
    sheet.shape(boxes_path(bodies[moved]), label="moved bodies", edge=INK, width=1.9)
    left, top, right, rail = bodies[~car].T
    hood, nose = rail - 0.55 * ENGINE_BODY, left + 0.16 * (right - left + 2.0 * COUPLER)
    corners = np.stack((left, rail, left, hood, nose, top, right, top, right, rail), axis=1)
    sheet.shape(corners.reshape(-1, 5, 2), ENGINE, "engines", edge=INK)
    for one, (begin, high, end, _) in zip(vehicles, boxes.tolist(), strict=True):
        if one.worst:
            sheet.shape(pointer_path(0.5 * (begin + end), high - 13.0), ENGINE, "worst")


def _words(sheet: Sheet, one: _Vehicle, box: Sequence[float], name: Sequence[str], dense: bool, units: Units) -> None:
    """All that is said at a vehicle, or in a long train what there is room for."""
    left, top, right, rail = box
    middle, room, engine = 0.5 * (left + right), right - left, one.spot is None
    first = str(one.spot)
    if engine:
        first = shortened(one.name, room, bold=True) if dense else ""
    else:
        use = percent(one.use).removesuffix(" %" if dense else "")
        sheet.text(middle, top - 3.5, use, anchor="center", bold=one.worst)
    under = [(first, True, INK)]
    if not dense:
        under += [*((line, engine, INK) for line in name), (units.weight_figure(one.weight_g), False, MUTED)]
    if one.was is not None:
        under.append((f"({one.was})" if dense else shortened(f"was {one.was}", room), False, INK))
    for number, (words, bold, ink) in enumerate(under, start=1):
        sheet.text(middle, rail + WHEELS + LINE * number - 1.0, words, anchor="center", bold=bold, color=ink)


def _names(vehicles: Sequence[_Vehicle], per_mm: float) -> list[list[str]]:
    """Every vehicle's name in as many lines: one where all names fit so, else two."""
    rooms = [(one.name, one.length_mm * per_mm) for one in vehicles]
    if all(width_of(name) <= room - 2.0 for name, room in rooms):
        return [[name] for name, _ in rooms]
    # a name of one word stands in the second line
    parted = [((name if " " in name else f" {name}").split(" ", 1), room) for name, room in rooms]
    return [[shortened(line, room - 1.0) for line in lines] for lines, room in parted]


def _makeup(vehicles: Sequence[_Vehicle], units: Units) -> str:
    cars = [one for one in vehicles if one.spot is not None]
    engines = len(vehicles) - len(cars)
    length, weight = sum(one.length_mm for one in vehicles), sum(one.weight_g for one in cars)
    made = f"{counted(engines, 'engine')} and {counted(len(cars), 'car')}, {units.distance(length)} long"
    return f"{made}; the cars weigh {units.train_weight(weight)}."


def _describe_then(vehicles: Sequence[_Vehicle]) -> str:
    moved = [one for one in vehicles if one.was is not None]
    worst = next((one for one in vehicles if one.worst), None)
    said = f"Cars that stand in another spot: {len(moved)} of {sum(one.spot is not None for one in vehicles)}."
    if worst is None:
        return f"{said} No car feels any side pull."
    return f"{said} The worst car is then {worst.name} in spot {worst.spot} with {percent(worst.use)} side use."
