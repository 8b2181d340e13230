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
}
OURS_IS_NMRAS = {"H0": 87.1, "0": 48.0}


@pytest.mark.parametrize("scale", TABLE)
def test_gauge_and_ratio_are_the_norms(scale: str) -> None:
    """Two ratios are not: HO's is NMRA's, closer than the norm's whole number, and O's is NMRA's."""
    known = known_scale(scale)
    assert known is not None
    gauge_mm, ratio = TABLE[scale]
    assert known.gauge_mm == gauge_mm
    assert known.ratio == OURS_IS_NMRAS.get(scale, ratio)
