"""Changes as a program says them, in JSON, and as a person reads them.

What a change is stands in `consist.changes`; here are its form in a request and in the journal, and its words.

>>> change_of({"do": "move", "train": "Creamery 5", "cars": ["PQF 71"], "after": None})
Move(train='Creamery 5', cars=('PQF 71',), after=None)
>>> said_of(Weigh("PQF 71", 113.4))
{'do': 'weigh', 'car': 'PQF 71', 'weight_g': 113.4}
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import MISSING, asdict, fields
from functools import cache
from math import isfinite
from typing import Any, get_type_hints

from consist.changes import Add, Bring, Change, Engines, Load, Move, Stand, Take, Weigh
from consist.errors import ChangeError
from consist.names import listed, plain, quoted, tidy
from consist.report.words import counted, in_words
from consist.wording import Units

__all__ = ["DOES", "change_of", "said_of", "told"]

DOES: Mapping[str, type[Change]] = {
    "take": Take, "add": Add, "move": Move, "stand": Stand, "load": Load, "engines": Engines, "weigh": Weigh,
    "bring": Bring,
}  # fmt: skip
"""The changes that a session's tables can hold, by the word that says what to do."""
LONGEST_NAME, MOST_NAMES = 200, 300
"""Letters of a name, and names of a list, that are taken."""


def _is_name(value: Any) -> bool:
    return isinstance(value, str) and 0 < len(tidy(value)) <= LONGEST_NAME


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= LONGEST_NAME


def _is_names(value: Any) -> bool:
    return isinstance(value, list) and 0 < len(value) <= MOST_NAMES and all(map(_is_name, value))


def _is_any_names(value: Any) -> bool:
    return value == [] or _is_names(value)


def _is_spot(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_figure(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e9 and isfinite(value)


KINDS: Mapping[Any, tuple[Callable[[Any], bool], str, Callable[[Any], Any]]] = {
    str: (_is_name, "a name", tidy),
    tuple[str, ...]: (_is_names, "a list of names", lambda names: tuple(map(tidy, names))),
    bool: (lambda value: isinstance(value, bool), "true or false", bool),
    float: (_is_figure, "a number", float),
    int: (_is_spot, "a whole number", int),
}
"""By the type of a field: whether a value will do, what is expected, and how it is taken."""
MAY_BE_EMPTY: Mapping[Any, tuple[Callable[[Any], bool], str, Callable[[Any], Any]]] = {
    str: (_is_text, "a text", tidy),
    tuple[str, ...]: (_is_any_names, "a list of names", lambda names: tuple(map(tidy, names))),
}
"""Likewise of fields that need not be said: texts may be empty, and a train may be left without engines."""


@cache
def _fields(kind: type[Any]) -> Mapping[str, tuple[Any, bool, bool]]:
    """The fields of a change: the type of each, whether it may be null, and whether it must be said."""
    hints = get_type_hints(kind)
    found = {}
    for each in fields(kind):
        hint = hints[each.name]
        optional = type(None) in getattr(hint, "__args__", ())
        plain_hint = next((one for one in hint.__args__ if one is not type(None)), hint) if optional else hint
        found[each.name] = plain_hint, optional, each.default is MISSING
    return found


def change_of(said: object) -> Change:
    """The change that an object of JSON says. Raises `ChangeError`, which says in a sentence what is wrong."""
    if not isinstance(said, Mapping):
        raise ChangeError("found a change that is no object; write it like {'do': 'take', 'cars': ['PQF 71']}")
    does = said.get("do")
    kind: Any = DOES.get(does) if isinstance(does, str) else None
    if kind is None:
        raise ChangeError(f"found {quoted(str(does))} to do, expected one of {', '.join(DOES)}")
    known = _fields(kind)
    strange = [str(name) for name in said if name != "do" and name not in known]
    if strange:
        raise ChangeError(f"{does} has no {listed(strange)}; it has {', '.join(known)}")
    missing = [name for name, (_, _, must) in known.items() if must and name not in said]
    if missing:
        raise ChangeError(f"{does} needs {' and '.join(missing)}; say {'it' if len(missing) == 1 else 'them'} too")
    values = {name: _taken(str(does), name, value, *known[name]) for name, value in said.items() if name != "do"}
    change: Change = kind(**values)
    return change


def _taken(does: str, name: str, value: Any, hint: Any, optional: bool, must: bool) -> Any:
    if value is None and optional:
        return None
    good, expected, take = KINDS[hint] if must or hint not in MAY_BE_EMPTY else MAY_BE_EMPTY[hint]
    if not good(value):
        raise ChangeError(f"{does} has a {name} of {quoted(str(value))}, expected {expected}; correct it")
    return take(value)


def said_of(change: Change) -> dict[str, Any]:
    """A change as an object of JSON, which `change_of` takes back."""
    does = next(word for word, kind in DOES.items() if type(change) is kind)
    told = {name: list(value) if isinstance(value, tuple) else value for name, value in asdict(change).items()}
    return {"do": does, **told}


def told(change: Change, units: Units) -> str:
    """What a change does, for a list of what was done."""
    match change:
        case Take(cars, train):
            its = "its train" if len(cars) == 1 else "their trains"
            return f"{_cars(cars)} out of {plain(train) if train else its}"
        case Add(train, car, spot, _):
            return f"{plain(car)} into {plain(train)}{'' if spot is None else f' at spot {spot}'}"
        case Move(train, cars, after):
            return f"{_cars(cars)} {'to the front' if after is None else f'behind {plain(after)}'} in {plain(train)}"
        case Stand(train, cars):
            return f"{plain(train)} made up anew of {counted(len(cars), 'car')}"
        case Load(train, cars, loaded):
            return f"{_cars(cars)} {'loaded' if loaded else 'empty'} in {plain(train)}"
        case Engines(train, engines, helpers):
            ahead = None if engines is None else f"engines {in_words(list(map(plain, engines))) or 'none'}"
            behind = None if helpers is None else f"helpers {in_words(list(map(plain, helpers))) or 'none'}"
            return f"{' and '.join(filter(None, (ahead, behind))) or 'engines as they are'} on {plain(train)}"
        case Weigh(car, weight_g):
            return f"{plain(car)} weighs {units.weight(weight_g)}"
        case Bring(car):
            return f"{plain(car)} brought by a guest"
        case _:
            raise ChangeError(f"{type(change).__name__} is no change of the desk")


def _cars(cars: tuple[str, ...]) -> str:
    shown = list(map(plain, cars))
    return in_words(shown) if len(shown) <= 3 else f"{shown[0]} and {counted(len(shown) - 1, 'more car')}"
