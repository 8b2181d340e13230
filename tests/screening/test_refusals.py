"""What a train comes to with a guest in it, as shares of what is allowed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import builders
import numpy as np
import pytest
from builders import car, curve, engine, straight

from consist.house import GuestPractice, House
from consist.screening.refusals import Asked, Figures
from consist.screening.tonight import TrainTonight
from consist.trains import prepared

__all__: list[str] = []

WHERE = builders.one_line(straight(1500.0), curve(760.0, 90.0, easement_mm=200.0), straight(1500.0))
HOUSE = House(guests=GuestPractice(margin=2.0))


def _asked(*engines: Any, helpers: Any = ()) -> Asked:
    """A guest at the end of a train of three cars."""
    one = builders.train(WHERE, [car(f"C{n}", 100.0, 140.0) for n in range(3)], list(engines), list(helpers))
    of = prepared(builders.session(WHERE, one, house=HOUSE), one)
    return Asked(TrainTonight(of), builders.spot(replace(car("G", 100.0, 140.0), guest=True), 4))


def _figures(engine_share: float) -> Figures:
    return Figures(np.full((1, 4), 0.1), np.zeros((1, 4)), np.array([engine_share]))


def test_what_engines_give_counts_where_there_are_engines_and_not_where_they_stand_in() -> None:
    """A train whose engines are not named yet turns no guest away for want of pull."""
    for asked in (_asked(engine("1")), _asked(engine("1"), helpers=[engine("2")]), _asked(helpers=[engine("2")])):
        assert asked.shares(_figures(1.2)).power == pytest.approx(1.2, rel=1e-3)
        refused = asked.refused(4, _figures(1.2))
        assert refused is not None
        assert refused.code == "power"
    asked = _asked()
    assert asked.shares(_figures(1.2)).power.tolist() == [0.0]
    assert asked.refused(4, _figures(1.2)) is None


def test_a_guests_own_share_is_of_the_margin_that_guests_keep() -> None:
    assert _asked(engine("1")).shares(_figures(0.5)).own == pytest.approx(0.2)
