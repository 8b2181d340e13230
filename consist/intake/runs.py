"""The log of what really happened: `runs.csv` in a session's folder, one row a run, with what was predicted for it.

What a train ran with and what was then predicted of each of its cars stand in the row, so that later weighings do not
rewrite history. Lists stand in their cells as JSON, which people and spreadsheets can read too.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, get_args

from consist.errors import InputError
from consist.intake.files import Reading, file_bytes, raise_problems
from consist.intake.writing import turn_to_write, write_whole
from consist.names import no_formula, quoted

__all__ = ["RUNS", "Doing", "Happened", "LoggedRun", "StretchUses", "append_run", "read_runs", "take_back_run"]

RUNS = "runs.csv"
Happened = Literal["clean", "off", "stalled", "parted"]
Doing = Literal["starting", "stopping", "pulling", "pushing", "backing"]
COLUMNS = (
    "time", "train", "what", "car", "at", "past_mm", "while", "note", "model", "power_use", "engines", "cars", "uses",
)  # fmt: skip


@dataclass(frozen=True)
class StretchUses:
    """What was predicted between two places of a route: each car's side use there, in the order of the run's cars.

    None for a car that does not ride there.
    """

    start: str
    finish: str
    uses: tuple[float | None, ...]


@dataclass(frozen=True)
class LoggedRun:
    """One run of a train: what happened, and what it ran with and was predicted to do.

    `at` has the place, or the two places between which it happened, and `past_mm` how far past the first, None where
    that was not said. `cars` are the cars with what each weighed (g), in standing order. `model` is the number of the
    model that predicted; `power_use` is None for a train without engines.
    """

    time: str
    train: str
    what: Happened
    car: str = ""
    at: tuple[str, ...] = ()
    past_mm: float | None = None
    doing: Doing | None = None
    note: str = ""
    model: int = 0
    power_use: float | None = None
    engines: tuple[str, ...] = ()
    cars: tuple[tuple[str, float], ...] = ()
    uses: tuple[StretchUses, ...] = ()


def append_run(folder: Path, run: LoggedRun) -> None:
    """Add a run to the log of a session's folder. Raises `InputError` with the log as it was."""
    path = folder / RUNS
    with turn_to_write(path):
        before = _content(path)
        head = b"" if before else _line(COLUMNS)
        gap = b"\r\n" if before and not before.endswith((b"\n", b"\r")) else b""
        write_whole(path, before + gap + head + _line(_cells(run)))


def take_back_run(folder: Path) -> LoggedRun:
    """Take the last run out of the log, and tell which it was. Raises `InputError` where there is none."""
    path = folder / RUNS
    with turn_to_write(path):
        content = _content(path)
        runs = _read(path, content)
        if not runs:
            raise InputError.of(RUNS, "found no run to take back; the log holds none")
        rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))
        last = max(number for number, row in enumerate(rows) if any(row))
        # whatever rows stand before it stay, byte by byte as they are read
        write_whole(path, b"".join(map(_line, rows[:last])))
        return runs[-1]


def read_runs(folder: Path) -> tuple[LoggedRun, ...]:
    """The runs that a session's folder has logged, none where there is no log.

    Raises `InputError` with a line for each row that cannot be read.
    """
    path = folder / RUNS
    return _read(path, _content(path))


def _content(path: Path) -> bytes:
    if not path.exists():
        return b""
    reading = Reading(path.name)
    try:
        content = file_bytes(path, reading)
    finally:
        raise_problems(reading)
    return content


def _line(cells: Sequence[str]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out).writerow(cells)
    return out.getvalue().encode("utf-8")


def _cells(run: LoggedRun) -> list[str]:
    uses = [[each.start, each.finish, [_short(use) for use in each.uses]] for each in run.uses]
    return [
        run.time,
        no_formula(run.train),
        run.what,
        no_formula(run.car),
        _json(run.at) if run.at else "",
        "" if run.past_mm is None else f"{run.past_mm:.1f}",
        run.doing or "",
        no_formula(run.note),
        str(run.model),
        "" if run.power_use is None else f"{run.power_use:.4g}",
        _json(run.engines),
        _json([[name, round(weight, 2)] for name, weight in run.cars]),
        _json(uses),
    ]


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _short(use: float | None) -> float | None:
    return None if use is None else float(f"{use:.4g}")


