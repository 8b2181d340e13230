"""Pull-in of a car on a long even curve is T·C/R to first order: a chain round a circle, elementary statics."""

from __future__ import annotations

import numpy as np
import pytest
from builders import car, curve, engine, world
from each_millimetre import figures_at, side_pulls

__all__: list[str] = []


@pytest.mark.parametrize("radius_mm", [900.0, 2000.0, 10_000.0])
@pytest.mark.parametrize("length_mm", [110.0, 160.0, 280.0])
def test_a_car_is_pulled_in_by_tension_times_length_over_radius(radius_mm: float, length_mm: float) -> None:
    cars = [car(f"C{k}", 80.0, length_mm) for k in range(8)]
    train_mm = 8 * length_mm + 200.0
    of = world([curve(radius_mm, 1.2 * np.degrees((train_mm + 600.0) / radius_mm))], cars, [engine()])
    at = figures_at(of, of.length_mm - 200.0)
    front, rear = side_pulls(at)
    for vehicle in (3, 4, 5):
        mean_tension = 0.5 * (at.forces.tension[vehicle - 1, 0] + at.forces.tension[vehicle, 0])
        # the next term is of the order (C/R) squared
        tolerance = 0.001 + (length_mm / radius_mm) ** 2
        found = float(front[vehicle, 0] + rear[vehicle, 0])
        assert found == pytest.approx(mean_tension * length_mm / radius_mm, rel=tolerance)
