"""What the program assumes where a file is silent, by the design's section on assumptions."""

from __future__ import annotations

import pytest
from builders import HO

from consist.scales import SCALES
from consist.stock import car_by_rule, engine_by_rule, weight_standard

__all__: list[str] = []


def test_a_car_with_a_body_length_alone_is_filled_in_by_rule() -> None:
    standard = weight_standard("nmra-rp-20.1", HO)
    found = car_by_rule("C1", HO, standard, 1.4, body_length_mm=140.0)
    assert found.coupled_length_mm == pytest.approx(152.7)
    assert found.truck_centers_mm == pytest.approx(0.72 * 152.7)
    assert found.weight_g == pytest.approx(standard.target_g(140.0, 152.7))
    assert found.coupler_mount == "body"
    assert found.rolling == pytest.approx(0.014)
    assert found.assumed == {"weight", "coupled length", "truck centers", "coupler mount", "rolling"}
    assert not found.weighed


def test_the_couplers_of_another_scale_go_by_its_ratio() -> None:
    n = SCALES["N"]
    found = car_by_rule("C1", n, weight_standard("nem-302", n), 1.4, body_length_mm=80.0)
    assert found.coupled_length_mm - 80.0 == pytest.approx(12.7 * 87.1 / 160.0)


def test_what_is_given_is_never_assumed() -> None:
    found = car_by_rule(
        "C1",
        HO,
        weight_standard("nmra-rp-20.1", HO),
        1.4,
        weight_g=90.0,
        body_length_mm=140.0,
        coupled_length_mm=150.0,
        truck_centers_mm=100.0,
        coupler_mount="truck",
        rolls_at_percent=2.0,
    )
    assert (found.weight_g, found.coupled_length_mm, found.truck_centers_mm) == (90.0, 150.0, 100.0)
    assert found.coupler_mount == "truck"
    assert found.rolling == pytest.approx(0.02)
    assert found.assumed == frozenset()


def test_an_engines_measured_pull_beats_its_grip() -> None:
    found = engine_by_rule("1", HO, weight_g=400.0, pull_g=77.0, grip=0.3)
    assert found.pull_g == 77.0
    assert "grip" not in found.assumed


def test_without_a_measured_pull_it_is_grip_times_the_weight_on_drivers() -> None:
    found = engine_by_rule("1", HO, weight_g=400.0, drivers_weight_g=300.0, grip=0.2)
    assert found.pull_g == pytest.approx(60.0)


def test_without_grip_it_is_a_quarter_and_said_to_be_assumed() -> None:
    found = engine_by_rule("1", HO, weight_g=400.0)
    assert found.pull_g == pytest.approx(100.0)
    assert {"grip", "weight on drivers"} <= found.assumed


@pytest.mark.parametrize("scale", ["HO", "N", "O"])
def test_a_body_is_shorter_than_over_its_couplers_where_only_that_is_given(scale: str) -> None:
    found = car_by_rule(
        "C1", SCALES[scale], weight_standard("nmra-rp-20.1", SCALES[scale]), 1.4, coupled_length_mm=150
    )
    assert found.body_length_mm == pytest.approx(150 - 12.7 * 87.1 / SCALES[scale].ratio)
    assert {"body length"} <= found.assumed
    assert "coupled length" not in found.assumed


def test_an_engine_that_was_not_weighed_weighs_what_is_on_its_drivers() -> None:
    found = engine_by_rule("1", HO, drivers_weight_g=300.0)
    assert found.weight_g == 300.0
    assert found.pull_g == pytest.approx(75.0)
    assert {"weight", "grip"} <= found.assumed
    assert engine_by_rule("1", HO, drivers_weight_g=300.0, pull_g=90.0).weight_g == 300.0
    assert engine_by_rule("1", HO, pull_g=90.0).weight_g == pytest.approx(360.0)


def test_an_engine_without_a_length_is_200_mm_in_ho_and_by_ratio_elsewhere() -> None:
    assert engine_by_rule("1", HO, weight_g=400.0).coupled_length_mm == pytest.approx(200.0)
    in_n = engine_by_rule("1", SCALES["N"], weight_g=90.0)
    assert in_n.coupled_length_mm == pytest.approx(200.0 * 87.1 / 160.0)
    assert in_n.truck_centers_mm == pytest.approx(0.72 * in_n.coupled_length_mm)
    assert {"coupled length", "truck centers"} <= in_n.assumed


@pytest.mark.parametrize(
    "kind", ["coach", "Passenger", "sleeper car", "diner", "BAGGAGE", "lounge", "observation", "steel sleeper"]
)
def test_a_passenger_car_by_its_kind_has_the_passenger_figure(kind: str) -> None:
    standard = weight_standard("amra", HO)
    assert standard.passenger_per_mm_g
    found = car_by_rule("C1", HO, standard, 1.4, coupled_length_mm=200.0, kind=kind)
    assert found.target_g == pytest.approx(200.0 * standard.passenger_per_mm_g)
    goods = car_by_rule("C1", HO, standard, 1.4, coupled_length_mm=200.0, kind="box")
    assert goods.target_g != pytest.approx(found.target_g)


def test_a_car_of_no_length_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match=r"^car TST 1 has neither a body length nor a coupled length$"):
        car_by_rule("TST 1", SCALES["HO"], weight_standard("nmra-rp-20.1", "HO"), 1.4, weight_g=100.0)
