"""What stands in where a weight standard has no figures for a scale, and that it is said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from consist.house import PUBLISHED, OwnStandard
from consist.scales import SCALES, Scale
from consist.stock import StandardError, published_standards, weight_standard

__all__: list[str] = []

NMRA = "NMRA RP-20.1 has no figures for scale "
# scale: standard taken by default, scale whose figures they are
BY_DEFAULT = {
    "Z": ("nem-302", "Z"), "N": (PUBLISHED, "N"), "British N": (PUBLISHED, "N"), "TT": (PUBLISHED, "TT"),
    "TTm": (PUBLISHED, "TT"), "HO": (PUBLISHED, "HO"), "H0m": (PUBLISHED, "HOn3"), "HOn3": (PUBLISHED, "HOn3"),
    "HOn30": (PUBLISHED, "HOn3"), "H0e": (PUBLISHED, "HOn3"), "OO": ("amra", "OO"), "S": (PUBLISHED, "S"),
    "Sn3": (PUBLISHED, "Sn3"), "O": (PUBLISHED, "O"), "On3": (PUBLISHED, "On3"), "On30": (PUBLISHED, "On3"),
    "0": ("nem-302", "0"), "0m": ("nem-302", "0"), "0e": ("nem-302", "0"), "1": ("nem-302", "1"),
    "Im": ("nem-302", "1"), "2": ("nem-302", "2"), "IIm": ("nem-302", "2"),
}  # fmt: skip


@pytest.mark.parametrize("scale", SCALES)
def test_by_default_the_nearest_scale_with_figures_lends_them(scale: str) -> None:
    name, lender = BY_DEFAULT[scale]
    found, owned = weight_standard(None, scale), weight_standard(name, lender)
    assert (found.name, found.base_g, found.per_mm_g, found.length) == (
        name,
        owned.base_g,
        owned.per_mm_g,
        owned.length,
    )
    assert owned.note == ""
    assert (found.note == "") == ((name, lender) == (PUBLISHED, scale))


@pytest.mark.parametrize(
    ("scale", "said"),
    [
        ("Z", f"{NMRA}Z; those of NEM 302 are taken."),
        ("On30", f"{NMRA}On30; its figures for On3 are taken."),
        ("0m", f"{NMRA}0m; those of NEM 302 for 0 are taken."),
    ],
)
def test_what_is_taken_is_said_in_a_sentence(scale: str, said: str) -> None:
    assert weight_standard(None, scale).note == said


@pytest.mark.parametrize(
    ("ratio", "gauge_mm", "lender"),
    [
        (87.1, 16.5, "HO"),
        (87.0, 16.5, "HO"),
        (87.1, 9.0, "HOn3"),
        (160.0, 9.0, "N"),
        (50.0, 16.5, "On3"),
        (48, 32, "O"),
    ],
)
def test_a_scale_in_table_form_has_those_of_the_nearest_by_ratio_then_by_gauge(
    ratio: float, gauge_mm: float, lender: str
) -> None:
    own = Scale(f"1:{ratio:g}", ratio, gauge_mm, 10.0)
    for wanted in (None, PUBLISHED):
        found, owned = weight_standard(wanted, own), weight_standard(PUBLISHED, lender)
        assert (found.base_g, found.per_mm_g) == (owned.base_g, owned.per_mm_g)
        assert found.note == f"{NMRA}{own.name}; its figures for {lender} are taken."


@pytest.mark.parametrize("ratio", [29.0, 20.3, 100.0, 300.0, 5.0])
def test_a_scale_that_no_other_is_near_has_none(ratio: float) -> None:
    own = Scale(f"1:{ratio:g}", ratio, 20.0, 10.0)
    with pytest.raises(StandardError, match=rf"no figures for scale 1:{ratio:g}, nor has another; give your own"):
        weight_standard(None, own)


def test_a_standard_that_is_named_is_not_changed_for_another() -> None:
    with pytest.raises(StandardError, match="no figures for scale Z, but nem-302 has; name another standard"):
        weight_standard(PUBLISHED, "Z")
    assert weight_standard("nem-302", "O").note == "NEM 302 has no figures for scale O; its figures for 0 are taken."
    assert weight_standard("nem-302", "H0e").per_mm_g == 0.40


def test_a_standard_that_is_none_is_told_with_the_nearest_and_those_there_are() -> None:
    known = f"known: {', '.join(published_standards())}"
    for wanted, hint in (
        ("nmra-rp-20.2", "did you mean 'nmra-rp-20.1'? "),
        ("NEM-302", "did you mean 'nem-302'? "),
        ("qqqq", ""),
    ):
        with pytest.raises(StandardError) as told:
            weight_standard(wanted, "HO")
        assert str(told.value) == f"no weight standard is called '{wanted}'; {hint}{known}"
    with pytest.raises(StandardError, match=f"^no weight standard is called '{'q' * 40}'; known"):
        weight_standard("q" * 99, "HO")


def test_an_own_standard_is_called_as_its_owner_calls_it_and_counts_the_body() -> None:
    own = weight_standard(OwnStandard("ours", 28.0, 0.5), "HO")
    assert (own.name, own.title, own.length) == ("ours", "ours", "body")
    assert own.target_g(100.0, 140.0) == 78.0
    assert replace(own, length="coupled").target_g(100.0, 140.0) == 98.0
