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
from operator import attrgetter
from typing import Any

from consist.report.words import HELD
from consist.scales import GRAMS_PER_OUNCE

__all__ = ["COMMANDS", "SCHEMA", "Key", "as_json", "json_reference"]

SCHEMA = 1
"""The number of this form of the objects; it changes where a reader of the old form would be misled."""


@dataclass(frozen=True)
class Key:
    """A key: its name, what it says, where its value is had from (an attribute of its name otherwise), and its parts.

    With `parts` the value is an object, or a list of them, of those keys; without, it is written as it is.
    """

    name: str
    says: str
    get: Callable[[Any], Any] | None = None
    parts: tuple[Key, ...] = ()

    def of(self, thing: Any) -> Any:
        """The value in JSON."""
        if self.get is not None:
            value = self.get(thing)
        else:
            value = thing[self.name] if isinstance(thing, Mapping) else getattr(thing, self.name)
        return _written(value, self.parts)


def as_json(command: str, result: Any) -> str:
    """The object that a command prints, indented, ending in a newline; the same result gives the same text."""
    whole = {"schema": SCHEMA, **{key.name: key.of(result) for key in COMMANDS[command]}}
    return json.dumps(whole, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def json_reference(command: str) -> str:
    """What each key of a command's object says, a line a key, those within others set in."""
    schema = Key("schema", f"the number of this form of the object, {SCHEMA}")
    return "\n".join(_lines((schema, *COMMANDS[command]), "")) + "\n"


def _lines(keys: tuple[Key, ...], indent: str) -> Iterator[str]:
    for key in keys:
        yield f"{indent}{key.name}: {key.says}"
        yield from _lines(key.parts, indent + "  ")


def _plain(text: str) -> str:
    """A sentence with blanks as other programs expect them."""
    return text.replace(HELD, " ")


def _written(value: Any, parts: tuple[Key, ...]) -> Any:
    if value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, tuple | list):
        return [_written(item, parts) for item in value]
    if parts:
        return {key.name: key.of(value) for key in parts}
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Real):
        # no minus before a zero
        return float(value) + 0.0 if isfinite(value) else None
    if isinstance(value, Mapping):
        return {str(key): _written(item, ()) for key, item in value.items()}
    raise TypeError(f"{type(value).__name__} has no form in JSON")


