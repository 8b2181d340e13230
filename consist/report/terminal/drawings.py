"""Pictures in text: every engine through the evening by the fast clock, and the profiles of routes and lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor

from rich.text import Text

from consist.evening.results import SessionCheck
from consist.power import PowerPlan, Turn
from consist.report.document import Picture
from consist.report.sheets.cells import use_words
from consist.report.sheets.power import HOUR, HOURS_APART, letters, power_order, whole_hours
from consist.report.terminal.lines import Stripe, fit, lay_out, paragraph
from consist.report.terminal.track import Mark, Sharpness, draw
from consist.report.terminal.writer import TextOf
from consist.report.words import clean, unbroken
from consist.session import Session
from consist.track import Layout
from consist.wording import Units, clock

__all__ = ["Clock", "engines_in_text", "lines_in_text", "routes_in_text"]

LINE_ROWS = 4
STEPS = (1, 2, 3, 4, 5, 6, 7.5, 10, 12, 15, 20, 30, 60, 120, 180, 240, 480)
"""Minutes that a column may stand for."""
RUNNING, HOUR_MARK, IDLE, ANYWHERE = "█", "·", "idle", "anywhere"
WIDE_PAGE, LEAST_CHART = 80, 12
WIDE_NAMES, NARROW_NAMES = (18, 15, 15), (12, 10, 10)
"""Columns that the names of an engine or class and of two places may take on a page that wide, or narrower."""


@dataclass(frozen=True)
class Clock:
    """Whole hours of the fast clock, from `start` to `finish` in minutes, in columns of `step` minutes."""

    start: int
    finish: int
    step: float

    @classmethod
    def of(cls, turns: Sequence[Turn], columns: int) -> Clock | None:
        """The hours of all turns in as many columns as there is room for; None where no turn has times."""
        hours = whole_hours(turns)
        if hours is None:
            return None
        start, finish = hours
        step = next((step for step in STEPS if (finish - start) / step <= columns), STEPS[-1])
        return cls(start, finish, step)

    @property
    def columns(self) -> int:
        """How many columns it takes."""
        return ceil((self.finish - self.start) / self.step)

    @property
    def told_hours(self) -> range:
        """The hours that there is room to tell, in minutes."""
        apart = next((hours for hours in HOURS_APART if hours * HOUR / self.step >= len("00") + 1), HOURS_APART[-1])
        return range(self.start, self.finish, apart * HOUR)

    def heading(self) -> str:
        """The hours, each beginning at its column: as 9:00 or, where that is too long, as 9, or only some of them."""
        row = [" "] * self.columns
        in_full = HOUR / self.step >= len("00:00") + 1
        for minutes in self.told_hours:
            figure = clock(minutes) if in_full else clock(minutes).removesuffix(":00")
            column = self._column(minutes)
            if column + len(figure) <= len(row):
                row[column : column + len(figure)] = figure
        return "".join(row)

    def draw(self, turns: Sequence[Turn], keys: Mapping[str, str]) -> str:
        """One engine's trips as blocks that begin with the train's letter, a mark at every hour told between them.

        Each trip has a column at least, and trips that share one are set side by side.

        >>> one = Turn("Dawn Turn", 75, 140, "Highkiln", "Westing")
        >>> Clock(60, 180, 10).draw([one], {"Dawn Turn": "A"})
        '·A██████    '
        """
        row = [" "] * self.columns
        for minutes in self.told_hours:
            row[self._column(minutes)] = HOUR_MARK
        free = 0
        for turn in turns:
            if turn.depart is None or turn.arrive is None:
                continue
            begin = min(max(self._column(turn.depart), free), self.columns - 1)
            end = min(max(ceil((turn.arrive - self.start) / self.step), begin + 1), self.columns)
            block = keys[turn.train].ljust(end - begin, RUNNING)[: end - begin]
            row[begin:end] = block
            free = end
        return "".join(row)

    def _column(self, minutes: float) -> int:
        return floor((minutes - self.start) / self.step)


def _timeline(session: Session, plan: PowerPlan, width: int) -> list[Text]:
    """The drawing, engines grouped by class, each with its home and where it ends, and the key of its letters."""
    keys = letters(plan)
    rows: list[tuple[tuple[str, str, str, str], Sequence[Turn] | None]] = []
    for engine_class, engines in session.classes.items():
        rows.append(((clean(engine_class), "", "", ""), None))
        for engine in engines:
            turns = plan.turns.get(engine.name, ())
            end = next((clean(turn.finish) for turn in reversed(turns) if turn.depart is not None), "")
            untimed = " ".join(keys[turn.train] for turn in turns if turn.depart is None)
            rows.append(((f"  {clean(engine.name)}", clean(engine.home) or ANYWHERE, end, untimed), turns))
    most = (*(WIDE_NAMES if width >= WIDE_PAGE else NARROW_NAMES), width)
    stripes = [
        Stripe(head, [Text(fit(told[k], most[k]), "" if k or trips is not None else "bold") for told, trips in rows])
        for k, head in enumerate(("engine", "home", "ends at", "untimed"))
    ]
    room = width - sum(stripe.natural + 1 for stripe in stripes if stripe.told)
    hours = Clock.of([turn for some in plan.turns.values() for turn in some], max(room, LEAST_CHART))

    def drawn(trips: Sequence[Turn] | None) -> str:
        if not trips:
            return "" if trips is None else IDLE
        return hours.draw(trips, keys) if hours else ""

    stripes.insert(2, Stripe(hours.heading() if hours else "", [Text(drawn(trips)) for _, trips in rows]))
    laid = lay_out(stripes, width)
    key = ", ".join(unbroken(f"{keys[train.train]} {train.train}") for train in power_order(plan))
    return [*(line for lines in laid for line in lines), *paragraph(f"{key}.", width, indent=0)]


def engines_in_text(session: Session, plan: PowerPlan) -> TextOf:
    """Draws the engines of an evening."""
    return lambda picture, width: _timeline(session, plan, width) if picture.kind == "engines" else []


def routes_in_text(session: Session, check: SessionCheck, units: Units) -> TextOf:
    """Draws each train's route in profile, with the place where its worst car stands."""
    trains = {train.name: train for train in session.trains}
    results = {result.train: result for result in check.trains}
    sharpness = Sharpness.of(session.layout.scale)

    def drawn(picture: Picture, width: int) -> list[Text]:
        if picture.kind != "profile" or picture.train is None:
            return []
        train, result = trains[picture.train], results[picture.train]
        mark = None
        if result.worst is not None:
            use = use_words(session.house, result.side_use)
            mark = Mark(result.worst.car_mm, f"{clean(result.worst.car)} stands here at its worst, {use}")
        lines = draw(train.route.centreline, train.route.places, units, sharpness, width, mark=mark)
        legend = f"Heights are over the start of the route. {sharpness.legend(units)}"
        return [*lines, *paragraph(legend, width, indent=0)]

    return drawn


def lines_in_text(layout: Layout, units: Units) -> TextOf:
    """Draws each line of a layout in profile, under its name; what the marks mean is told with the first."""
    sharpness = Sharpness.of(layout.scale)

    def drawn(picture: Picture, width: int) -> list[Text]:
        number = int(picture.train or 0)
        line = layout.lines[number - 1]
        places = ((line.start[0], 0.0), (line.finish[0], line.length_mm))
        legend = f"Heights are over the start of the line. {sharpness.legend(units)}"
        lines = [*paragraph(legend, width, indent=0), Text()] if number == 1 else []
        lines += paragraph(Text(picture.title, "bold"), width)
        return [*lines, *draw(line.centreline, places, units, sharpness, width, LINE_ROWS)]

    return drawn
