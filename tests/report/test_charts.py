"""The pictures of a report show the figures of the results: read back from what is drawn, as a reader would."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from chart_samples import (
    CARE,
    GRAMS,
    HOLD,
    LENGTHS,
    OUNCES,
    USES,
    WEIGHTS,
    axis,
    boxes,
    drawn,
    made,
    middle,
    shape,
    spans,
    words,
)

from consist.evening.overview import Reordered
from consist.house import House
from consist.power import PowerPlan, TrainPower, Turn
from consist.report.charts import engines_chart, kinds_of, train_chart
from consist.report.charts.drawing import Chart, Sheet
from consist.report.charts.names import NamesAlong
from consist.report.charts.palette import BUFF, CURVE, ENGINE, INK, MUTED, SHADES, TENSION, Levels
from consist.report.document import ChartKind
from consist.session import CarInTrain
from consist.wording import Units

GRAMS_PER_OUNCE, MM_PER_INCH = 28.349523125, 25.4  # international avoirdupois ounce and inch, by definition


@pytest.mark.parametrize(("units", "unit_g", "name"), [(OUNCES, GRAMS_PER_OUNCE, "oz"), (GRAMS, 1.0, "g")])
def test_drawbar_bars_are_as_long_as_the_forces(units: Units, unit_g: float, name: str) -> None:
    seen, chart = drawn("drawbar", units)
    assert seen.moment is not None
    per_unit, _ = axis(chart, 1, 36.0)
    zero = shape(chart, "no force")[0, 1]
    forces = []
    for box in boxes(chart, "tension"):
        assert box[3] == pytest.approx(zero)
        forces.append((box[1] - zero) / per_unit * unit_g)
    for box in boxes(chart, "buff"):
        assert box[1] == pytest.approx(zero)
        forces.append((box[3] - zero) / per_unit * unit_g)
    assert forces == pytest.approx(list(seen.moment.tension_g), abs=1e-6)
    assert (shape(chart, "greatest tension")[:, 1].min() - zero) / per_unit * unit_g == pytest.approx(100.0)
    assert (shape(chart, "greatest buff")[:, 1].max() - zero) / per_unit * unit_g == pytest.approx(-35.0)
    assert f"drawbar force, {name}" in [text for text, *_ in words(chart)]


@pytest.mark.parametrize(("tension_g", "buff_g"), [(100.0, 400.0), (4000.0, 35.0), (0.0, 900.0)])
def test_the_greatest_tension_and_buff_stand_within_the_picture(tension_g: float, buff_g: float) -> None:
    """However far past the forces of the moment drawn: the greatest buff of another moment ran off the edge."""
    session, seen = made()
    assert seen.moment is not None
    most = np.full_like(seen.moment.tension_g, 1.0)
    seen = replace(seen, moment=replace(seen.moment, most_tension_g=tension_g * most, most_buff_g=buff_g * most))
    chart = train_chart("drawbar", seen, session, GRAMS)
    per_g, _ = axis(chart, 1, 36.0)
    zero, bottom = shape(chart, "no force")[0, 1], 158.0
    deepest = shape(chart, "greatest buff")[:, 1].max()
    assert (deepest - zero) / per_g == pytest.approx(-buff_g)
    assert deepest < bottom
    drawn_to = [shape(chart, label)[:, 1] for label in ("tension", "buff", "greatest buff")]
    drawn_to += [shape(chart, "greatest tension")[:, 1]] if tension_g else []
    for each in drawn_to:
        assert 18.0 <= each.min() <= each.max() <= bottom


def test_drawbar_tells_tension_and_buff_apart_by_hatch_and_words() -> None:
    _, chart = drawn("drawbar")
    assert {"tension", "buff"} <= {text for text, *_ in words(chart)}
    assert len(shape(chart, "buff hatch")) == len(shape(chart, "buff")) > 0
    assert len(shape(chart, "tension hatch")) == 0
    assert TENSION.fill != BUFF.fill


def test_couplings_and_the_worst_car_stand_where_they_are_in_the_train() -> None:
    seen, chart = drawn("drawbar", GRAMS)
    assert seen.moment is not None
    line = max(y for text, _, y, _ in words(chart) if text == "0.5")
    per_metre, zero = axis(chart, 0, line)
    couplings = [0.5 * (box[0] + box[2]) for label in ("tension", "buff") for box in boxes(chart, label)]
    ends = np.cumsum([230.0, 230.0, *LENGTHS])[:-1]
    assert (np.array(couplings) - zero) / per_metre * 1000.0 == pytest.approx(ends)
    # QLM 1 has the greatest use and stands behind two engines of 230 mm
    assert (middle(chart, "worst")[0] - zero) / per_metre * 1000.0 == pytest.approx(460.0 + 75.0, rel=1e-3)


def test_every_cell_is_shaded_by_its_level() -> None:
    _, chart = drawn("side-use")
    assert chart.along is not None
    rows, columns = USES.shape
    levels = [boxes(chart, f"level {number}") for number in range(len(SHADES))]
    for row, column in itertools.product(range(rows), range(columns)):
        x = chart.along.left + (column + 0.5) * (chart.along.right - chart.along.left) / columns
        y = chart.along.top + (row + 0.5) * (chart.along.bottom - chart.along.top) / rows
        inside = [
            number
            for number, held in enumerate(levels)
            if ((held[:, 0] < x) & (held[:, 2] > x) & (held[:, 1] < y) & (held[:, 3] > y)).any()
        ]
        use = USES[row, column]
        if np.isnan(use):
            assert not inside
        else:
            assert max(inside) == sum(use > bound for bound in (0.22, 0.44, CARE, HOLD))


def test_where_a_car_is_not_in_the_train_a_faint_line_runs() -> None:
    _, chart = drawn("side-use")
    assert chart.along is not None
    lines = shape(chart, "not in the train").reshape(-1, 2, 2)
    row = (chart.along.bottom - chart.along.top) / len(USES)
    column = (chart.along.right - chart.along.left) / USES.shape[1]
    wanted = [(2, 2, 6), (5, 0, 2)]  # by USES: the row, the first column that is empty, and that past the last
    assert len(lines) == len(wanted)
    for (number, start, finish), line in zip(wanted, lines, strict=True):
        assert line[:, 0] == pytest.approx([chart.along.left + column * end for end in (start, finish)])
        assert line[:, 1] == pytest.approx([chart.along.top + row * (number + 0.5)] * 2)


def test_the_worst_cell_is_ringed_and_care_and_hold_are_hatched() -> None:
    seen, chart = drawn("side-use")
    assert chart.along is not None
    assert seen.check.worst is not None
    share = seen.check.worst.head_mm / seen.train.route.length_mm
    x = chart.along.left + share * (chart.along.right - chart.along.left)
    y = chart.along.top + 0.5 * (chart.along.bottom - chart.along.top) / len(USES)
    assert middle(chart, "worst") == pytest.approx([x, y])
    assert [len(shape(chart, f"level {number} hatch")) > 0 for number in range(5)] == [
        False,
        False,
        False,
        True,
        True,
    ]
    assert [shade.hatch for shade in SHADES[:3]] == ["", "", ""]
    assert SHADES[3].hatch != SHADES[4].hatch


def test_shades_go_evenly_from_light_to_dark_and_ink_reads_on_white() -> None:
    light = [_luminance(shade.fill) for shade in SHADES]
    assert all(one / other > 1.25 for one, other in itertools.pairwise(light))
    for color in (INK, MUTED):
        assert 1.05 / (_luminance(color) + 0.05) >= 4.5  # WCAG 2.2, success criterion 1.4.3
    assert 1.05 / (_luminance(CURVE.fill) + 0.05) >= 1.05 / (_luminance(TENSION.fill) + 0.05) >= 2.5
    assert _luminance(ENGINE.fill) < 0.1


def _luminance(color: str) -> float:
    """Relative luminance, WCAG 2.2."""
    parts = [int(color[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_levels_begin_only_past_their_bounds() -> None:
    levels = Levels.of(House())
    assert list(levels.level([0.0, CARE, np.nextafter(CARE, 1.0), HOLD, np.nextafter(HOLD, 2.0)])) == [0, 2, 3, 3, 4]


@pytest.mark.parametrize(("units", "unit_mm", "unit_g"), [(OUNCES, MM_PER_INCH, GRAMS_PER_OUNCE), (GRAMS, 1.0, 1.0)])
def test_vehicles_are_to_scale(units: Units, unit_mm: float, unit_g: float) -> None:
    seen, chart = drawn("train", units)
    figure, unit = next(text for text, x, y, anchor in words(chart) if anchor == "right" and y < 15.0).split()
    assert unit == units.length_unit
    bar = shape(chart, "scale")
    per_mm = (bar[:, 0].max() - bar[:, 0].min()) / (float(figure) * unit_mm)
    cars = boxes(chart, "bodies")
    gap = LENGTHS[0] * per_mm - (cars[0, 2] - cars[0, 0])
    assert 0.0 < gap < 5.0
    assert (cars[:, 2] - cars[:, 0] + gap) / per_mm == pytest.approx(np.array(LENGTHS))
    high, name = next(
        text for text, *_, anchor in words(chart) if anchor == "right" and text.endswith(f" {units.name}")
    ).split()
    guide = shape(chart, "weight")[0, 1]
    assert name == units.name
    per_g = (cars[0, 3] - guide) / (float(high) * unit_g)
    assert (cars[:, 3] - cars[:, 1]) / per_g == pytest.approx(np.array(WEIGHTS))
    assert len(seen.train.cars) == len(cars)


def test_rows_have_one_scale_and_no_vehicle_runs_out_of_them() -> None:
    lengths = tuple(90.0 + 17.0 * (k % 11) for k in range(40))
    session, seen = made(lengths, np.full((40, 3), 0.1))
    chart = train_chart("train", seen, session, GRAMS)
    cars = boxes(chart, "bodies")
    rows = np.unique(cars[:, 3])
    assert len(rows) > 2
    assert cars[:, 2].max() <= chart.width
    size = cars[:, 2] - cars[:, 0]
    slope, gap = np.polyfit(lengths, size, 1)
    assert size == pytest.approx(slope * np.array(lengths) + gap)
    for left, right in itertools.pairwise(cars):
        assert right[0] > left[2] or right[3] > left[3]


def test_every_car_is_told_with_spot_name_weight_and_use_and_the_worst_pointed_at() -> None:
    _, chart = drawn("train", GRAMS)
    told = [text for text, *_ in words(chart)]
    assert {"30", "31", "400", "head end"} <= set(told)
    bodies = boxes(chart, "bodies")
    assert len(bodies) == len(WEIGHTS)
    for spot, (body, weight_g) in enumerate(zip(bodies, WEIGHTS, strict=True), start=1):
        under = [
            (y, text)
            for text, x, y, _ in words(chart)
            if abs(x - 0.5 * (body[0] + body[2])) < 0.1 and body[3] < y < body[3] + 45.0
        ]
        # a long name takes two lines
        assert " ".join(text for _, text in sorted(under)) == f"{spot} QLM {spot} {weight_g:.0f}"
    assert [text for text in told if text.endswith(" %") and ":" not in text and not text.startswith("to ")] == [
        "120 %",
        "100 %",
        "0 %",
        "90 %",
        "0 %",
        "101 %",
    ]
    at = next(x for text, x, *_ in words(chart) if text == "120 %")
    assert middle(chart, "worst")[0] == pytest.approx(at)


def test_the_order_suggested_marks_the_cars_that_move() -> None:
    session, seen = made()
    one, two, *rest = seen.train.cars
    moved = replace(seen.train, cars=(_in_spot(two, 1), _in_spot(one, 2), *rest))
    uses = {car.car.name: 0.05 * car.spot for car in moved.cars}
    with_after = replace(seen, after=Reordered(moved, uses))
    chart = train_chart("then", with_after, session, GRAMS)
    told = [text for text, *_ in words(chart)]
    assert [text for text in told if text.startswith("was ")] == ["was 2", "was 1"]
    assert len(boxes(chart, "moved bodies")) == 2
    assert len(boxes(chart, "bodies")) == 4
    assert "30 %" in told  # the sixth car's
    assert "2 of 6" in chart.describe
    assert boxes(chart, "moved bodies")[0, 2] - boxes(chart, "moved bodies")[0, 0] > 1.2 * (
        boxes(chart, "moved bodies")[1, 2] - boxes(chart, "moved bodies")[1, 0]
    )  # 210 mm now stands before 150 mm


def _in_spot(car: CarInTrain, number: int) -> CarInTrain:
    return replace(car, spot=number)


def test_the_plan_has_one_scale_and_turns_the_right_way() -> None:
    seen, chart = drawn("plan", GRAMS)
    track = np.array(chart.track)
    figure, unit = next(text for text, x, *_ in words(chart) if text.endswith(" m") and text[0].isdigit()).split()
    assert unit == "m"
    bar = shape(chart, "scale")
    per_mm = np.ptp(bar[:, 0]) / (float(figure) * 1000.0)
    steps = np.hypot(*np.diff(track, axis=0).T)
    assert len(track) == 101
    assert steps == pytest.approx(seen.train.route.length_mm / 100 * per_mm, rel=0.01)
    # 1000 mm straight, then 90 degrees to the left: y goes down the sheet, so that the turn is negative
    (ax, ay), (bx, by) = track[5] - track[0], track[60] - track[0]
    assert ax * by - ay * bx < 0.0
    assert seen.check.worst is not None
    at = seen.check.worst.car_mm / seen.train.route.length_mm * 100
    here = [np.interp(at, np.arange(101), track[:, axis_]) for axis_ in (0, 1)]
    assert middle(chart, "worst") == pytest.approx(here, abs=0.5)
    assert (track >= 0.0).all()
    assert (track <= [chart.width, chart.height]).all()


def test_the_train_on_the_plan_reaches_back_from_its_head() -> None:
    seen, chart = drawn("plan")
    assert seen.moment is not None
    track = np.array(chart.track)
    per_mm = np.hypot(*np.diff(track, axis=0).T).sum() / seen.train.route.length_mm
    train = shape(chart, "train")
    assert np.hypot(*np.diff(train, axis=0).T).sum() == pytest.approx(seen.moment.total_mm * per_mm, rel=0.01)
    at = seen.moment.head_mm / seen.train.route.length_mm * 100
    assert train[-1] == pytest.approx([np.interp(at, np.arange(101), track[:, k]) for k in (0, 1)], abs=0.5)


@pytest.mark.parametrize("kind", ["plan", "profile", "side-use"])
def test_names_of_places_stand_clear_of_each_other_and_within_the_picture(kind: ChartKind) -> None:
    _, chart = drawn(kind)
    names = [(left, right, y) for text, left, right, y in spans(chart) if text in ("Low Yard", "Fork", "Hill Top")]
    assert len(names) == 3
    for (left, right, y), (other_left, other_right, other_y) in itertools.combinations(names, 2):
        assert right < other_left or other_right < left or abs(y - other_y) >= 9.0
    for _, left, right, y in spans(chart):
        assert left >= 0.0
        assert right <= chart.width
        assert 7.0 <= y <= chart.height - 2.0


@pytest.mark.parametrize("apart", [4.0, 11.0, 23.0, 37.0, 60.0])
def test_crowded_names_cover_neither_each_other_nor_the_lines_from_the_drawing(apart: float) -> None:
    places = [(f"Place {'abc' * (k % 4)}", 80.0 + apart * k) for k in range(7) if 80.0 + apart * k <= 390.0]
    names = NamesAlong(places, 80.0, 398.0)
    sheet = Sheet(names.height + 20.0)
    names.draw(sheet, names.height, names.height, MUTED)
    chart = Chart("profile", "", "", sheet)
    told = spans(chart)
    assert len(told) == len(places)
    for (_, left, right, y), (_, other_left, other_right, other_y) in itertools.combinations(told, 2):
        assert right < other_left or other_right < left or abs(y - other_y) >= 9.0
    for (x, bottom), (_, top) in shape(chart, "leaders").reshape(-1, 2, 2):
        assert not any(left < x - 2.5 and x + 2.5 < right and top + 2.0 < y < bottom for _, left, right, y in told)
    assert all(left >= 80.0 and right <= 398.0 for _, left, right, _ in told)


@pytest.mark.parametrize(("units", "unit_mm", "far_mm"), [(OUNCES, 25.4, 304.8), (GRAMS, 1.0, 1000.0)])
def test_the_profile_shows_heights_and_curves_where_they_are(units: Units, unit_mm: float, far_mm: float) -> None:
    seen, chart = drawn("profile", units)
    assert chart.along is not None
    assert chart.along.route_mm == pytest.approx(seen.train.route.length_mm)
    per_height, zero = axis(chart, 1, chart.along.left - 4.0)
    per_far, start = axis(chart, 0, chart.along.bottom + 11.0)
    zero -= 3.2  # the figures' baseline is that much below their line
    line = shape(chart, "height")
    # 90 degrees at 600 mm at 2 %, 60 degrees at 800 mm and 150 mm of easement at 1 %, then 1500 mm at 1.5 %
    first, second = 600.0 * np.pi / 2, 800.0 * np.pi / 3 + 150.0
    ends = np.cumsum([0.0, 1000.0, first, second, 1500.0])
    heights = np.cumsum([0.0, 0.0, 0.02 * first, 0.01 * second, 22.5])
    at, high = (line[:, 0] - start) / per_far * far_mm, (line[:, 1] - zero) / per_height * unit_mm
    assert high == pytest.approx(np.interp(at, ends, heights), abs=0.2)
    left, right = shape(chart, "left"), shape(chart, "right")
    level = left[:, 1].max()
    assert (left[left[:, 1] < level - 1.0, 0].min() - start) / per_far * far_mm == pytest.approx(1000.0, rel=1e-3)
    assert (level - left[:, 1].min()) * 600.0 == pytest.approx((right[:, 1].max() - level) * 800.0)
    assert seen.check.worst is not None
    assert (middle(chart, "worst")[0] - start) / per_far * far_mm == pytest.approx(seen.check.worst.car_mm)


@pytest.mark.parametrize(
    ("kind", "labels"),
    [
        ("profile", ["height, in", "distance from Low Yard, ft", "curve radius"]),
        ("side-use", ["place of the head end, ft from Low Yard", "side use", "care: to 100 %", "hold: above"]),
        ("drawbar", ["drawbar force, oz", "distance back from the head end, ft"]),
    ],
)
def test_axes_are_labelled_with_their_units(kind: ChartKind, labels: list[str]) -> None:
    _, chart = drawn(kind)
    assert set(labels) <= {text for text, *_ in words(chart)}


def test_what_there_is_not_is_not_offered() -> None:
    session, seen = made()
    assert kinds_of(seen) == ("train", "plan", "profile", "side-use", "drawbar")
    with pytest.raises(ValueError, match="suggests none for Turn"):
        train_chart("then", seen, session, OUNCES)
    with pytest.raises(ValueError, match="nothing is coupled in Turn"):
        train_chart("drawbar", replace(seen, moment=None), session, OUNCES)
    with pytest.raises(ValueError, match="not one of a train"):
        train_chart("engines", seen, session, OUNCES)


def test_a_train_without_cars_and_one_without_engines_are_drawn() -> None:
    session, alone = made((), np.empty((0, 3)), engines=1, worst=False)
    assert kinds_of(alone) == ("train", "plan", "profile")
    assert "1 engine and 0 cars" in train_chart("train", alone, session, OUNCES).describe
    session, pushed = made(engines=0)
    assert kinds_of(pushed) == ("train", "plan", "profile", "side-use", "drawbar")
    assert len(shape(train_chart("train", pushed, session, OUNCES), "engines")) == 0
    assert "engine" not in [text for text, *_ in words(train_chart("drawbar", pushed, session, OUNCES))]


def test_without_a_worst_car_nothing_is_ringed() -> None:
    session, seen = made(uses=np.zeros((6, 4)), worst=False)
    for kind in kinds_of(seen):
        chart = train_chart(kind, seen, session, OUNCES)
        assert len(shape(chart, "worst")) == 0
        assert kind == "drawbar" or "No car feels any side pull." in chart.describe


def test_a_hundred_cars_are_drawn_with_rows_that_can_be_told_apart() -> None:
    session, seen = made(tuple(90.0 + k % 3 for k in range(100)), np.tile([0.1, 0.9], (100, 8)))
    chart = train_chart("side-use", seen, session, OUNCES)
    assert chart.along is not None
    assert (chart.along.bottom - chart.along.top) / 100 >= 4.0
    spots = sorted(
        y for text, _, y, anchor in words(chart) if text.isdigit() and anchor == "right" and y < chart.along.bottom
    )
    assert all(lower - upper >= 9.0 for upper, lower in itertools.pairwise(spots))
    train = train_chart("train", seen, session, OUNCES)
    assert len(boxes(train, "bodies")) == 100
    assert {str(spot) for spot in range(1, 101)} <= {text for text, *_ in words(train)}


def test_the_engines_run_by_the_clock() -> None:
    session, _ = made()
    turns = {
        "30": (Turn("Dawn", 600, 690, "A", "B"), Turn("Dusk", 720, 750, "B", "A")),
        "31": (Turn("Late", None, None, "A", "B"),),
    }
    trains = tuple(
        TrainPower(name, "A", "B", depart, None, (), (), None, None, False)
        for name, depart in (("Dawn", 600), ("Dusk", 720), ("Late", None))
    )
    chart = engines_chart(PowerPlan("", "", trains, turns, True), session)
    clock = {text: x for text, x, *_ in words(chart)}
    minute = (clock["12:00"] - clock["10:00"]) / 120.0
    dawn, dusk = boxes(chart, "turn Dawn")[0], boxes(chart, "turn Dusk")[0]
    assert [dawn[0], dawn[2]] == pytest.approx([clock["10:00"], clock["10:00"] + 90 * minute])
    assert [dusk[0], dusk[2]] == pytest.approx([clock["12:00"], clock["12:00"] + 30 * minute])
    told = [text for text, *_ in words(chart)]
    assert {"A Dawn", "B Dusk", "C Late", "untimed", "C", "anywhere", "hours of the fast clock"} <= set(told)
    assert "idle" not in told
    still = engines_chart(PowerPlan("", "", trains, {}, True), session)
    assert [text for text, *_ in words(still)].count("idle") == 2
