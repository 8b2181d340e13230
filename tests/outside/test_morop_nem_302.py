"""MOROP NEM 302, Wagenmasse (recommendation, 2015): least mass per mm of length over buffers."""

from __future__ import annotations

import pytest
from builders import car, case, engine, one_line, session, spot, straight, train

from consist.bench.target import status_of
from consist.rules.cars import car_weight
from consist.scales import SCALES
from consist.stock import weight_standard

__all__: list[str] = []

# scale by our names: g/mm, the table of NEM 302
TABLE = {"Z": 0.12, "N": 0.17, "TT": 0.25, "HO": 0.40, "S": 0.60, "0": 1.00, "1": 2.00, "2": 4.00}


@pytest.mark.parametrize("scale", TABLE)
def test_every_scale_of_the_table(scale: str) -> None:
    standard = weight_standard("nem-302", scale)
    # the body is given shorter, for the norm counts the length over buffers
    assert standard.target_g(80.0, 100.0) == pytest.approx(100.0 * TABLE[scale])


@pytest.mark.parametrize(("length_mm", "grams"), [(105.0, 42.0), (245.0, 98.0)])
def test_worked_examples_in_h0(length_mm: float, grams: float) -> None:
    assert weight_standard("nem-302", "HO").target_g(length_mm - 12.7, length_mm) == pytest.approx(grams)


@pytest.mark.parametrize("scale", TABLE)
@pytest.mark.parametrize(("share", "too_heavy"), [(1.0, False), (1.15, False), (1.299, False), (1.301, True)])
def test_up_to_thirty_per_cent_more_is_within_the_norm(scale: str, share: float, too_heavy: bool) -> None:
    """Neither the check nor the bench finds a car too heavy that the norm allows; both do the next one."""
    length_mm = 105.0 * 87.0 / SCALES[scale].ratio
    target_g = length_mm * TABLE[scale]
    ours = weight_standard("nem-302", scale).target_g(length_mm, length_mm)
    where = one_line(straight(1000.0), scale=SCALES[scale])
    one = train(where, [spot(car("C1", share * target_g, length_mm, target_g=ours), 1)], [engine()])
    found = [finding.code for finding in car_weight(case(session(where, one), one))]
    assert found == (["overweight"] if too_heavy else [])
    assert (status_of(share * target_g, ours) == "over") == too_heavy
