"""What `--json` prints, command by command: each key with its meaning, and the object that follows.

No figure is rounded. What has no value, or none that is finite, is null. Weights and forces are in grams, lengths in
millimetres, unless a key's name says otherwise.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from math import isfinite
from numbers import Integral, Real
from typing import Any

from consist.report.words import HELD
from consist.scales import GRAMS_PER_OUNCE

__all__ = ["COMMANDS", "SCHEMA", "Key", "Keys", "as_json", "json_reference"]

SCHEMA = 1
"""The number of this form of the objects; it changes where a reader of the old form would be misled."""


@dataclass(frozen=True)
class Key:
    """What a key says, the keys of the object (or of each of the list) it holds, and where its value is had from.

    With no `parts` the value is written as it is. `of` is the attribute where it has another name, also one within
    another (`layout.name`), or what works the value out.
    """

    says: str
    parts: Keys | None = None
    of: str | Callable[[Any], Any] | None = None


Keys = Mapping[str, str | Key]
"""Keys by name, each with what it says."""


def as_json(command: str, result: Any) -> str:
    """The object that a command prints, indented, ending in a newline; the same result gives the same text."""
    whole = {"schema": SCHEMA, **_object(result, COMMANDS[command])}
    return json.dumps(whole, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def json_reference(command: str) -> str:
    """What each key of a command's object says, a line a key, those within others set in."""
    schema = f"the number of this form of the object, {SCHEMA}"
    return "\n".join(_lines({"schema": schema, **COMMANDS[command]}, "")) + "\n"


def _lines(keys: Keys, indent: str) -> Iterator[str]:
    for name, key in keys.items():
        yield f"{indent}{name}: {key if isinstance(key, str) else key.says}"
        if isinstance(key, Key) and key.parts:
            yield from _lines(key.parts, indent + "  ")


def _object(thing: Any, keys: Keys) -> dict[str, Any]:
    return {name: _value(thing, name, Key(key) if isinstance(key, str) else key) for name, key in keys.items()}


def _value(thing: Any, name: str, key: Key) -> Any:
    if callable(key.of):
        return _written(key.of(thing), key.parts)
    for part in (key.of or name).split("."):
        thing = thing[part] if isinstance(thing, Mapping) else getattr(thing, part)
    return _written(thing, key.parts)


def _written(value: Any, parts: Keys | None = None) -> Any:
    if value is None or isinstance(value, str | bool):
        return value
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


def _plain(text: str) -> str:
    """A sentence with blanks as other programs expect them."""
    return text.replace(HELD, " ")


def _percent_of(share: str) -> Callable[[Any], float]:
    return lambda thing: 100.0 * float(getattr(thing, share))


def _radius(curvature: float) -> float | None:
    """The radius of a curvature, left positive; None for straight track."""
    return 1.0 / curvature if curvature else None