MOVE = (Key("cars", "the cars taken, as one cut"), Key("after", "the car they go behind, null for the head end"))
TASK = (
    Key("who", "bench, door, yard or power"),
    Key("train", "the train it is done for, null for none of tonight's"),
    Key("cars", "the cars it is done to"),
    Key("what", "what to do", lambda task: _plain(task.what)),
    Key("why", "the findings it answers", lambda task: [finding.code for _, finding in task.answers]),
    Key("level", "the gravest of those, null where none presses"),
    Key("gain", "what the train's margin gains by it, null where that is not known"),
    Key("by", "when the train departs by the fast clock, null where it has no time"),
    Key("more", "what else there is to know", lambda task: [_plain(more) for more in task.more]),
)
FINDING = (
    Key("code", "what kind of finding it is"),
    Key("level", "note, care or hold"),
    Key("car", "the car it is of, null for none"),
    Key("spot", "that car's spot"),
    Key("place", "where on the route"),
    Key("value", "the figure found, in the unit that say names"),
    Key("limit", "what it is held against"),
    Key("say", "the finding in a sentence"),
)
TRAIN = (
    Key("train", "its name"),
    Key("verdict", "go, care or hold"),
    Key("margin", "1 / side_use"),
    Key("side_use", "the worst car's part of the side pull it can bear"),
    Key("worst", "the worst car", None, (
        Key("car", "its name"), Key("spot", "its spot"),
        Key("head_mm", "where the head end is then, from the start of the route"),
        Key("place", "where the car stands then"),
    )),
    Key("order_score", "100 x the best order's worst use / side_use"),
    Key("heavy_forward", "of all pairs of cars the per cent with the heavier for its length ahead"),
    Key("weight_g", "of its cars"),
    Key("length_mm", "over everything"),
    Key("route_mm", "how long its route is"),
    Key("peak_drawbar", "the greatest pull in a coupling", None, (
        Key("g", "the pull"), Key("behind", "the vehicle ahead of that coupling"),
        Key("head_mm", "where the head end is then"), Key("place", "where the coupling is then"),
    )),
    Key("power", "its engines", None, (
        Key("assigned", "those given to it"), Key("needed", "the fewest of the lead engine's class that do"),
        Key("by_class", "the fewest of each class that do, null for no number of them"),
        Key("use", "the greatest share that they give of their usable pull"),
        Key("hold_use", "the greatest part of what they can hold back that they must"),
    )),
    Key("cars", "each car in standing order", None, (
        Key("car", "its name"), Key("spot", "its spot"), Key("weight_g", "as it runs"),
        Key("side_use", "the part of the side pull it can bear, at its worst"), Key("margin", "1 / side_use"),
        Key("peak_drawbar_g", "the greatest pull at its couplers"),
    )),
    Key("legs", "each stretch run with the same cars", None, (
        Key("from", "the stop where it begins", attrgetter("start")),
        Key("to", "the stop where it ends", attrgetter("finish")),
        Key("cars", "the cars then in the train"), Key("weight_g", "of those"), Key("margin", "1 / side_use"),
        Key("side_use", "of the worst car then"), Key("peak_drawbar_g", "the greatest pull in a coupling then"),
        Key("power_use", "the greatest resistance over usable pull then"),
    )),
    Key("findings", "what was found, gravest first", None, FINDING),
    Key("suggestion", "a better order, null where none is needed or found", None, (
        Key("order", "its cars, head end first"), Key("margin", "of the train then"),
        Key("moves", "how to get there", None, MOVE),
    )),
)  # fmt: skip
ORDER_FIGURES = (
    Key("order", "its cars, head end first"),
    Key("side_use", "of the worst car"),
    Key("margin", "1 / side_use"),
    Key("heavy_forward", "per cent, as consist check has it"),
)
ORDER = (
    Key("train", "its name"),
    Key("now", "as it stands", None, ORDER_FIGURES),
    Key("best", "the best order found", None, ORDER_FIGURES),
    Key("proven", "whether no order allowed is better by over half a per cent"),
    Key("bound", "a side use that no order can be below"),
    Key("gap", "by what share of its own use the best order is over that"),
    Key("frontier", "what each further car moved gains", None, (
        Key("cars_moved", "cars moved in all"), Key("moves", "the moves that make it", None, MOVE),
        *(Key(key.name, key.says, attrgetter(f"figures.{key.name}")) for key in ORDER_FIGURES[:3]),
        Key("proven", "whether no order with as few cars moved is better"),
    )),
)  # fmt: skip
POWER = (
    Key("trains", "each train in the session's order", None, (
        Key("train", "its name"),
        Key("combos", "all smallest sets of engines that do, by class",
            lambda train: [combo.classes for combo in train.combos]),
        Key("assigned", "the engines planned for it"), Key("use", "the greatest resistance over their usable pull"),
        Key("tightest", "where that is", None, (
            Key("place", "the place"), Key("head_mm", "where the head end is then"),
        )),
        Key("short", "whether it is left short of power"),
        Key("options", "what would mend that, cheapest first", None, (
            Key("kind", "helper, leave, double or light"), Key("say", "the option in a sentence"),
            Key("engines", "those at the head end"), Key("use", "of their pull then"),
            Key("extra", "the engines that help or come light"), Key("engine_class", "their class"),
            Key("comes_from", "where they stand"), Key("start", "where they begin"),
            Key("finish", "where they end"), Key("cars", "the cars left behind, or of the second cut"),
        )),
    )),
    Key("plan", "the evening", lambda plan: plan, (
        Key("engines", "those of each train, by train"), Key("engines_used", "how many run at all"),
        Key("short", "the trains left short"),
        Key("proven", "whether no plan of the trains with times does better"),
    )),
)  # fmt: skip
BENCH = (
    Key("cars", "in the order to take them, then those for another day, then the rest",
        lambda listed: (*listed.cars, *listed.later, *listed.others), (
        Key("car", "its name"), Key("status", "under, near, on, heavy, over or not weighed"),
        Key("weight_g", "as it stands empty"), Key("target_g", "the standard's"), Key("add_g", "what is missing"),
        Key("pieces", "how many of each piece to add"), Key("after_g", "what it then weighs"),
        Key("gain", "what its worst train's margin gains"),
    )),
)  # fmt: skip
DOOR = (
    Key("cars", "each guest's car", None, (
        Key("car", "its name"), Key("owner", "whose it is"),
        Key("answer", "welcome, welcome with care, bench first or not tonight"),
        Key("reasons", "the gravest first"), Key("add_g", "what is missing to its target"),
        Key("trains", "those it may ride", lambda car: [ride.train for ride in car.may_ride]),
        Key("spots", "by train, every spot in which it may ride",
            lambda car: {ride.train: list(ride.stands) for ride in car.may_ride}),
    )),
)  # fmt: skip
RATING = (
    Key("layout", "its name", attrgetter("layout.name")),
    Key("standard", "the weight standard that cars are counted by", attrgetter("standard.title")),
    Key("ratings", "a row a line, direction and class", None, (
        Key("line", "its number from 1"), Key("from", "where it begins", attrgetter("start")),
        Key("to", "where it ends", attrgetter("finish")), Key("class", "of the engines", attrgetter("engine_class")),
        Key("ruling_percent", "the hardest piece's grade with its curve"),
        Key("ruling_piece", "that piece's number from 1"),
        Key("trailing_g", "the weight of cars that 1, 2 and 3 engines take, null for no limit"),
        Key("cars", "how many cars of standard weight that is"),
    )),
    Key("notes", "on how the files were read"),
)  # fmt: skip
TARGET = (
    Key("scale", "its name"),
    Key("standard", "the weight standard"),
    Key("length_mm", "the car's length as the standard counts it"),
    Key("target_g", "what it ought to weigh"),
    Key("target_oz", "the same in ounces", lambda target: target.target_g / GRAMS_PER_OUNCE),
    Key("low_g", "the least that is near enough"),
    Key("high_g", "the most that is near enough"),
)
STRIP = (
    Key("strips", "each strip of the sheets", lambda strips: strips, (
        Key("scale", "its scale"), Key("standard", "the weight standard"),
        Key("length", "the length that it counts"), Key("kinds", "the cars it is for, empty for all"),
        Key("long_mm", "how far it reaches"), Key("base_g", "the weight at its zero line"),
        Key("per_mm_g", "what each millimetre adds"),
    )),
)  # fmt: skip
LAYOUT = (
    Key("layout", "its name"),
    Key("scale", "its scale", None, (
        Key("name", "its name"), Key("ratio", "full size over model"), Key("gauge_mm", "the track's"),
        Key("coupler_height_mm", "above the rail"),
    )),
    Key("unit", "the unit of its file, in or mm"),
    Key("lines", "each line in the file's order", None, (
        Key("from", "place and end"), Key("to", "place and end"), Key("length_mm", "how long it is"),
        Key("rise_mm", "from its start to its end"), Key("ruling_percent", "the steepest grade up it"),
        Key("ruling_back_percent", "the same going back"),
        Key("ruling_with_curves_percent", "with the curve's resistance as so much more grade"),
        Key("ruling_back_with_curves_percent", "the same going back"),
        Key("sharpest_radius_mm", "of its curves, null for none"),
    )),
    Key("places", "each place", None, (
        Key("place", "its name"), Key("ends", "its ends"), Key("through", "pairs of ends that can be run through"),
        Key("standing_mm", "the longest train that stands clear"),
    )),
    Key("out_of_reach", "by place, those that cannot be reached without reversing"),
    Key("joints", "where a curve begins, ends or changes all at once", None, (
        Key("where", "in words"), Key("line", "its line's number"), Key("piece", "its piece's number"),
        Key("distance_mm", "from the start of the line"),
        Key("radius_before_mm", "left positive, null for straight"), Key("radius_after_mm", "the same past it"),
        Key("jump_per_mm", "how much the curvature changes"),
    )),
    Key("notes", "on how the file was read"),
)  # fmt: skip
CHECK = (
    Key("session", "its title"),
    Key("layout", "its layout's name"),
    Key("trains", "each train checked", None, TRAIN),
    Key("tasks", "what to do before the first train leaves, what matters most first", None, TASK),
)
COMMANDS: Mapping[str, tuple[Key, ...]] = {
    "check": CHECK,
    "order": (Key("trains", "each train planned; with --train its object alone", None, ORDER),),
    "order --train": ORDER,
    "power": POWER,
    "rating": RATING,
    "layout": LAYOUT,
    "target": TARGET,
    "strip": STRIP,
    "bench": BENCH,
    "screen": DOOR,
}
"""The keys of each command's object, after `schema`, in their order."""
