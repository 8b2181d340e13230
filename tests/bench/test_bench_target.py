"""The target of a car and its band, for every scale of the published tables, and without heavy libraries."""

from __future__ import annotations

import subprocess
import sys

import pytest

from consist.bench.target import asked_rightly, band, status_of, target
from consist.errors import InputError

__all__: list[str] = []

OUNCE, INCH = 28.349523125, 25.4
# NMRA RP-20.1: initial ounces, and ounces for each inch of body length
RP_20_1 = {
    "O": (5, 1),
    "On3": (1.5, 0.75),
    "S": (2, 0.5),
    "Sn3": (1, 0.5),
    "HO": (1, 0.5),
    "HOn3": (0.75, 0.375),
    "TT": (0.75, 0.375),
    "N": (0.5, 0.15),
}
# MOROP NEM 302: grams for each millimetre over buffers
NEM_302 = {"Z": 0.12, "N": 0.17, "TT": 0.25, "HO": 0.40, "S": 0.60, "O": 1.00, "1": 2.00, "2": 4.00}


@pytest.mark.parametrize("scale", RP_20_1)
def test_every_scale_of_rp_20_1(scale: str) -> None:
    initial, per_inch = RP_20_1[scale]
    found = target(scale, "nmra-rp-20.1", 6 * INCH)
    assert found.target_g / OUNCE == pytest.approx(initial + 6 * per_inch)
    assert found.length_words == "body length"


@pytest.mark.parametrize("scale", NEM_302)
def test_every_scale_of_nem_302(scale: str) -> None:
    found = target(scale, "nem-302", 150.0)
    assert found.target_g == pytest.approx(150.0 * NEM_302[scale])
    assert "buffers" in found.length_words


@pytest.mark.parametrize(
    ("scale", "inches", "ounces"),
    # common practice; common practice; a public discussion; a published lexicon example (its 1.05 is rounded)
    [("N", 4, 1.1), ("N", 3, 0.95), ("HO", 5.5, 3.75), ("N", 3.65, 1.0475)],
)
def test_worked_examples_of_rp_20_1(scale: str, inches: float, ounces: float) -> None:
    assert target(scale, "nmra-rp-20.1", inches * INCH).target_g / OUNCE == pytest.approx(ounces)


def test_the_lexicon_example_in_grams() -> None:
    assert target("N", "nmra-rp-20.1", 3.65 * INCH).target_g == pytest.approx(29.7, abs=0.05)


@pytest.mark.parametrize(("length_mm", "grams"), [(105, 42), (245, 98)])
def test_worked_examples_of_nem_302(length_mm: float, grams: float) -> None:
    assert target("h0", "nem-302", length_mm).target_g == pytest.approx(grams)


def test_passenger_cars_where_a_standard_parts_them() -> None:
    # the AMRA table: HO freight 0.55 g/mm, passenger 0.40 g/mm
    assert target("HO", "amra", 200, "coach").target_g == pytest.approx(80)
    assert target("HO", "amra", 200).target_g == pytest.approx(110)


def test_the_band_is_a_tenth_either_way() -> None:
    assert band(100.0) == pytest.approx((90.0, 110.0))
    found = target("N", "nmra-rp-20.1", 4 * INCH)
    # near enough in N is about 0.1 oz: common practice
    assert (found.target_g - found.low_g) / OUNCE == pytest.approx(0.11)


def test_statuses_meet_at_the_bounds() -> None:
    grams = {"under": 89.99, "near": 99.99, "on": 109.99, "heavy": 129.99, "over": 131.0}
    assert {name: status_of(weight, 100.0) for name, weight in grams.items()} == {name: name for name in grams}
    assert status_of(100.0, 100.0) == "on"


@pytest.mark.parametrize(
    ("scale", "standard", "words"),
    [
        ("HOn", "nmra-rp-20.1", "did you mean 'HOn3'"),
        ("N", "nmra-rp-20", "did you mean 'nmra-rp-20.1'"),
        ("Z", "nmra-rp-20.1", "has no figures for scale Z, but nem-302 has; name another standard"),
        ("1", "nmra-rp-20.1", "has no figures for scale 1, but amra and nem-302 have"),
    ],
)
def test_what_is_not_known_is_told_in_one_line(scale: str, standard: str, words: str) -> None:
    with pytest.raises(InputError) as told:
        target(scale, standard, 100.0)
    assert words in str(told.value)
    assert "\n" not in str(told.value)


def test_a_target_loads_nothing_heavy() -> None:
    told = (
        "import sys; from consist.bench.target import target; from consist.bench.lengths import parse_length; "
        "target('N', 'nmra-rp-20.1', parse_length('4in')); "
        "print([name for name in ('numpy', 'pandas', 'networkx', 'scipy', 'openpyxl') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_rule_of_ones_own_is_told_in_words_in_its_units() -> None:
    told = target("HO", "base_g = 20, per_mm_g = 0.5", 100.0)
    assert told.target_g == pytest.approx(70.0)
    ounces = target("HO", "base_oz = 1, per_in_oz = 0.5", 4 * INCH)
    assert ounces.target_g == pytest.approx(3 * OUNCE)
    with pytest.raises(InputError, match=r"^--standard"):
        target("HO", "base_g = 20, per_foot_g = 0.5", 100.0)


@pytest.mark.parametrize(
    ("scale", "standard", "of_session", "told"),
    [
        ("HO", None, True, "--scale: a session goes by what the layout says; "),
        (None, "nem-302", True, "--standard: a session goes by what [house] says; "),
        (None, None, False, "--scale"),
    ],
)
def test_a_session_has_its_scale_and_standard_and_a_table_is_given_one(
    scale: str | None, standard: str | None, of_session: bool, told: str
) -> None:
    with pytest.raises(InputError) as caught:
        asked_rightly(scale, standard, of_session=of_session)
    assert str(caught.value).startswith(told)
    asked_rightly(None if of_session else "HO", None, of_session=of_session)


def test_a_target_says_of_what_scale_standard_and_length_it_is() -> None:
    """1 oz and half an ounce an inch, with a tenth either way near enough (RP-20.1; the band is common practice)."""
    told = target("HO", None, 4 * INCH)
    assert (told.scale, told.standard, told.length_mm) == ("HO", "nmra-rp-20.1", 4 * INCH)
    assert [told.target_g, told.low_g, told.high_g] == pytest.approx([3 * OUNCE, 2.7 * OUNCE, 3.3 * OUNCE])
    assert (told.title, told.length_words, told.note) == ("NMRA RP-20.1", "body length", "")
    lent = target("British N", None, 4 * INCH)
    assert lent.note == "NMRA RP-20.1 has no figures for scale British N; its figures for N are taken."
    with pytest.raises(InputError, match=r"^--standard: no weight standard is called 'qqqq'"):
        target("HO", "qqqq", 100.0)
    with pytest.raises(InputError, match=r"^--scale: found none for a table of cars; give it, such as --scale HO$"):
        asked_rightly(None, None, of_session=False)
