"""NMRA S-3.2 and RP-3, track gauge, and S-2, couplers: the figures that the side limits rest on."""

from __future__ import annotations

import pytest
from builders import HO

from consist.scales import SCALES

__all__: list[str] = []

# scale by our names: least and greatest track gauge, in inches
S_3_2 = {
    "O": (1.250, 1.285),
    "On3": (0.750, 0.778),
    "S": (0.883, 0.905),
    "Sn3": (0.563, 0.585),
    "HO": (0.649, 0.672),
}
# the edition of 2010, from a published copy: target, plus and minus tolerance
S_3_2_OF_2010 = {"On30": (0.651 - 0.002, 0.651 + 0.010), "HOn3": (0.415 - 0.002, 0.415 + 0.008)}
RP_3 = {"TT": (0.471, 0.485), "N": (0.353, 0.366)}  # fine
# on N's track, common practice: HOn30 (30 in and less of full size) and the British N
ON_N = {"HOn30": RP_3["N"], "British N": RP_3["N"]}


@pytest.mark.parametrize(("scale", "allowed"), [*S_3_2.items(), *S_3_2_OF_2010.items(), *RP_3.items(), *ON_N.items()])
def test_track_gauge_is_within_what_the_standard_allows(scale: str, allowed: tuple[float, float]) -> None:
    """A gauge of ours is one figure for a range of real ones; outside the range it would be nobody's track."""
    least, greatest = allowed
    assert least * 25.4 <= SCALES[scale].gauge_mm <= greatest * 25.4


@pytest.mark.parametrize(("scale", "off_mm"), [("On3", 0.0), ("HOn3", 0.005), ("Sn3", 0.015)])
def test_narrow_gauge_is_three_feet_to_scale(scale: str, off_mm: float) -> None:
    """3 ft over the ratio, by the name of these scales; Sn3 is as near to it as S-3.2's least lets it come."""
    three_feet_mm = 36.0 * 25.4
    assert SCALES[scale].gauge_mm == pytest.approx(three_feet_mm / SCALES[scale].ratio, abs=off_mm)


def test_every_scale_has_its_ratio_and_its_gauge_from_somewhere() -> None:
    """From S-3.2, RP-3 or NEM 010 (test_morop_nem_010.py); OO and those on N's track by common practice."""
    of_nem = {"Z", "N", "TT", "HO", "S", "0", "1", "2", "TTm", "H0m", "H0e", "0m", "0e", "Im", "IIm"}
    assert {*SCALES} == of_nem | {*S_3_2} | {*S_3_2_OF_2010} | {*RP_3} | {*ON_N} | {"OO"}
    assert {SCALES[one].ratio for one in ("HO", "HOn3", "HOn30")} == {87.1}
    assert all(scale.source for scale in SCALES.values())
    assert SCALES["Sn3"].ratio == SCALES["S"].ratio
    # 4 mm to the foot, by definition of OO
    assert SCALES["OO"].ratio == pytest.approx(304.8 / 4.0)


def test_our_oo_is_the_british_and_not_that_of_the_standard() -> None:
    """S-3.2 has the American OO, of 0.750 in; the British runs on HO's track (common practice)."""
    assert SCALES["OO"].gauge_mm == HO.gauge_mm
    assert SCALES["OO"].gauge_mm != pytest.approx(0.750 * 25.4, rel=0.1)


def test_the_standards_o_is_a_quarter_inch_to_the_foot() -> None:
    """NMRA's O is 1:48, where NEM 010's 0 is 1:45."""
    assert SCALES["O"].ratio == SCALES["On3"].ratio == SCALES["On30"].ratio == 48.0
    assert SCALES["0"].ratio == 45.0


def test_british_n_is_two_and_a_sixteenth_mm_to_the_foot() -> None:
    """Common practice, as published lexicons have it: 1:148, on N's track."""
    assert SCALES["British N"].ratio == pytest.approx(304.8 / 2.0625, abs=0.25)


def test_coupler_centre_is_25_64_of_an_inch_above_the_rail() -> None:
    """S-2: 0.391 in, 25/64 in."""
    assert HO.coupler_height_mm == pytest.approx(0.391 * 25.4, abs=0.005)
    assert HO.coupler_height_mm == pytest.approx(25.0 / 64.0 * 25.4, abs=0.01)
