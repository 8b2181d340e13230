"""Where weight goes in a car, by its kind. Common practice, no source: low, over the trucks, the same over each."""

from __future__ import annotations

import re

__all__ = ["in_bottom_container", "place_for"]

COVERED = (
    "Fix half to the floor over each truck, as low and as near the middle line as it will go, then close the body."
)
COVERED_HOPPER = (
    "Fix half low inside the end of the body over each truck, above the slope sheet, then close the roof."
)
OPEN = (
    "Fix half below the floor over each truck, clear of wheels and couplers, or hide it under a load that stays in "
    "the car."
)
TANK = "Fix half inside the tank above each saddle, at the bottom, so that it cannot roll or shift."
WELL = (
    "Put it into the bottom container only, half toward each truck, and write into the car's note which container "
    "carries it, so that it always rides at the bottom."
)
ANY = "Fix half low over each truck, on the middle line, where nothing that moves can touch it."

_BY_WORDS = (
    (("well", "container", "stack", "double stack"), WELL),
    (("tank",), TANK),
    (("covered hopper",), COVERED_HOPPER),
    (
        (
            *("box", "reefer", "stock", "milk", "auto rack", "autorack", "covered", "caboose", "van", "mail"),
            *("coach", "passenger", "sleeper", "diner", "baggage", "lounge", "observation", "combine", "express"),
        ),
        COVERED,
    ),
    (("gondola", "hopper", "flat", "ore", "ballast", "log", "coal", "spine", "rack", "bulkhead"), OPEN),
)
"""The words of a car's kind, the more telling first. A word ends as it will: `boxcar` and `box 40` are both a box."""


def place_for(kind: str) -> str:
    """One sentence on where the weight goes in a car of that kind.

    >>> place_for("Tank car").startswith("Fix half inside the tank")
    True
    """
    told = " ".join(kind.lower().replace("-", " ").split())
    for words, sentence in _BY_WORDS:
        if any(re.search(rf"\b{word}", told) for word in words):
            return sentence
    return ANY


def in_bottom_container(kind: str) -> bool:
    """Whether weight goes into the container at the bottom of a car of that kind, of which there may be several.

    >>> in_bottom_container("well car"), in_bottom_container("flat")
    (True, False)
    """
    return place_for(kind) == WELL
