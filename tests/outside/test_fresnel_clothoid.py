"""An easement against the clothoid as `scipy.special.fresnel` gives it.

NIST Digital Library of Mathematical Functions, section 7.2(iii) (from memory): x + iy is a·(C(s/a) + i·S(s/a)), with
a = sqrt(pi·R·e) for a clothoid that reaches radius R after e.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from builders import curve
from scipy.special import fresnel

from consist.track import Centreline

__all__: list[str] = []


@pytest.mark.parametrize(("radius_mm", "easement_mm"), [(600.0, 200.0), (914.4, 406.4), (300.0, 300.0), (5e3, 10.0)])
@pytest.mark.parametrize("turn", ["left", "right"])
def test_the_easement_is_a_clothoid_from_the_tangent(radius_mm: float, easement_mm: float, turn: str) -> None:
    angle_deg = math.degrees(easement_mm / radius_mm) + 20.0
    track = Centreline([curve(radius_mm, angle_deg, turn, easement_mm=easement_mm)])
    s = np.linspace(0.0, easement_mm, 41)
    size = math.sqrt(math.pi * radius_mm * easement_mm)
    sine, cosine = fresnel(s / size)
    side = 1.0 if turn == "left" else -1.0
    at = track.at(s)
    np.testing.assert_allclose(at.x, size * cosine, rtol=1e-10, atol=1e-9)
    np.testing.assert_allclose(at.y, side * size * sine, rtol=1e-10, atol=1e-9)


def test_the_shift_of_an_eased_curve_is_e_squared_over_24_r() -> None:
    """The well-known first term of the clothoid's shift (track layout practice, from memory); the next is (e/R)^2."""
    radius, easement = 1000.0, 200.0
    track = Centreline([curve(radius, 90.0, easement_mm=easement)])
    at = track.at(easement)
    # the centre of the arc lies a radius to the left of where it begins
    centre_y = float(at.y) + radius * math.cos(float(at.heading))
    assert centre_y - radius == pytest.approx(easement**2 / (24.0 * radius), rel=0.01)