def _read(path: Path, content: bytes) -> tuple[LoggedRun, ...]:
    reading = Reading(path.name)
    if not content:
        return ()
    try:
        rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""), strict=True))
    except (UnicodeDecodeError, csv.Error):
        raise InputError.of(path.name, "found no table in UTF-8; restore it from a copy, or move it away") from None
    if not rows or not {*COLUMNS} <= {*rows[0]}:
        told = f"found no columns {', '.join(COLUMNS)}; restore its first row, or move the file away"
        raise InputError.of(path.name, told)
    runs = []
    for number, row in enumerate(rows[1:], start=2):
        if any(row):
            cells = dict(zip(rows[0], row, strict=False))
            try:
                runs.append(_run(cells))
            except _Bad as bad:
                reading.problem(
                    f"row {number}, {bad.column}", f"found {quoted(bad.text)}, expected {bad.wanted}; {CURE}"
                )
    raise_problems(reading)
    return tuple(runs)


CURE = "correct it, or take the row out"


class _Bad(Exception):
    """A cell that cannot be read."""

    def __init__(self, column: str, text: str, wanted: str) -> None:
        super().__init__(column)
        self.column, self.text, self.wanted = column, text[:60], wanted


def _run(cells: dict[str, str]) -> LoggedRun:
    what, doing = cells.get("what", ""), cells.get("while", "")
    if what not in get_args(Happened):
        raise _Bad("what", what, f"one of {', '.join(get_args(Happened))}")
    if doing and doing not in get_args(Doing):
        raise _Bad("while", doing, f"one of {', '.join(get_args(Doing))}, or nothing")
    past, power, model = (_number(cells, column) for column in ("past_mm", "power_use", "model"))
    cars = _listed(cells, "cars", _is_car, 'cars with weights, such as [["A 1", 80]]')
    uses = _listed(cells, "uses", _is_stretch, 'uses between places, such as [["A", "B", [0.2]]]')
    for each in uses:
        if len(each[2]) != len(cars):
            raise _Bad("uses", cells["uses"], "as many uses in each stretch as there are cars")
    return LoggedRun(
        time=cells.get("time", ""),
        train=_plain(cells.get("train", "")),
        what=what,  # type: ignore[arg-type]
        car=_plain(cells.get("car", "")),
        at=tuple(_listed(cells, "at", lambda name: isinstance(name, str), "places, or nothing")),
        past_mm=past,
        doing=doing or None,  # type: ignore[arg-type]
        note=_plain(cells.get("note", "")),
        model=0 if model is None else int(model),
        power_use=power,
        engines=tuple(_listed(cells, "engines", lambda name: isinstance(name, str), "names of engines")),
        cars=tuple((name, float(weight)) for name, weight in cars),
        uses=tuple(StretchUses(start, finish, tuple(uses)) for start, finish, uses in uses),
    )


def _plain(text: str) -> str:
    """A cell without the apostrophe that kept it from being a formula."""
    return text[1:] if text.startswith("'") and no_formula(text[1:]) == text else text


def _number(cells: dict[str, str], column: str) -> float | None:
    text = cells.get(column, "").strip()
    try:
        number = float(text) if text else None
    except ValueError:
        number = math.nan
    if number is not None and not (math.isfinite(number) and number >= 0.0):
        raise _Bad(column, text, "a number, or nothing")
    return number


def _listed(cells: dict[str, str], column: str, may: Callable[[Any], bool], wanted: str) -> list[Any]:
    text = cells.get(column, "")
    try:
        value = json.loads(text) if text.strip() else []
    except (ValueError, RecursionError):
        value = None
    if not isinstance(value, list) or not all(map(may, value)):
        raise _Bad(column, text, wanted)
    return value


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value) and value >= 0.0


def _is_car(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2 and isinstance(value[0], str) and _is_number(value[1])


def _is_stretch(value: Any) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 3
        and isinstance(value[0], str)
        and isinstance(value[1], str)
        and isinstance(value[2], list)
        and all(use is None or _is_number(use) for use in value[2])
    )
