"""What a desk shows: its state as an object of JSON, and each train's sheet as the report has it."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator
from dataclasses import fields
from hashlib import sha256
from types import SimpleNamespace
from typing import Any

from consist.desk.desk import Before, Desk, Entry
from consist.desk.said import told
from consist.evening.overview import train_overview
from consist.evening.results import CarResult, TrainCheck
from consist.report.charts import Chart, train_chart
from consist.report.document import Picture
from consist.report.html import sheet_html
from consist.report.json import json_object
from consist.report.sheets.cells import bar_of, use_words
from consist.report.sheets.moves import gained_words, work_words
from consist.report.sheets.parts import cautions_last
from consist.report.sheets.session import checked
from consist.report.sheets.tasks import Task, tasks_of
from consist.report.sheets.train import train_sheet
from consist.report.words import counted, margin
from consist.session import CarInTrain, Session, Train
from consist.wording import Units, clock, percent, units_for

__all__ = [
    "MOST_DONE", "entry_shown", "mark_of", "sheet_of", "state", "state_text", "task_key", "units_of", "words_of",
]  # fmt: skip

MOST_DONE = 200
"""So many of the things done are shown."""


def units_of(session: Session) -> Units:
    """The units in which a session's sentences are told."""
    return units_for(session.layout.unit)


def mark_of(key: str) -> str:
    """A mark that stays with whoever has a key, and does not tell it."""
    return sha256(key.encode()).hexdigest()[:12]


def state_text(desk: Desk, only: Collection[str] | None = None) -> str:
    """The state as a text of JSON, with all trains or only those named."""
    return json.dumps(state(desk, only), ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def state(desk: Desk, only: Collection[str] | None = None) -> dict[str, Any]:
    """The desk's state as `json_keys.txt` declares it."""
    session, units = desk.session, units_of(desk.session)
    trains = [train for train in session.trains if only is None or train.name in only]
    tasks = tasks_of(checked(session, desk.checked), units)
    bar = bar_of(session.house, 0.0)
    return json_object(
        "desk state",
        {
            "revision": desk.revision,
            "session": session.title,
            "layout": session.layout.name,
            "units": units.name,
            "changed": desk.changed,
            "bar": {"care": bar.share(bar.care), "hold": bar.share(bar.hold)},
            "trains": [_train(desk, train) for train in trains],
            "idle": list(_idle(session)),
            "engines": list(_engines(session)),
            "tasks": [_task(desk, task) for task in tasks],
            "done": list(_done(desk, units)),
        },
    )


def _parts(of: object) -> dict[str, Any]:
    return {each.name: getattr(of, each.name) for each in fields(of)}  # type: ignore[arg-type]


def _train(desk: Desk, train: Train) -> dict[str, Any]:
    check, before = desk.checks[train.name], desk.before.get(train.name)
    units = units_of(desk.session)
    return {
        **_parts(check),
        "engines": [engine.name for engine in train.engines],
        "helpers": [engine.name for engine in train.helpers],
        "stops": train.route.stops,
        "places": [place for place, _ in train.route.places],
        "depart": None if train.depart is None else clock(train.depart),
        "standing": [_standing(desk, *pair, before, units) for pair in zip(train.cars, check.cars, strict=True)],
        "told": _told(check, before, units),
        "before": before,
    }


def _standing(desk: Desk, riding: CarInTrain, one: CarResult, before: Before | None, units: Units) -> dict[str, Any]:
    house, car = desk.session.house, riding.car
    was = None if before is None else before.uses.get(car.name)
    return {
        "car": car.name,
        "kind": car.kind,
        "loaded": riding.loaded,
        "load_g": car.load_g,
        "block": riding.block,
        "hold": riding.hold,
        "guest": car.guest,
        "weight": units.weight(riding.weight_g),
        "use": use_words(house, one.side_use),
        "level": house.level_of(one.side_use),
        "share": bar_of(house, one.side_use).share(one.side_use),
        "was": None if was is None else use_words(house, was),
    }


def _told(check: TrainCheck, before: Before | None, units: Units) -> dict[str, str | None]:
    better = None
    if check.suggestion is not None:
        moves = check.suggestion.moves
        better = f"{work_words(moves)}; {gained_words(check.margin, check.suggestion.margin)}"
    return {
        "margin": margin(check.margin),
        "power": percent(check.power.use),
        "train": f"{counted(len(check.cars), 'car')}, {units.train_weight(check.weight_g)}, "
        f"{units.distance(check.length_mm)}",
        "was_margin": None if before is None else margin(before.margin),
        "was_power": None if before is None else percent(before.power_use),
        "better": better,
    }


def _idle(session: Session) -> Iterator[dict[str, Any]]:
    units = units_of(session)
    riding = {each.car.name for train in session.trains for each in train.cars}
    for car in session.cars.values():
        if car.name not in riding:
            weight = units.weight(car.weight_g)
            yield {"car": car.name, "kind": car.kind, "weight": weight, "load_g": car.load_g, "guest": car.guest}


def _engines(session: Session) -> Iterator[dict[str, Any]]:
    for engine in session.engines.values():
        on = [train.name for train in session.trains if engine in (*train.engines, *train.helpers)]
        yield {"engine": engine.name, "engine_class": engine.engine_class, "trains": on}


def task_key(task: Task) -> str:
    """What names a task: who does it, for which train, and its own words."""
    return f"{task.who}: {task.train or ''}: {task.what}"


def _task(desk: Desk, task: Task) -> SimpleNamespace:
    key = task_key(task)
    return SimpleNamespace(**_parts(task), level=task.level, key=key, done=key in desk.ticked)


def _done(desk: Desk, units: Units) -> Iterator[dict[str, Any]]:
    for entry in reversed(desk.entries[-MOST_DONE:]):
        yield entry_shown(desk, entry, units)


def entry_shown(desk: Desk, entry: Entry, units: Units | None = None) -> dict[str, Any]:
    """What an entry did and who did it, as the state has it."""
    return {
        "revision": entry.revision,
        "by": mark_of(entry.key),
        "name": entry.name,
        "at": entry.at,
        "what": words_of(entry, units or units_of(desk.session)),
        "undoes": entry.undoes,
        "undone": entry.revision in desk.undone,
        "tick": entry.task is not None,
    }


def words_of(entry: Entry, units: Units) -> str:
    """What an entry did, in a few words."""
    if entry.undoes is not None:
        return f"change {entry.undoes} undone"
    if entry.task is not None:
        return f"{'done' if entry.done else 'not done after all'}: {entry.task.split(': ', 2)[-1]}"
    return "; ".join(told(change, units) for change in entry.changes)


def sheet_of(session: Session, name: str, number: int) -> str:
    """A train's sheet as the report's page has it, with its pictures, for the train of that name."""
    units, one = units_of(session), train_overview(session, session.train(name))
    (sheet,) = cautions_last(train_sheet(session, one, f"train-{number}", units))

    def chart_of(picture: Picture) -> Chart:
        return train_chart(picture.kind, one, session, units)

    return sheet_html(sheet, session.title, chart_of)
