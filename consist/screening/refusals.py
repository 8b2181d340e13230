"""Why a guest car may not ride in a spot of a train, from what the train comes to with it and without it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from consist.mechanics import MOVES
from consist.screening.results import RefusalCode

__all__ = ["WORSE", "Asked", "Figures", "Refused", "refused"]

WORSE = 1.01
"""A car below the margin already, or swinging too far, is worse off where the figure grows by more than this factor:
peaks of two runs may differ by the model's tolerance of half a per cent each."""


@dataclass(frozen=True)
class Figures:
    """What a train comes to: the greatest side use by car, that of its engines, and how far couplers swing.

    `swings_deg` holds cars at couplings where one has a limit: those of the guest, or all of a train without one.
    Cars that were not looked at are left out.
    """

    uses: Mapping[str, float]
    power_use: float = 0.0
    swings_deg: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Refused:
    """Why a spot will not do."""

    code: RefusalCode
    say: str


@dataclass(frozen=True)
class Asked:
    """What is asked of a train with a guest in it.

    `before` are the figures of the train without it, `swing_limits_deg` the limits of those cars that have one.
    `engines_given` is whether the train's engines are its own, and not stand-ins that can be added to.
    """

    guest: str
    train: str
    least_margin: float
    before: Figures
    swing_limits_deg: Mapping[str, float]
    engines_given: bool


def refused(asked: Asked, spot: str, after: Figures) -> Refused | None:
    """Why the guest may not ride in a spot (told as "spot 3"), None where it may."""
    return (
        _own_margin(asked, spot, after)
        or _swing(asked, spot, after)
        or _power(asked, after)
        or _others(asked, spot, after)
    )


def _own_margin(asked: Asked, spot: str, after: Figures) -> Refused | None:
    use = after.uses.get(asked.guest, 0.0)
    if use * asked.least_margin <= 1.0:
        return None
    return Refused(
        "margin",
        f"In {spot} of {asked.train} {asked.guest} would keep a margin of {1.0 / use:.2f}, and guests are to keep "
        f"{asked.least_margin:g}.",
    )


def _swing(asked: Asked, spot: str, after: Figures) -> Refused | None:
    for car, swing in after.swings_deg.items():
        limit = asked.swing_limits_deg.get(car)
        if limit is None or swing <= limit:
            continue
        before = asked.before.swings_deg.get(car, 0.0)
        if before > limit and swing <= before * WORSE:
            continue
        whose = "its coupler" if car == asked.guest else f"the coupler of {car} next to it"
        return Refused(
            "swing" if car == asked.guest else "others",
            f"With {asked.guest} in {spot} of {asked.train} {whose} would have to swing {swing:.1f} degrees and has "
            f"{limit:.1f}.",
        )
    return None


def _power(asked: Asked, after: Figures) -> Refused | None:
    if not asked.engines_given or asked.before.power_use > MOVES or after.power_use <= MOVES:
        return None
    return Refused("power", f"The engines of {asked.train} could not pull {asked.guest} as well.")


def _others(asked: Asked, spot: str, after: Figures) -> Refused | None:
    for car, use in after.uses.items():
        before = asked.before.uses.get(car)
        if before is None or use * asked.least_margin <= 1.0 or use <= before * WORSE:
            continue
        return Refused(
            "others",
            f"With {asked.guest} in {spot} of {asked.train} {car} would keep a margin of {1.0 / use:.2f}, which is "
            f"under {asked.least_margin:g}.",
        )
    return None
