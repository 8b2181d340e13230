"""Scales of model railways and units as data, and the lengths that follow from a scale.

Sources: track gauge from NMRA S-3.2 and RP-3 (ranges, of which ours is one figure) and NEM 010; the HO coupler
height, 0.391 in above the rail, from NMRA S-2. Ratios are those of NEM 010 and, from memory, NMRA S-1.2. Where no
standard gives a coupler height, HO's is taken by ratio. The British OO runs on HO's track: common practice. HOn3's
gauge is from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

from consist.names import tidy

__all__ = ["GRAMS_PER_OUNCE", "HO_RATIO", "MM_PER_INCH", "SCALES", "Scale", "known_scale"]

MM_PER_INCH = 25.4
GRAMS_PER_OUNCE = 28.349523125
"""Exact, by definition of the avoirdupois pound."""
HO_RATIO = 87.1
HO_COUPLER_HEIGHT_MM = 9.93
HO_PIVOT_SETBACK_MM = 8.9  # coupler pivot behind the pulling face, body-mounted
HO_COUPLED_OVER_BODY_MM = 12.7  # coupled length less body length


@dataclass(frozen=True)
class Scale:
    """A scale: its name, ratio (full size over model), track gauge and coupler height above the rail.

    >>> SCALES["HO"].gauge_mm
    16.5
    >>> round(SCALES["N"].by_ratio(8.9), 2)  # HO's pivot setback, taken to N
    4.84
    """

    name: str
    ratio: float
    gauge_mm: float
    coupler_height_mm: float

    def by_ratio(self, ho_mm: float) -> float:
        """The length in this scale of what measures `ho_mm` in HO."""
        return ho_mm * HO_RATIO / self.ratio

    @property
    def pivot_setback_mm(self) -> float:
        """How far a body-mounted coupler's pivot lies behind its pulling face."""
        return self.by_ratio(HO_PIVOT_SETBACK_MM)

    @property
    def coupled_over_body_mm(self) -> float:
        """What the couplers add to a car's body length where only that is known."""
        return self.by_ratio(HO_COUPLED_OVER_BODY_MM)


SCALES: dict[str, Scale] = {
    name: Scale(name, ratio, gauge_mm, HO_COUPLER_HEIGHT_MM * HO_RATIO / ratio)
    for name, ratio, gauge_mm in (
        ("Z", 220.0, 6.5),
        ("N", 160.0, 9.0),
        ("TT", 120.0, 12.0),
        ("HO", HO_RATIO, 16.5),
        ("HOn3", HO_RATIO, 10.5),
        ("OO", 76.2, 16.5),
        ("S", 64.0, 22.5),
        ("Sn3", 64.0, 14.3002),  # 0.563 in, the least that S-3.2 allows; 14.3 mm is under it
        ("O", 48.0, 32.0),
        ("On3", 48.0, 19.05),
        ("1", 32.0, 45.0),
        ("2", 22.5, 64.0),
    )
}
"""Known scales by name. H0 and 0 (NEM's spelling) are read as HO and O at intake."""


def known_scale(name: str) -> Scale | None:
    """The known scale of that name, in any case, with NEM's H0 and 0 for HO and O; None if there is none.

    >>> known_scale("h0").name
    'HO'
    """
    folded = tidy(name).casefold()
    folded = {"h0": "ho", "0": "o"}.get(folded, folded)
    return next((scale for scale in SCALES.values() if scale.name.casefold() == folded), None)
