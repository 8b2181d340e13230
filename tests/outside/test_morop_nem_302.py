"""MOROP NEM 302, Wagenmasse (recommendation, 2015): least mass per mm of length over buffers."""

from __future__ import annotations

import pytest

from consist.stock import weight_standard
from consist.stock.standards import OVER_ENOUGH

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


def test_up_to_thirty_per_cent_more_is_within_the_norm() -> None:
    over = OVER_ENOUGH
    assert over == pytest.approx(0.30)