MOVE: Keys = {"cars": "the cars taken, as one cut", "after": "the car they go behind, null for the head end"}
TASK: Keys = {
    "who": "bench, door, yard or power", "train": "the train it is done for, null for none of tonight's",
    "cars": "the cars it is done to", "what": Key("what to do", of=lambda task: _plain(task.what)),
    "why": Key("the findings it answers", of=lambda task: [finding.code for _, finding in task.answers]),
    "level": "the gravest of those, null where none presses",
    "gain": "what the train's margin gains by it, null where that is not known",
    "by": "when the train departs by the fast clock, null where it has no time",
    "more": Key("what else there is to know", of=lambda task: [_plain(more) for more in task.more]),
}  # fmt: skip
FINDING: Keys = {
    "code": "what kind of finding it is", "level": "note, care or hold", "car": "the car it is of, null for none",
    "spot": "that car's spot", "place": "where on the route", "value": "the figure found, in the unit that say names",
    "limit": "what it is held against", "say": "the finding in a sentence",
}  # fmt: skip
TRAIN: Keys = {
    "train": "its name", "verdict": "go, care or hold", "margin": "1 / side_use",
    "side_use": "the worst car's part of the side pull it can bear",
    "worst": Key("the worst car", {
        "car": "its name", "spot": "its spot", "head_mm": "where the head end is then, from the start of the route",
        "place": "where the car stands then",
    }),
    "order_score": "100 x the best order's worst use / side_use",
    "heavy_forward": "of all pairs of cars the per cent with the heavier for its length ahead",
    "weight_g": "of its cars", "length_mm": "over everything", "route_mm": "how long its route is",
    "peak_drawbar": Key("the greatest pull in a coupling", {
        "g": "the pull", "behind": "the vehicle ahead of that coupling", "head_mm": "where the head end is then",
        "place": "where the coupling is then",
    }),
    "power": Key("its engines", {
        "assigned": "those given to it", "needed": "the fewest of the lead engine's class that do",
        "by_class": "the fewest of each class that do, null for no number of them",
        "use": "the greatest share that they give of their usable pull",
        "hold_use": "the greatest part of what they can hold back that they must",
    }),
    "cars": Key("each car in standing order", {
        "car": "its name", "spot": "its spot", "weight_g": "as it runs",
        "side_use": "the part of the side pull it can bear, at its worst", "margin": "1 / side_use",
        "peak_drawbar_g": "the greatest pull at its couplers",
    }),
    "legs": Key("each stretch run with the same cars", {
        "from": Key("the stop where it begins", of="start"), "to": Key("the stop where it ends", of="finish"),
        "cars": "the cars then in the train", "weight_g": "of those", "margin": "1 / side_use",
        "side_use": "of the worst car then", "peak_drawbar_g": "the greatest pull in a coupling then",
        "power_use": "the greatest resistance over usable pull then",
    }),
    "findings": Key("what was found, gravest first", FINDING),
    "suggestion": Key("a better order, null where none is needed or found", {
        "order": "its cars, head end first", "margin": "of the train then", "moves": Key("how to get there", MOVE),
    }),
}  # fmt: skip
ORDER_FIGURES: Keys = {
    "order": "its cars, head end first", "side_use": "of the worst car", "margin": "1 / side_use",
    "heavy_forward": "per cent, as consist check has it",
}  # fmt: skip
ORDER: Keys = {
    "train": "its name",
    "now": Key("as it stands", ORDER_FIGURES), "best": Key("the best order found", ORDER_FIGURES),
    "proven": "whether no order allowed is better by over half a per cent",
    "bound": "a side use that no order can be below, 0 where nothing is known",
    "gap": "by what share of its own use the best order is over that",
    "frontier": Key("what each further car moved gains", {
        "cars_moved": "cars moved in all", "moves": Key("the moves that make it", MOVE),
        "order": Key("its cars, head end first", of="figures.order"),
        "side_use": Key("of the worst car", of="figures.side_use"),
        "margin": Key("1 / side_use", of="figures.margin"),
        "proven": "whether no order with as few cars moved is better",
    }),
    "notes": "what is odd about its blocks",
}  # fmt: skip
POWER: Keys = {
    "trains": Key("each train in the session's order", {
        "train": "its name",
        "combos": Key("all smallest sets of engines that do, by class",
                      of=lambda train: [combo.classes for combo in train.combos]),
        "assigned": "the engines planned for it", "use": "the greatest resistance over their usable pull",
        "tightest": Key("where that is", {"place": "the place", "head_mm": "where the head end is then"}),
        "short": "whether it is left short of power",
        "options": Key("what would mend that, cheapest first", {
            "kind": "helper, leave, double or light", "say": "the option in a sentence",
            "engines": "those at the head end", "use": "of their pull then",
            "extra": "the engines that help or come light", "engine_class": "their class",
            "comes_from": "where they stand", "start": "where they begin", "finish": "where they end",
            "cars": "the cars left behind, or of the second cut",
        }),
    }),
    "plan": Key("the evening", {
        "engines": "those of each train, by train", "engines_used": "how many run at all",
        "short": "the trains left short", "proven": "whether no plan of the trains with times does better",
    }, lambda plan: plan),
}  # fmt: skip
BENCH: Keys = {
    "cars": Key("in the order to take them, then those for another day, then the rest", {
        "car": "its name", "status": "under, near, on, heavy, over or not weighed", "weight_g": "as it stands empty",
        "target_g": "the standard's", "add_g": "what is missing", "pieces": "how many of each piece to add",
        "after_g": "what it then weighs", "gain": "what its worst train's margin gains",
    }, lambda listed: (*listed.cars, *listed.later, *listed.others)),
}  # fmt: skip
DOOR: Keys = {
    "cars": Key("each guest's car", {
        "car": "its name", "owner": "whose it is", "answer": "welcome, welcome with care, bench first or not tonight",
        "reasons": "the gravest first", "add_g": "what is missing to its target",
        "trains": Key("those it may ride", of=lambda car: [ride.train for ride in car.may_ride]),
        "spots": Key("by train, every spot in which it may ride",
                     of=lambda car: {ride.train: list(ride.stands) for ride in car.may_ride}),
    }),
}  # fmt: skip
RATING: Keys = {
    "layout": Key("its name", of="layout.name"),
    "standard": Key("the weight standard that cars are counted by", of="standard.title"),
    "ratings": Key("a row a line, direction and class", {
        "line": "its number from 1",
        "from": Key("where it begins", of="start"), "to": Key("where it ends", of="finish"),
        "class": Key("of the engines", of="engine_class"),
        "ruling_percent": "the hardest piece's grade with its curve", "ruling_piece": "that piece's number from 1",
        "trailing_g": "the weight of cars that 1, 2 and 3 engines take, null for no limit",
        "cars": "how many cars of standard weight that is",
    }),
    "notes": "on how the files were read",
}  # fmt: skip
TARGET: Keys = {
    "scale": "its name", "standard": "the weight standard", "length_mm": "the car's length as the standard counts it",
    "target_g": "what it ought to weigh",
    "target_oz": Key("the same in ounces", of=lambda target: target.target_g / GRAMS_PER_OUNCE),
    "low_g": "the least that is near enough", "high_g": "the most that is near enough",
}  # fmt: skip
STRIP: Keys = {
    "strips": Key("each strip of the sheets", {
        "scale": "its scale", "standard": "the weight standard", "length": "the length that it counts",
        "kinds": "the cars it is for, empty for all", "long_mm": "how far it reaches",
        "base_g": "the weight at its zero line", "per_mm_g": "what each millimetre adds",
    }, lambda strips: strips),
}  # fmt: skip
LAYOUT: Keys = {
    "layout": Key("its name", of="name"),
    "scale": Key("its scale", {
        "name": "its name", "ratio": "full size over model", "gauge_mm": "the track's",
        "coupler_height_mm": "above the rail",
    }),
    "unit": "the unit of its file, in or mm",
    "lines": Key("each line in the file's order", {
        "from": Key("place and end", of="line.start"), "to": Key("place and end", of="line.finish"),
        "length_mm": Key("how long it is", of="line.length_mm"),
        "rise_mm": Key("from its start to its end", of="line.rise_mm"),
        "ruling_percent": Key("the steepest grade up it", of=_percent_of("ruling")),
        "ruling_back_percent": Key("the same going back", of=_percent_of("ruling_back")),
        "ruling_with_curves_percent": Key("with the curve's resistance as so much more grade",
                                          of=_percent_of("ruling_with_curves")),
        "ruling_back_with_curves_percent": Key("the same going back", of=_percent_of("ruling_back_with_curves")),
        "sharpest_radius_mm": "of its curves, null for none",
    }),
    "places": Key("each place", {
        "place": Key("its name", of="name"), "ends": "its ends", "through": "pairs of ends that can be run through",
        "standing_mm": "the longest train that stands clear",
    }),
    "out_of_reach": "by place, those that cannot be reached without reversing",
    "joints": Key("where a curve begins, ends or changes all at once", {
        "where": "in words", "line": "its line's number", "piece": "its piece's number",
        "distance_mm": "from the start of the line",
        "radius_before_mm": Key("left positive, null for straight", of=lambda joint: _radius(joint.before)),
        "radius_after_mm": Key("the same past it", of=lambda joint: _radius(joint.after)),
        "jump_per_mm": Key("how much the curvature changes", of="jump"),
    }),
    "notes": "on how the file was read",
}  # fmt: skip
COMMANDS: Mapping[str, Keys] = {
    "check": {
        "session": "its title", "layout": "its layout's name", "trains": Key("each train checked", TRAIN),
        "tasks": Key("what to do before the first train leaves, what matters most first", TASK),
    },
    "order": {"trains": Key("each train planned; with --train its object alone", ORDER)},
    "order --train": ORDER, "power": POWER, "rating": RATING, "layout": LAYOUT, "target": TARGET, "strip": STRIP,
    "bench": BENCH, "screen": DOOR,
}  # fmt: skip
"""The keys of each command's object, after `schema`, in their order."""
