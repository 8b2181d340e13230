"""NMRA S-3.2, track gauge, and S-2, couplers: the figures of HO that the side limits rest on."""

from __future__ import annotations

import pytest
from builders import HO

__all__: list[str] = []


def test_track_gauge_is_no_narrower_than_the_standards_least() -> None:
    """S-3.2: at least 0.649 in between the rails of HO; NEM 010 has 16.5 mm."""
    assert HO.gauge_mm >= 0.649 * 25.4
    assert HO.gauge_mm == pytest.approx(0.649 * 25.4, rel=0.002)


def test_coupler_centre_is_25_64_of_an_inch_above_the_rail() -> None:
    """S-2: 0.391 in, 25/64 in."""
    assert HO.coupler_height_mm == pytest.approx(0.391 * 25.4, abs=0.005)
    assert HO.coupler_height_mm == pytest.approx(25.0 / 64.0 * 25.4, abs=0.01)
