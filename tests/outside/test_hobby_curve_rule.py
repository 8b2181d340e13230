"""The hobby's rule for HO: a curve adds 32/R per cent, R in inches (widely published, after John Allen)."""

from __future__ import annotations

import pytest

from consist.mechanics import curve_share_per_curvature

__all__: list[str] = []


def _percent(radius_in: float) -> float:
    return 100.0 * curve_share_per_curvature(87.1) / (radius_in * 25.4)


@pytest.mark.parametrize("radius_in", [15.0, 18.0, 24.0, 30.0, 48.0])
def test_ours_is_the_rule_within_two_per_cent(radius_in: float) -> None:
    assert _percent(radius_in) == pytest.approx(32.0 / radius_in, rel=0.02)


@pytest.mark.parametrize(("radius_in", "percent"), [(24.0, 1.33), (30.0, 1.07)])
def test_published_values(radius_in: float, percent: float) -> None:
    assert _percent(radius_in) == pytest.approx(percent, rel=0.02)


def test_a_later_measurement_gave_less() -> None:
    """28/R, from a public discussion. Ours is more by about an eighth: a difference, not an agreement."""
    over = _percent(24.0) / (28.0 / 24.0) - 1.0
    assert 0.10 < over < 0.15
