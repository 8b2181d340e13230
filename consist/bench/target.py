"""What a car of a length ought to weigh, and the band that is near enough.

On the target or a little over beats under. The band is a tenth either way: common practice in N is within 0.1 oz on
a car of about 1 oz. A car from the band's upper end to 30 % over is heavy, though NEM 302 still allows it.
"""

from __future__ import annotations

from consist.bench.results import Status, Target
from consist.errors import refuse
from consist.house import OwnStandard
from consist.scales import Scale, scale_named
from consist.stock import NEAR_ENOUGH, OVER_ENOUGH, StandardError, WeightStandard, weight_standard
from consist.tolerances import heavier, lighter

__all__ = ["asked_rightly", "band", "standard_named", "status_of", "target"]

LITTLE_OVER = 0.10
"""A car this share over its target is on it, near enough. Common practice, no source."""


def target(scale: str | Scale, standard: str | None, length_mm: float, kind: str = "") -> Target:
    """The target of a car, with its band; `length_mm` is the length that the standard counts.

    `standard` None is the one by default. `kind` matters only to standards that part passenger cars from others.
    Raises `InputError` for a scale or a standard that is not known, naming the nearest, and for a scale that the
    standard has no figures for.

    >>> round(target("N", "nmra-rp-20.1", 4 * 25.4).target_g / 28.349523125, 6)
    1.1
    """
    known = scale_named(scale)
    counted = standard_named(standard, known)
    grams = counted.target_g(length_mm, length_mm, kind)
    low, high = band(grams)
    return Target(
        known.name, counted.name, length_mm, grams, low, high, counted.title, counted.length_words, counted.note
    )


def band(target_g: float) -> tuple[float, float]:
    """The least and the greatest weight that is near enough to a target."""
    return (1 - NEAR_ENOUGH) * target_g, (1 + LITTLE_OVER) * target_g


def status_of(weight_g: float | None, target_g: float) -> Status:
    """Where a car of that weight stands; None is a car that was not weighed.

    >>> [status_of(weight, 100.0) for weight in (89.9, 90.0, 100.0, 110.1, 130.1, None)]
    ['under', 'near', 'on', 'heavy', 'over', 'not weighed']
    """
    if weight_g is None:
        return "not weighed"
    low, high = band(target_g)
    if lighter(weight_g, low):
        return "under"
    if lighter(weight_g, target_g):
        return "near"
    if not heavier(weight_g, high):
        return "on"
    return "over" if heavier(weight_g, (1 + OVER_ENOUGH) * target_g) else "heavy"


def asked_rightly(scale: object, standard: object, *, of_session: bool) -> None:
    """Raise `InputError` where a session, which has its own, is given a scale or standard, or a table no scale."""
    given = (("--scale", scale, "the layout"), ("--standard", standard, "[house]")) if of_session else ()
    for option, value, key in given:
        if value is not None:
            raise refuse(option, f"a session goes by what {key} says; leave the option out or name a table of cars")
    if scale is None and not of_session:
        raise refuse("--scale", "found none for a table of cars; give it, such as --scale HO")


def standard_named(standard: str | None, scale: Scale) -> WeightStandard:
    """The published standard of that name for a scale, one of one's own, or for None the one by default.

    Raises `InputError`, naming the nearest.

    >>> from consist.scales import SCALES
    >>> round(standard_named("base_oz = 1, per_in_oz = 0.5", SCALES["HO"]).target_g(101.6, 0.0), 3)  # 3 oz
    85.049
    """
    wanted: str | OwnStandard | None = standard
    if standard is not None and "=" in standard:
        from consist.intake import own_standard

        wanted = own_standard(standard, "--standard")
    try:
        return weight_standard(wanted, scale)
    except StandardError as error:
        raise refuse("--standard", str(error)) from None
