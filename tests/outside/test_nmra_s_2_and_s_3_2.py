"""NMRA S-3.2 and RP-3, track gauge, MOROP NEM 010, gauge and ratio, and NMRA S-2, couplers.

The side limits rest on them.
"""

from __future__ import annotations

import pytest
from builders import HO

from consist.scales import SCALES

__all__: list[str] = []


def test_track_gauge_is_no_narrower_than_the_standards_least() -> None:
    """S-3.2: at least 0.649 in between the rails of HO; NEM 010 has 16.5 mm."""
    assert HO.gauge_mm >= 0.649 * 25.4
    assert HO.gauge_mm == pytest.approx(0.649 * 25.4, rel=0.002)


def test_coupler_centre_is_25_64_of_an_inch_above_the_rail() -> None:
    """S-2: 0.391 in, 25/64 in."""
    assert HO.coupler_height_mm == pytest.approx(0.391 * 25.4, abs=0.005)
    assert HO.coupler_height_mm == pytest.approx(25.0 / 64.0 * 25.4, abs=0.01)


# scale: least and greatest track gauge in inches; OO there is the American one and is left out, as is HOn3
S_3_2 = {
    "O": (1.250, 1.285),
    "On3": (0.750, 0.778),
    "S": (0.883, 0.905),
    "Sn3": (0.563, 0.585),
    "HO": (0.649, 0.672),
}
# RP-3, fine standards
RP_3 = {"TT": (0.471, 0.485), "N": (0.353, 0.366)}
# MOROP NEM 010 (2011): gauge in mm and ratio; NMRA's O is 1:48 and HO 1:87.1, which are ours
NEM_010 = {"Z": (6.5, 220.0), "N": (9.0, 160.0), "TT": (12.0, 120.0), "HO": (16.5, 87.0), "S": (22.5, 64.0)}
NEM_010 |= {"O": (32.0, 45.0), "1": (45.0, 32.0), "2": (64.0, 22.5)}
OWN_RATIO = {"O": 48.0, "HO": 87.1}
ROUNDED_IN = 0.0005
"""The tables give thousandths."""


@pytest.mark.parametrize("scale", [*S_3_2, *RP_3])
def test_every_gauge_is_one_that_the_standard_allows(scale: str) -> None:
    """NMRA S-3.2 and RP-3: between the least and the greatest track gauge."""
    least, greatest = (S_3_2 | RP_3)[scale]
    assert least - ROUNDED_IN <= SCALES[scale].gauge_mm / 25.4 <= greatest + ROUNDED_IN


@pytest.mark.parametrize("scale", NEM_010)
def test_every_gauge_and_ratio_of_nem_010(scale: str) -> None:
    gauge_mm, ratio = NEM_010[scale]
    assert SCALES[scale].gauge_mm == gauge_mm
    assert SCALES[scale].ratio == OWN_RATIO.get(scale, ratio)
