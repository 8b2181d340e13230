"""Every engine through the evening: a row an engine, its trains as blocks along the fast clock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import accumulate

from consist.power import PowerPlan, Turn
from consist.report.charts.drawing import WIDTH, Chart, Sheet, boxes_path
from consist.report.charts.key import Entry, draw_key
from consist.report.charts.palette import FAINT, INK, MUTED, Shade
from consist.report.charts.plot import BASELINE, Plot
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


def engines_chart(plan: PowerPlan, session: Session) -> Chart:
    """The engines grouped by class, with their homes; trains without times stand at the right, untimed."""
    keys = letters(plan)
    turns = {name: plan.turns.get(name, ()) for name in session.engines}
    untimed = [width_of(_untimed(some, keys)) for some in turns.values()]
    side = min(max(untimed, default=0.0), MOST_UNTIMED)
    side = max(side + 10.0, width_of("untimed")) + 12.0 if side > 0.0 else 0.0
    rows: list[str | Engine] = []
    for engine_class, engines in session.classes.items():
        rows += [engine_class, *engines]
    highs = [CLASS_ROW if isinstance(row, str) else ENGINE_ROW for row in rows]
    *tops, bottom = accumulate(highs, initial=HEADING)
    start, finish = whole_hours([turn for some in turns.values() for turn in some]) or (0, HOUR)
    hours = Plot(EDGE + NAME_ROOM + 8.0, HEADING, WIDTH - EDGE - 12.0 - side, bottom, start, finish)

    sheet = Sheet()
    _clock(sheet, hours)
    sheet.line([[(EDGE, top), (WIDTH - EDGE, top)] for top in tops], FAINT, 0.5)
    if side:
        sheet.text(WIDTH - EDGE, HEADING - 5.0, "untimed", anchor="right", color=MUTED)
    for top, row in zip(tops, rows, strict=True):
        if isinstance(row, str):
            sheet.text(EDGE, top + 11.0, shortened(clean(row), NAME_ROOM, bold=True), bold=True)
        else:
            _engine(sheet, hours, top, row, turns[row.name], keys)
    key = [Entry(f"{keys[train.train]} {clean(train.train)}") for train in power_order(plan)]
    sheet.ends_at(draw_key(sheet, key, EDGE, bottom + AXIS_ROOM - 2.0) + 2.0)
    return Chart("engines", TITLE, _describe(plan, session), sheet)


def _block(sheet: Sheet, box: tuple[float, float, float, float], words: str, label: str) -> None:
    """Trains that an engine runs in."""
    left, top, right, bottom = box
    sheet.shape(boxes_path([box]), RUNNING, label, edge=INK, width=0.8)
    sheet.text((left + right) / 2, (top + bottom) / 2 + BASELINE, words, anchor="center")


def _clock(sheet: Sheet, hours: Plot) -> None:
    minute, above = (hours.right - hours.left) / (hours.x_high - hours.x_low), hours.top - 5.0
    apart = next((some for some in HOURS_APART if some * HOUR * minute >= LEAST_HOUR), HOURS_APART[-1])
    told = range(int(hours.x_low), int(hours.x_high) + 1, apart * HOUR)
    xs = hours.x(list(told)).tolist()
    sheet.line([[(x, hours.top), (x, hours.bottom)] for x in xs], FAINT, 0.6, "hours")
    for minutes, x in zip(told, xs, strict=True):
        sheet.text(x, above, clock(minutes), anchor="center", color=MUTED)
    sheet.text(EDGE, above, "engine, home", color=MUTED)
    sheet.text(hours.middle, hours.bottom + 11.0, "hours of the fast clock", anchor="center", color=MUTED)


def _untimed(turns: Sequence[Turn], keys: Mapping[str, str]) -> str:
    return " ".join(keys[turn.train] for turn in turns if turn.depart is None)


def _engine(
    sheet: Sheet, hours: Plot, row_top: float, engine: Engine, turns: Sequence[Turn], keys: Mapping[str, str]
) -> None:
    left, right, top = EDGE + 6.0, WIDTH - EDGE, row_top + (ENGINE_ROW - BLOCK) / 2
    sheet.text(left, row_top + 10.5, shortened(clean(engine.name), NAME_ROOM - 6.0))
    sheet.text(left, row_top + 20.5, shortened(clean(engine.home) or ANYWHERE, NAME_ROOM - 6.0), color=MUTED)
    if not turns:
        sheet.text(hours.left + 4.0, row_top + ENGINE_ROW / 2 + BASELINE, "idle", color=MUTED)
    lanes = _lanes(turns)
    high = BLOCK / (max((lane for *_, lane in lanes), default=0) + 1)
    for turn, begin, end, lane in lanes:
        start, finish = hours.x((begin, end)).tolist()
        finish = max(finish, start + 2.0)
        words = f"{keys[turn.train]} {clean(turn.train)}"
        told = words if width_of(words) <= finish - start - 4.0 else keys[turn.train]
        _block(sheet, (start, top + high * lane, finish, top + high * (lane + 1)), told, f"turn {turn.train}")
    if words := shortened(_untimed(turns, keys), MOST_UNTIMED):
        _block(sheet, (right - width_of(words) - 10.0, top, right, top + BLOCK), words, "untimed")


def _lanes(turns: Sequence[Turn]) -> list[tuple[Turn, int, int, int]]:
    """The trips with times, those, and the first lane that is free by then: one lane unless trips overlap."""
    free: list[int] = []
    placed = []
    for turn in turns:
        if turn.depart is not None and turn.arrive is not None:
            lane = next((number for number, until in enumerate(free) if until <= turn.depart), len(free))
            free[lane : lane + 1] = [turn.arrive]
            placed.append((turn, turn.depart, turn.arrive, lane))
    return placed


def _describe(plan: PowerPlan, session: Session) -> str:
    idle = sum(not plan.turns.get(name) for name in session.engines)
    trains, engines = counted(len(plan.trains), "train"), counted(len(session.engines), "engine")
    short = f"; {counted(len(plan.short), 'train')} short of power" if plan.short else ""
    return f"{trains} with {plan.engines_used} of {engines}, {idle} idle{short}."
