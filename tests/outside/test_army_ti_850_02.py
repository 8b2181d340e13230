"""US Army TI 850-02, equation 3-3: ruling grade % = TE / [20 (W_eng + N W_car)] - 0.15; pounds and short tons."""

from __future__ import annotations

import pytest

from consist.mechanics.resistance import car_resistance, usable_pull

__all__: list[str] = []

TON_LB = 2000.0
ROLLING = 0.0015
# tractive effort lb, engine tons, cars, tons a car
CASES = [(36_000.0, 120.0, 20, 70.0), (60_000.0, 125.0, 60, 40.0), (18_000.0, 60.0, 5, 90.0)]


def _equation(effort_lb: float, engine_tons: float, cars: int, car_tons: float) -> float:
    return effort_lb / (20.0 * (engine_tons + cars * car_tons)) - 0.15


def _left_over(grade_percent: float, engine_rolling: float, case: tuple[float, float, int, float]) -> float:
    """What the engine has beyond what the cars take, by our functions, in pounds."""
    effort, engine_tons, cars, car_tons = case
    grade = grade_percent / 100.0
    pull = usable_pull(effort, engine_tons * TON_LB, grade + engine_rolling)
    return float(pull - car_resistance(cars * car_tons * TON_LB, grade, ROLLING))


@pytest.mark.parametrize("case", CASES)
def test_pull_and_resistance_balance_on_the_equations_grade(case: tuple[float, float, int, float]) -> None:
    """The equation gives the engine the cars' 0.15 % of rolling resistance too."""
    assert _left_over(_equation(*case), ROLLING, case) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("case", CASES)
def test_ours_leaves_the_engines_rolling_to_its_measured_pull(case: tuple[float, float, int, float]) -> None:
    """A difference, kept in sight: ours has 0.15 % of the engine's weight, 3 lb a ton, to spare on that grade."""
    assert _left_over(_equation(*case), 0.0, case) == pytest.approx(3.0 * case[1])
