"""What `--json` prints, command by command, as `json_keys.txt` declares it: each key with its meaning.

No figure is rounded. What has no value, or none that is finite, is null. Weights and forces are in grams, lengths in
millimetres, unless a key's name says otherwise.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from math import isfinite
from numbers import Integral, Real
from typing import Any

from consist.report.words import HELD
from consist.scales import GRAMS_PER_OUNCE

__all__ = ["SCHEMA", "Key", "as_json", "json_keys", "json_object", "json_reference"]

SCHEMA = 1
"""The number of this form of the objects; it changes where a reader of the old form would be misled."""


@dataclass(frozen=True)
class Key:
    """A key, what it says, the path to its value, and the keys of what it holds; with none the value is written.

    One that is `asked` for is left out where it has no value.
    """

    name: str
    path: str = ""
    says: str = ""
    parts: list[Key] = field(default_factory=list)
    asked: bool = False


def _percent_of(share: str) -> Callable[[Any], float]:
    return lambda thing: 100.0 * float(getattr(thing, share))


def _radius(curvature: float) -> float | None:
    """The radius of a curvature, left positive; None for straight track."""
    return 1.0 / curvature if curvature else None


RULING = ("ruling", "ruling_back", "ruling_with_curves", "ruling_back_with_curves")
WORKED_OUT: Mapping[str, Callable[[Any], Any]] = {
    "all of it": lambda thing: thing,
    "codes answered": lambda task: [finding.code for _, finding in task.answers],
    "none asked for": lambda _: None,
    "ounces": lambda target: target.target_g / GRAMS_PER_OUNCE,
    "rolling in per cent": lambda car: 100.0 * car.rolling,
    "radius after": lambda joint: _radius(joint.after),
    "radius before": lambda joint: _radius(joint.before),
    "spots at target": lambda car: {ride.train: ride.at_target for ride in car.trains if ride.at_target},
    "spots by train": lambda car: {ride.train: ride.stands for ride in car.may_ride},
    "stops too long": lambda car: {
        ride.train: [stop.place for stop in ride.too_long] for ride in car.trains if ride.too_long
    },
    **{f"{share} in per cent": _percent_of(share) for share in RULING},
}
"""Values that are no attribute, by the words that stand for their path."""


@cache
def json_keys() -> Mapping[str, Sequence[Key]]:
    """The keys of each command's object after `schema`, and those that several have, by the name they stand under."""
    within = [whole := Key("")]
    for line in (files("consist.report") / "json_keys.txt").read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            named, _, says = line.strip().partition(": ")
            name, _, path = named.partition(" = ")
            says, _, under = says.removesuffix(">").partition(" <")
            parts = next((one.parts for one in whole.parts if one.name == under), [])
            asked, name = name.endswith("?"), name.removesuffix("?")
            key = Key(name, path or name, says, [*parts], asked)
            del within[1 + (len(line) - len(line.lstrip())) // 2 :]
            within[-1].parts.append(key)
            within.append(key)
    return {key.name: key.parts for key in whole.parts}


def as_json(command: str, result: Any, **more: Any) -> str:
    """The object that a command prints, indented, ending in a newline; the same result gives the same text.

    `more` are values of keys that are not the result's own.
    """
    whole = {"schema": SCHEMA, **json_object(command, result, **more)}
    return json.dumps(whole, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def json_object(name: str, thing: Any, **more: Any) -> dict[str, Any]:
    """What stands under a name of the declaration, of one thing; `more` are values of keys that are not its own."""
    own = [key for key in json_keys()[name] if key.name not in more]
    given = {key.name: _written(more[key.name], key.parts) for key in json_keys()[name] if key.name in more}
    return {**_object(thing, own), **given}


def json_reference(command: str) -> str:
    """What each key of a command's object says, a line a key, those within others set in."""
    schema = Key("schema", says=f"the number of this form of the object, {SCHEMA}")
    return "\n".join(_lines([schema, *json_keys()[command]], "")) + "\n"


def _lines(keys: Sequence[Key], indent: str) -> Iterator[str]:
    for key in keys:
        yield f"{indent}{key.name}: {key.says}"
        yield from _lines(key.parts, indent + "  ")


def _object(thing: Any, keys: Sequence[Key]) -> dict[str, Any]:
    values = ((key, _value(thing, key.path)) for key in keys)
    return {key.name: _written(value, key.parts) for key, value in values if value is not None or not key.asked}


def _value(thing: Any, path: str) -> Any:
    """What stands at a path; of a list, what stands there in each."""
    if path in WORKED_OUT:
        return WORKED_OUT[path](thing)
    for part in path.split("."):
        if isinstance(thing, tuple | list):
            thing = [getattr(one, part) for one in thing]
        else:
            thing = thing[part] if isinstance(thing, Mapping) else getattr(thing, part)
    return thing


def _written(value: Any, parts: Sequence[Key] = ()) -> Any:
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return value.replace(HELD, " ")  # blanks as other programs expect them
    if isinstance(value, tuple | list):
        return [_written(item, parts) for item in value]
    if parts:
        return _object(value, parts)
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Real):
        # no minus before a zero
        return float(value) + 0.0 if isfinite(value) else None
    if isinstance(value, Mapping):
        return {str(key): _written(item) for key, item in value.items()}
    raise TypeError(f"{type(value).__name__} has no form in JSON")
