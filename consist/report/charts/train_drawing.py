"""The train drawn to scale from the head end, each car as long as it is and as tall as it is heavy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from consist.evening.overview import TrainOverview
from consist.report.charts.drawing import WIDTH, Chart, Sheet, boxes_path, lines_path, pointer_path
from consist.report.charts.palette import ENGINE, FAINT, INK, MUTED, SHADES, Levels
from consist.report.charts.plot import BASELINE, Key, figure_words, level_entries, round_under, words_entry
from consist.report.charts.train_rows import Placed, TrainRows, Vehicle, vehicles_of
from consist.report.charts.whereabouts import where_worst
from consist.report.document import ChartKind
from consist.report.lettering import shortened, width_of
from consist.report.words import clean, counted
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH
from consist.session import Session
from consist.wording import Units, percent

__all__ = ["then_chart", "train_chart"]

TITLE = "The train to scale, from the head end"
THEN_TITLE = "The train in the order suggested, from the head end"
LEFT, RIGHT = 34.0, WIDTH - 6.0
HEADER = 15.0
OVER_BODY = 24.0
BODY, LOW_BODY = 40.0, 26.0
"""The height of the heaviest car, and that in a long train."""
MOST_NAMED = 44
"""In a train of more vehicles only spots and side uses are told."""
ENGINE_BODY = 25.0
WHEELS, LINE, ROW_GAP = 4.0, 10.5, 9.0
COUPLER = 1.6
SCALE_SHARE = 0.25


def train_chart(seen: TrainOverview, session: Session, units: Units) -> Chart:
    """The train as it stands; raises `ValueError` where it has neither car nor engine."""
    uses = {car.car: car.side_use for car in seen.check.cars}
    vehicles = vehicles_of(seen, seen.train, uses, {car.car.name: car.spot for car in seen.train.cars})
    if not vehicles:
        raise ValueError(f"no train to draw: {clean(seen.train.name)} has neither car nor engine")
    said = f"{_makeup(vehicles, units)} {where_worst(seen, units)}"
    return _drawing("train", TITLE, vehicles, said, session, units)


def then_chart(seen: TrainOverview, session: Session, units: Units) -> Chart:
    """The train in the order that its check suggests; raises `ValueError` where it suggests none."""
    if seen.after is None:
        raise ValueError(f"no other order to draw: the check suggests none for {clean(seen.train.name)}")
    was = {car.car.name: car.spot for car in seen.train.cars}
    vehicles = vehicles_of(seen, seen.after.train, seen.after.uses, was)
    return _drawing("then", THEN_TITLE, vehicles, _describe_then(vehicles), session, units)


@dataclass(frozen=True)
class _Manner:
    """How much is said at each car: in a long train only what the picture is for, so that it stays small enough."""

    dense: bool
    moved: bool

    @property
    def body(self) -> float:
        """The height of the heaviest car."""
        return LOW_BODY if self.dense else BODY

    @property
    def least(self) -> float:
        """How long the shortest vehicle must be for its words."""
        return 22.0 if self.dense else 34.0

    def row_high(self, name_lines: int) -> float:
        """The height of a row."""
        lines = 1 + self.moved + (0 if self.dense else 1 + name_lines)
        return OVER_BODY + max(self.body, ENGINE_BODY) + WHEELS + LINE * lines + ROW_GAP

    def legend(self, units: Units) -> list[str]:
        """What stands where."""
        under = "its spot" if self.dense else f"spot, name and weight in {units.name}"
        said = [
            f"Over each car its side use{' in per cent' if self.dense else ''}; under it {under}.",
            "A car is as tall as it is heavy; engines are not.",
        ]
        if self.moved:
            sign = "in brackets" if self.dense else "was"
            said.append(f"Thick outline: a car that moves; {sign}: the spot it stands in now.")
        return said


def _drawing(
    kind: ChartKind, title: str, vehicles: Sequence[Vehicle], said: str, session: Session, units: Units
) -> Chart:
    levels = Levels.of(session.house)
    manner = _Manner(len(vehicles) > MOST_NAMED, any(vehicle.was is not None for vehicle in vehicles))
    rows = TrainRows(vehicles, LEFT, RIGHT, manner.least)
    names = _names(rows.placed)
    row_high = manner.row_high(len(names[0]))
    key = Key([*level_entries(levels), *map(words_entry, manner.legend(units))], WIDTH - 16.0)
    sheet = Sheet(HEADER + rows.count * row_high + key.height)

    heaviest = max((one.weight_g for one in vehicles if one.spot is not None), default=0.0)
    per_g = manner.body / heaviest if heaviest > 0.0 else 0.0
    rails = [HEADER + row_high * row + OVER_BODY + max(manner.body, ENGINE_BODY) for row in range(rows.count)]
    _header(sheet, rows.per_mm, units)
    _guides(sheet, rows, rails, per_g, heaviest, units)
    _underframes(sheet, rows.placed, rails)
    _bodies(sheet, rows.placed, rails, per_g, levels)
    for one, lines in zip(rows.placed, names, strict=True):
        top = _body(one, rails[one.row], per_g)[1]
        y = rails[one.row] + WHEELS + LINE - 1.0
        if manner.dense:
            _few_words(sheet, one, top, y)
        else:
            _words(sheet, one, lines, top, y, units)
    key.draw(sheet, 8.0, HEADER + rows.count * row_high - 2.0)
    return Chart(kind, title, said, sheet)


def _header(sheet: Sheet, per_mm: float, units: Units) -> None:
    """The way the train goes, and the scale of lengths."""
    sheet.line(lines_path([[(LEFT + 5.0, 7.0), (LEFT + 18.0, 7.0)]]), INK, 1.4)
    sheet.shape(lines_path([[(LEFT, 7.0), (LEFT + 7.0, 3.5), (LEFT + 7.0, 10.5)]], closed=True), ENGINE, "way")
    sheet.text(LEFT + 22.0, 10.2, "head end", bold=True)
    unit_mm = MM_PER_INCH if units.inches else 1.0
    figure = round_under(SCALE_SHARE * WIDTH / per_mm / unit_mm)
    size = figure * unit_mm * per_mm
    ends = [(RIGHT - size, 4.0), (RIGHT - size, 8.0), (RIGHT, 8.0), (RIGHT, 4.0)]
    sheet.line(lines_path([ends]), INK, 0.9, "scale")
    sheet.text(RIGHT - size - 5.0, 10.2, f"{figure_words(figure)} {units.length_unit}", anchor="right", color=MUTED)


def _guides(
    sheet: Sheet, rows: TrainRows, rails: Sequence[float], per_g: float, heaviest: float, units: Units
) -> None:
    """The rails, the coupled train, and a faint line at a round weight."""
    ends = [max(one.right for one in rows.placed if one.row == row) for row in range(rows.count)]
    on = [y + WHEELS for y in rails]
    sheet.line(lines_path([[(LEFT, y), (end, y)] for y, end in zip(on, ends, strict=True)]), FAINT, 1.2)
    sheet.line(lines_path([[(LEFT, y - 2.0), (end, y - 2.0)] for y, end in zip(rails, ends, strict=True)]), INK, 1.0)
    if per_g <= 0.0:
        return
    unit_g = GRAMS_PER_OUNCE if units.inches else 1.0
    figure = round_under(heaviest / unit_g)
    high = figure * unit_g * per_g
    lines = [[(LEFT - 2.0, y - high), (end, y - high)] for y, end in zip(rails, ends, strict=True)]
    sheet.line(lines_path(lines), FAINT, 0.6, "weight")
    for y in rails:
        words = f"{figure_words(figure)} {units.name}"
        sheet.text(LEFT - 4.0, y - high + BASELINE, words, anchor="right", color=MUTED)


def _underframes(sheet: Sheet, placed: Sequence[Placed], rails: Sequence[float]) -> None:
    """A hint of the trucks, where their centers are."""
    boxes = []
    for one in placed:
        y, vehicle = rails[one.row], one.vehicle
        apart = 0.5 * vehicle.truck_centers_mm / vehicle.length_mm * one.length
        half = min(4.0, 0.12 * one.length)
        boxes += [(one.middle + at - half, y, one.middle + at + half, y + WHEELS) for at in (-apart, apart)]
    sheet.shape(boxes_path(boxes), ENGINE, "trucks")


def _bodies(sheet: Sheet, placed: Sequence[Placed], rails: Sequence[float], per_g: float, levels: Levels) -> None:
    cars = [one for one in placed if one.vehicle.use is not None]
    boxes = np.array([_body(one, rails[one.row], per_g) for one in cars]).reshape(-1, 4)
    level = levels.level([one.vehicle.use or 0.0 for one in cars])
    for number, shade in enumerate(SHADES):
        sheet.shape(boxes_path(boxes[level == number]), shade, f"level {number}")
    moved = np.array([one.vehicle.was is not None for one in cars], dtype=bool)
    sheet.line(boxes_path(boxes[~moved]), INK, 0.7, "bodies")
    sheet.line(boxes_path(boxes[moved]), INK, 1.9, "moved bodies")
    engines = [_nosed(one, rails[one.row]) for one in placed if one.vehicle.use is None]
    sheet.shape(lines_path(engines, closed=True), ENGINE, "engines", edge=INK)
    worst = [one for one in cars if one.vehicle.worst]
    for one in worst:
        top = _body(one, rails[one.row], per_g)[1]
        sheet.shape(pointer_path(one.middle, top - 13.0), ENGINE, "worst")


def _body(one: Placed, rail: float, per_g: float) -> tuple[float, float, float, float]:
    return one.left + COUPLER, rail - one.vehicle.weight_g * per_g, one.right - COUPLER, rail


def _nosed(one: Placed, rail: float) -> list[tuple[float, float]]:
    """An engine, its nose toward the head end."""
    left, right, top = one.left + COUPLER, one.right - COUPLER, rail - ENGINE_BODY
    nose = left + 0.16 * one.length
    return [(left, rail), (left, rail - 0.55 * ENGINE_BODY), (nose, top), (right, top), (right, rail)]


def _words(sheet: Sheet, one: Placed, name: Sequence[str], top: float, y: float, units: Units) -> None:
    """All that is said at a vehicle; `top` is that of its body, `y` the first line under it."""
    vehicle = one.vehicle
    if vehicle.spot is not None:
        sheet.text(one.middle, top - 3.5, percent(vehicle.use), anchor="center", bold=vehicle.worst)
        sheet.text(one.middle, y, str(vehicle.spot), anchor="center", bold=True)
    for number, line in enumerate(name, start=1):
        sheet.text(one.middle, y + LINE * number, line, anchor="center", bold=vehicle.spot is None)
    y += LINE * (len(name) + 1)
    sheet.text(one.middle, y, units.weight_figure(vehicle.weight_g), anchor="center", color=MUTED)
    if vehicle.was is not None:
        sheet.text(one.middle, y + LINE, shortened(f"was {vehicle.was}", one.length), anchor="center")


def _few_words(sheet: Sheet, one: Placed, top: float, y: float) -> None:
    """The same in a long train."""
    vehicle = one.vehicle
    if vehicle.spot is None:
        sheet.text(one.middle, y, shortened(vehicle.name, one.length, bold=True), anchor="center", bold=True)
        return
    sheet.text(one.middle, top - 3.5, percent(vehicle.use).removesuffix(" %"), anchor="center", bold=vehicle.worst)
    sheet.text(one.middle, y, str(vehicle.spot), anchor="center", bold=True)
    if vehicle.was is not None:
        sheet.text(one.middle, y + LINE, f"({vehicle.was})", anchor="center")


def _names(placed: Sequence[Placed]) -> list[list[str]]:
    """Every vehicle's name in as many lines: one where all names fit so, else two."""
    if all(width_of(one.vehicle.name) <= one.length - 2.0 for one in placed):
        return [[one.vehicle.name] for one in placed]
    parted = [one.vehicle.name.partition(" ") for one in placed]
    return [
        [shortened(line, one.length - 1.0) for line in ((first, rest) if rest else ("", first))]
        for one, (first, _, rest) in zip(placed, parted, strict=True)
    ]


def _makeup(vehicles: Sequence[Vehicle], units: Units) -> str:
    cars = [one for one in vehicles if one.spot is not None]
    engines = len(vehicles) - len(cars)
    length, weight = sum(one.length_mm for one in vehicles), sum(one.weight_g for one in cars)
    made = f"{counted(engines, 'engine')} and {counted(len(cars), 'car')}, {units.distance(length)} long"
    return f"{made}; the cars weigh {units.train_weight(weight)}."


def _describe_then(vehicles: Sequence[Vehicle]) -> str:
    moved = [one for one in vehicles if one.was is not None]
    worst = next((one for one in vehicles if one.worst), None)
    said = f"Cars that stand in another spot: {len(moved)} of {sum(one.spot is not None for one in vehicles)}."
    if worst is None:
        return f"{said} No car feels any side pull."
    return f"{said} The worst car is then {worst.name} in spot {worst.spot} with {percent(worst.use)} side use."
