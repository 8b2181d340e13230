"""MOROP NEM 302, Wagenmasse (recommendation, 2015): least mass per mm of length over buffers."""

from __future__ import annotations

import pytest
from builders import car, case, engine, one_line, session, straight, train

from consist.rules.car_weight import car_weight
from consist.stock import weight_standard

__all__: list[str] = []

# scale by our names: g/mm, the table of NEM 302
TABLE = {"Z": 0.12, "N": 0.17, "TT": 0.25, "HO": 0.40, "S": 0.60, "O": 1.00, "1": 2.00, "2": 4.00}


@pytest.mark.parametrize("scale", TABLE)
def test_every_scale_of_the_table(scale: str) -> None:
    standard = weight_standard("nem-302", scale)
    # the body is given shorter, for the norm counts the length over buffers
    assert standard.target_g(80.0, 100.0) == pytest.approx(100.0 * TABLE[scale])


@pytest.mark.parametrize(("length_mm", "grams"), [(105.0, 42.0), (245.0, 98.0)])
def test_worked_examples_in_h0(length_mm: float, grams: float) -> None:
    assert weight_standard("nem-302", "HO").target_g(length_mm - 12.7, length_mm) == pytest.approx(grams)


@pytest.mark.parametrize(("share", "codes"), [(1.0, []), (1.299, []), (1.301, ["overweight"])])
def test_up_to_thirty_per_cent_more_is_within_the_norm(share: float, codes: list[str]) -> None:
    """In H0 a car of 105 mm is to weigh 42 g; up to 54.6 g, 30 % more, nothing is said of it."""
    target = weight_standard("nem-302", "HO").target_g(92.3, 105.0)
    assert target == pytest.approx(42.0)
    where = one_line(straight(1000.0))
    one = train(where, [car("C1", share * 42.0, 105.0, target_g=target)], [engine()])
    assert [found.code for found in car_weight(case(session(where, one), one))] == codes
