"""MOROP NEM 010 (2011): scales and track gauges."""

from __future__ import annotations

import pytest

from consist.scales import known_scale

__all__: list[str] = []

# scale as the norm writes it: gauge in mm, ratio
TABLE = {
    "Z": (6.5, 220.0),
    "N": (9.0, 160.0),
    "TT": (12.0, 120.0),
    "H0": (16.5, 87.0),
    "S": (22.5, 64.0),
    "0": (32.0, 45.0),
    "1": (45.0, 32.0),  # I in the norm
    "2": (64.0, 22.5),  # II in the norm
    "I": (45.0, 32.0),
    "II": (64.0, 22.5),
    "TTm": (9.0, 120.0),
    "H0m": (12.0, 87.0),
    "H0e": (9.0, 87.0),
    "0m": (22.5, 45.0),
    "0e": (16.5, 45.0),
    "Im": (32.0, 32.0),
    "IIm": (45.0, 22.5),
}
OURS_IS_NMRAS = {"H0": 87.1}
FULL_SIZE_MM = {"m": (850.0, 1250.0), "e": (650.0, 850.0)}


@pytest.mark.parametrize("scale", TABLE)
def test_gauge_and_ratio_are_the_norms(scale: str) -> None:
    """One ratio is not: HO's is NMRA's, closer than the norm's whole number."""
    known = known_scale(scale)
    assert known is not None
    gauge_mm, ratio = TABLE[scale]
    assert known.gauge_mm == gauge_mm
    assert known.ratio == OURS_IS_NMRAS.get(scale, ratio)


@pytest.mark.parametrize("scale", [name for name in TABLE if name[-1] in FULL_SIZE_MM])
def test_a_letter_stands_for_the_norms_range_of_full_size_gauges(scale: str) -> None:
    known = known_scale(scale)
    assert known is not None
    least, greatest = FULL_SIZE_MM[scale[-1]]
    assert least <= known.gauge_mm * known.ratio <= greatest
