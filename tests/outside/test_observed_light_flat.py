"""An observation, published in a public discussion by the owner, to hold the model against.

Some 120 HO cars built without their weights, a 42 ft flat of 15 g directly behind the engine, level track, curves of
80 in radius: no trouble with careful starts. Not given, and assumed here: the other cars' weight, 50 to 60 g each;
how far a curve turns, up to a full circle; whether curves are eased; the engine, 200 mm with trucks 140 mm apart;
1.4 % of rolling resistance; a flange drag of 0.03, as derived. Nothing in the model was fitted to it.

What the model says at 80 in: with easements of 250 to 500 mm 1.01 to 1.38, but 0.93 where cars of 60 g, the heaviest
assumed, stand round a full circle; and 0.63 to 0.94 with none at all. Without an easement the engine and the flat
stand askew to each other for a moment as they leave the curve, and between rigid pivots 17.8 mm apart that makes an
angle half as large again as the curve's own. Couplers and trucks have play which would take up some of it; the model
has none. So the observation is met on eased track, but for the full circle, and missed on uneased track.
"""

from __future__ import annotations

import pytest
from builders import car, curve, engine, straight, world

__all__: list[str] = []

# 42 ft over the body and 12.7 mm for the couplers; the others are 40 ft cars; truck centers by our rule
FLAT_MM = 42.0 * 304.8 / 87.1 + 12.7
BOX_MM = 40.0 * 304.8 / 87.1 + 12.7
TRAIN_MM = 19_000.0


def _margin(radius_in: float, other_g: float, angle_deg: float, easement_mm: float, rolling: float = 0.014) -> float:
    flat = car("Flat", 15.0, FLAT_MM, truck_centers_mm=0.72 * FLAT_MM, rolling=rolling)
    others = [car(f"C{k}", other_g, BOX_MM, truck_centers_mm=0.72 * BOX_MM, rolling=rolling) for k in range(119)]
    bend = curve(radius_in * 25.4, angle_deg, easement_mm=easement_mm)
    of = world([straight(1500.0), bend, straight(TRAIN_MM)], [flat, *others], [engine(pull_g=400.0)])
    return 1.0 / float(of.run().use.value[1])


@pytest.mark.parametrize(
    ("angle_deg", "other_g"),
    [
        *((angle, grams) for angle in (90.0, 180.0, 360.0) for grams in (50.0, 55.0, 60.0) if angle + grams != 420.0),
        pytest.param(
            360.0,
            60.0,
            marks=pytest.mark.xfail(
                strict=True,
                reason="0.93 with the heaviest cars assumed round a full circle: side loads cost that much there",
            ),
        ),
    ],
)
def test_on_eased_curves_of_80_in_the_light_flat_stays_on(angle_deg: float, other_g: float) -> None:
    assert _margin(80.0, other_g, angle_deg, 250.0) > 1.0


def test_what_is_missed_round_a_full_circle_is_within_what_rolling_leaves_open() -> None:
    """Cars on a bench rolled at 0.8 % to 2.2 % (public discussion): at 1.2 % the heaviest assumed stay on too."""
    assert _margin(80.0, 60.0, 360.0, 250.0, rolling=0.012) > 1.0


@pytest.mark.parametrize("other_g", [50.0, 55.0, 60.0])
def test_on_half_that_radius_the_margin_is_near_one(other_g: float) -> None:
    """Within a factor of two either way and no closer: where it would have failed was not observed.

    The weights are assumed to a tenth, and cars on a bench rolled at 0.8 % to 2.2 %, which alone is a factor of 1.6
    about our 1.4 %.
    """
    assert 0.5 < _margin(40.0, other_g, 90.0, 250.0) < 2.0


def test_halving_the_radius_about_halves_the_margin() -> None:
    """Pull-in goes as 1/R (T·C/R); the curve's own resistance takes a little more."""
    ratio = _margin(80.0, 55.0, 90.0, 250.0) / _margin(40.0, 55.0, 90.0, 250.0)
    assert ratio == pytest.approx(2.0, rel=0.1)


@pytest.mark.xfail(strict=True, reason="rigid pivots without play make too much of the joint of an uneased curve")
@pytest.mark.parametrize("other_g", [50.0, 55.0, 60.0])
def test_on_uneased_curves_of_80_in_the_light_flat_stays_on(other_g: float) -> None:
    assert _margin(80.0, other_g, 90.0, 0.0) > 1.0
