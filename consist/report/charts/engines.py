"""Every engine through the evening: a row an engine, its trains as blocks along the fast clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from consist.power import PowerPlan, Turn
from consist.report.charts.drawing import WIDTH, Chart, Sheet, boxes_path, lines_path
from consist.report.charts.palette import FAINT, INK, MUTED, Shade
from consist.report.charts.plot import BASELINE, Key, Plot, words_entry
from consist.report.lettering import shortened, width_of
from consist.report.sheets.power import HOUR, HOURS_APART, letters, power_order, whole_hours
from consist.report.words import clean, counted
from consist.session import Session
from consist.stock import Engine
from consist.wording import clock

__all__ = ["engines_chart"]

TITLE = "The engines through the evening"
EDGE, HEADING, ENGINE_ROW, CLASS_ROW = 6.0, 16.0, 25.0, 15.0
NAME_ROOM = 92.0
BLOCK = 17.0
RUNNING = Shade("#b4c8d6")
MOST_UNTIMED = 60.0
"""The most that the letters of an engine's trains without times take."""
LEAST_HOUR = 30.0
ANYWHERE = "anywhere"
AXIS_ROOM = 16.0


@dataclass(frozen=True)
class _Row:
    """A line of the drawing, from `top` down: a class or an engine of it."""

    top: float
    engine_class: str
    engine: Engine | None = None


def engines_chart(plan: PowerPlan, session: Session) -> Chart:
    """The engines grouped by class, with their homes; trains without times stand at the right, untimed."""
    keys = letters(plan)
    turns = {name: plan.turns.get(name, ()) for name in session.engines}
    untimed = {
        name: " ".join(keys[turn.train] for turn in some if turn.depart is None) for name, some in turns.items()
    }
    side = min(max(map(width_of, untimed.values()), default=0.0), MOST_UNTIMED)
    side = max(side + 10.0, width_of("untimed")) + 12.0 if side > 0.0 else 0.0
    rows, bottom = _rows(session)
    key = Key(
        [words_entry(f"{keys[train.train]} {clean(train.train)}") for train in power_order(plan)], WIDTH - 2 * EDGE
    )
    sheet = Sheet(bottom + AXIS_ROOM + key.height)
    start, finish = whole_hours([turn for some in turns.values() for turn in some]) or (0, HOUR)
    hours = Plot(EDGE + NAME_ROOM + 8.0, HEADING, WIDTH - EDGE - 12.0 - side, bottom, start, finish)

    _clock(sheet, hours)
    sheet.line(lines_path([[(EDGE, row.top), (WIDTH - EDGE, row.top)] for row in rows]), FAINT, 0.5)
    if side:
        sheet.text(WIDTH - EDGE, HEADING - 5.0, "untimed", anchor="right", color=MUTED)
    for row in rows:
        if row.engine is None:
            sheet.text(EDGE, row.top + 11.0, shortened(row.engine_class, NAME_ROOM, bold=True), bold=True)
            continue
        _engine(sheet, hours, row, turns[row.engine.name], keys)
        _untimed(sheet, row, shortened(untimed[row.engine.name], MOST_UNTIMED))
    key.draw(sheet, EDGE, bottom + AXIS_ROOM - 2.0)
    return Chart("engines", TITLE, _describe(plan, session), sheet)


def _untimed(sheet: Sheet, row: _Row, letters: str) -> None:
    """The trains without times that an engine runs in, in a block like the others, at the side of the clock."""
    if not letters:
        return
    right, wide, middle = WIDTH - EDGE, width_of(letters) + 10.0, row.top + ENGINE_ROW / 2
    box = (right - wide, middle - BLOCK / 2, right, middle + BLOCK / 2)
    sheet.shape(boxes_path([box]), RUNNING, "untimed", edge=INK, width=0.8)
    sheet.text(right - wide / 2, middle + BASELINE, letters, anchor="center")


def _rows(session: Session) -> tuple[list[_Row], float]:
    """The rows from top to bottom, and where the last one ends."""
    rows: list[_Row] = []
    top = HEADING
    for engine_class, engines in session.classes.items():
        rows.append(_Row(top, clean(engine_class)))
        top += CLASS_ROW
        for engine in engines:
            rows.append(_Row(top, clean(engine_class), engine))
            top += ENGINE_ROW
    return rows, top


def _clock(sheet: Sheet, hours: Plot) -> None:
    minute = (hours.right - hours.left) / (hours.x_high - hours.x_low)
    apart = next((some for some in HOURS_APART if some * HOUR * minute >= LEAST_HOUR), HOURS_APART[-1])
    told = range(int(hours.x_low), int(hours.x_high) + 1, apart * HOUR)
    sheet.line(lines_path([[(x, hours.top), (x, hours.bottom)] for x in hours.x(list(told))]), FAINT, 0.6, "hours")
    for minutes in told:
        sheet.text(float(hours.x(minutes)), hours.top - 5.0, clock(minutes), anchor="center", color=MUTED)
    sheet.text(EDGE, hours.top - 5.0, "engine, home", color=MUTED)
    middle = 0.5 * (hours.left + hours.right)
    sheet.text(middle, hours.bottom + 11.0, "hours of the fast clock", anchor="center", color=MUTED)


def _engine(sheet: Sheet, hours: Plot, row: _Row, turns: Sequence[Turn], keys: dict[str, str]) -> None:
    assert row.engine is not None
    name, home = clean(row.engine.name), clean(row.engine.home)
    sheet.text(EDGE + 6.0, row.top + 10.5, shortened(name, NAME_ROOM - 6.0))
    sheet.text(EDGE + 6.0, row.top + 20.5, shortened(home or ANYWHERE, NAME_ROOM - 6.0), color=MUTED)
    if not turns:
        sheet.text(hours.left + 4.0, row.top + ENGINE_ROW / 2 + BASELINE, "idle", color=MUTED)
    top = row.top + (ENGINE_ROW - BLOCK) / 2
    lanes = _lanes(turns)
    high = BLOCK / (max(lane for _, lane in lanes) + 1) if lanes else BLOCK
    for turn, lane in lanes:
        left, right = hours.x((turn.depart or 0, turn.arrive or 0))
        box = (left, top + high * lane, max(right, left + 2.0), top + high * (lane + 1))
        sheet.shape(boxes_path([box]), RUNNING, f"turn {turn.train}", edge=INK, width=0.8)
        letter = keys[turn.train]
        words = f"{letter} {clean(turn.train)}"
        fits = width_of(words) <= box[2] - box[0] - 4.0
        sheet.text(
            float(box[0] + box[2]) / 2, (box[1] + box[3]) / 2 + BASELINE, words if fits else letter, anchor="center"
        )


def _lanes(turns: Sequence[Turn]) -> list[tuple[Turn, int]]:
    """The trips with times, each in the first lane that is free by then: one lane unless trips overlap."""
    free: list[int] = []
    placed = []
    for turn in turns:
        if turn.depart is None or turn.arrive is None:
            continue
        lane = next((number for number, until in enumerate(free) if until <= turn.depart), len(free))
        free[lane : lane + 1] = [turn.arrive]
        placed.append((turn, lane))
    return placed


def _describe(plan: PowerPlan, session: Session) -> str:
    idle = sum(not plan.turns.get(name) for name in session.engines)
    said = (
        f"{counted(len(plan.trains), 'train')} with {plan.engines_used} of {counted(len(session.engines), 'engine')}"
    )
    short = f"; {counted(len(plan.short), 'train')} short of power" if plan.short else ""
    return f"{said}, {idle} idle{short}."
