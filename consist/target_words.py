"""A target weight in words. Beside the reports, which load too much for one figure at once."""

from __future__ import annotations

from consist.bench.results import Target
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = ["target_text"]


def target_text(target: Target) -> str:
    """The target in ounces and grams, with the band that is near enough.

    >>> print(target_text(Target("N", "own", 101.6, 31.0, 28.0, 34.0, "Own", "body length")))
    Target      1.09 oz   31.0 g
    Near enough 0.99 to 1.20 oz   28.0 to 34.0 g
    N scale, Own, body length 4.00 in or 101.6 mm; a little over is better than under.
    <BLANKLINE>
    """
    oz, low_oz, high_oz = (grams / GRAMS_PER_OUNCE for grams in (target.target_g, target.low_g, target.high_g))
    inches = target.length_mm / MM_PER_INCH
    return (
        f"Target      {oz:.2f} oz   {target.target_g:.1f} g\n"
        f"Near enough {low_oz:.2f} to {high_oz:.2f} oz   {target.low_g:.1f} to {target.high_g:.1f} g\n"
        f"{target.scale} scale, {target.title}, {target.length_words} {inches:.2f} in or {target.length_mm:.1f} mm; "
        "a little over is better than under.\n"
    )
