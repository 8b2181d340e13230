"""AMRA carriage mass, from a published table, g/mm.

Which length it means is not said there; it is taken over the couplers.
"""

from __future__ import annotations

import pytest

from consist.stock import weight_standard

__all__: list[str] = []

# scale: (freight, passenger)
TABLE = {
    "N": (0.30, 0.22),
    "TT": (0.40, 0.30),
    "HO": (0.55, 0.40),
    "OO": (0.55, 0.40),
    "S": (0.75, 0.55),
    "O": (1.10, 0.80),
    "1": (1.50, 1.10),
}


@pytest.mark.parametrize("scale", TABLE)
def test_every_scale_of_the_table(scale: str) -> None:
    standard, (freight, passenger) = weight_standard("amra", scale), TABLE[scale]
    assert standard.target_g(180.0, 200.0, "boxcar") == pytest.approx(200.0 * freight)
    assert standard.target_g(180.0, 200.0, "Passenger coach") == pytest.approx(200.0 * passenger)
