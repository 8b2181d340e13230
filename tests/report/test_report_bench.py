"""`consist target` and `consist bench` from outside: the figures, the page and its JSON."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from pages import bench_text
from rich.cells import cell_len
from typer.testing import CliRunner, Result

import consist
from consist.bench import BenchCar, BenchList, Choice, ExtraEngine, Status, TrainAfter
from consist.cli import app
from consist.report.json import as_json
from consist.report.sheets.bench import bench_sheet, gain_words
from consist.report.sheets.parts import ADDING_WEIGHT, of_sheets
from consist.report.terminal import as_pages
from consist.wording import Units

__all__: list[str] = []

ROOT = Path(consist.__file__).parents[1]
OZ = Units("oz")
QUARTER, NUT = "stick-on quarter ounce", "small nut"


def run(*args: str | Path) -> Result:
    """Run `consist`."""
    return CliRunner().invoke(app, [str(arg) for arg in args])


def joined(text: str) -> str:
    """The page as one run of words, wherever its lines were broken."""
    return " ".join(text.split())


# NMRA RP-20.1: N, 0.5 oz + 0.15 oz an inch; HO, 1 oz + 0.5 oz an inch. NEM 302: H0 0.40 g/mm, 105 mm -> 42 g.
@pytest.mark.parametrize(
    ("scale", "length", "standard", "ounces", "grams"),
    [
        ("N", "4in", "nmra-rp-20.1", "1.10", "31.2"),
        ("N", '3"', "nmra-rp-20.1", "0.95", "26.9"),
        ("HO", "5 1/2 in", "nmra-rp-20.1", "3.75", "106.3"),
        ("HO", "105mm", "nem-302", "1.48", "42.0"),
    ],
)
def test_a_target_is_told_in_ounces_and_grams(
    scale: str, length: str, standard: str, ounces: str, grams: str
) -> None:
    told = run("target", "--scale", scale, "--length", length, "--standard", standard)
    assert told.exit_code == 0
    assert joined(told.stdout).startswith(f"Target {ounces} oz {grams} g Near enough ")


def test_the_kind_matters_where_the_standard_parts_kinds() -> None:
    # AMRA: HO passenger 0.40 g/mm, freight 0.55 g/mm
    for kind, grams in (("coach", 100.0), ("box", 137.5)):
        told = run("target", "--scale", "HO", "--length", "250mm", "--standard", "amra", "--kind", kind, "--json")
        assert json.loads(told.stdout)["target_g"] == pytest.approx(grams)


def test_the_json_of_a_target() -> None:
    whole = json.loads(run("target", "--scale", "N", "--length", "4in", "--json").stdout)
    assert list(whole) == [
        "schema",
        "scale",
        "standard",
        "length_mm",
        "target_g",
        "target_oz",
        "low_g",
        "high_g",
        "note",
    ]
    assert (whole["scale"], whole["standard"]) == ("N", "nmra-rp-20.1")
    assert whole["length_mm"] == pytest.approx(101.6)
    assert whole["target_oz"] == pytest.approx(1.1)
    assert whole["target_g"] == pytest.approx(1.1 * 28.349523125)
    assert whole["low_g"] < whole["target_g"] < whole["high_g"]


@pytest.mark.parametrize(
    ("args", "word"),
    [
        (["--scale", "HQ", "--length", "4in"], "'HO'"),
        (["--scale", "N", "--length", "4in", "--standard", "nem-303"], "nem-302"),
        (["--scale", "N", "--length", "four"], "--length"),
        (["--scale", "N", "--length", "-4in"], "--length"),
        (["--scale", "N", "--length", "4"], "unit"),
    ],
)
def test_what_is_no_target_is_told_in_one_line(args: list[str], word: str) -> None:
    told = run("target", *args)
    assert told.exit_code == 2
    assert told.stdout == ""
    assert len(told.stderr.splitlines()) == 1
    assert word in told.stderr


def test_a_target_loads_nothing_heavy() -> None:
    heavy = ("numpy", "pandas", "scipy", "networkx", "openpyxl", "rich", "reportlab")
    code = (
        "import sys; sys.argv = ['consist', 'target', '--scale', 'N', '--length', '4in']\n"
        "from consist.cli import main\n"
        "try:\n    main()\nexcept SystemExit as end:\n    assert not end.code\n"
        f"print([name for name in {heavy!r} if name in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert told.stdout.splitlines()[-1] == "[]"


def bench_car(car: str, status: Status = "under", weight_g: float | None = 50.0, **changes: object) -> BenchCar:
    """A car with a target of 100 g."""
    return replace(BenchCar(car, "box", "Club", status, weight_g, 100.0, 90.0, 110.0), **changes)  # type: ignore[arg-type]


EVEN = Choice(({QUARTER: 3, NUT: 1}, {QUARTER: 3, NUT: 1}), 48.5, (24.25, 24.25), True)
ONE = Choice(({QUARTER: 2}, {QUARTER: 1}), 21.3, (14.2, 7.1), False)
FIRST = bench_car(
    "AB 1",
    add_g=50.0,
    choice=EVEN,
    after_g=98.5,
    place="Inside, on the floor, over both trucks.",
    trains=("Turn 1",),
    worst_train="Turn 1",
    margin=1.2,
    margin_after=1.9,
    gain=0.7,
    useful_gain=0.3,
    worst_car="AB 1",
    worst_place="between Foot and Top",
)
SECOND = bench_car("AB 2", weight_g=80.0, add_g=20.0, choice=ONE, after_g=101.3)
LISTED = BenchList(
    "HO",
    "nmra-rp-20.1",
    (FIRST, SECOND),
    later=(bench_car("AB 3", weight_g=85.0, add_g=15.0),),
    others=(
        bench_car("AB 4", "over", 150.0),
        bench_car("AB 5", "near", 95.0),
        bench_car("AB 6", "on", 101.0),
        bench_car("AB 7", "not weighed", None),
    ),
    trains=(TrainAfter("Turn 1", 1.2, 2.1),),
    extra_engines=(ExtraEngine("Turn 2", ("AB 4",), 50.0, "Heavy", 2, 1),),
    used={QUARTER: 9, NUT: 2},
    minutes=10.0,
    per_car=5.0,
    title="NMRA RP-20.1",
    length_words="body length",
    care_margin=1.5,
)


def test_the_bench_page_can_be_followed_car_by_car() -> None:
    page = joined(bench_text(LISTED, OZ))
    # 50 g = 1.76 oz, 100 g = 3.53 oz, 98.5 g = 3.47 oz
    assert "Weighs 1.76 oz now, 3.53 oz is its target: add 1.76 oz." in page
    assert f"1. AB 1 (box, Club): add 3 × {QUARTER} and 1 × {NUT} over each truck. It then weighs 3.47 oz." in page
    assert "WHERE THE WEIGHT GOES AB 1: Inside, on the floor, over both trucks." in page
    way = "the margin of Turn 1 goes from 1.20 to 1.90"
    assert f"Gains {way}; the car in danger there is this car itself, between Foot and Top." in page
    told = gain_words(replace(FIRST, worst_car="AB 9")).replace("\xa0", " ")
    assert told == f"{way}; the car in danger there is AB 9, between Foot and Top."
    assert f"2 × {QUARTER} over one truck, 1 × {QUARTER} over the other: 2.82 oz to 3.57 oz, target 3.53 oz." in page
    in_short = page.index("TO THE STANDARD TOO")
    assert page.index("1. AB 1") < in_short < page.index("[ ] AB 2") < page.index("AB 3")


ALIKE = bench_car("NQH 4034", add_g=20.0, choice=EVEN, after_g=101.0, place="Low.", trains=("Turn 1",))
FALLS = replace(ALIKE, worst_train="Turn 1", margin=3.48, margin_after=3.44, gain=-0.04, useful_gain=0.0)


def listed(*cars: BenchCar) -> str:
    return joined(bench_text(replace(LISTED, cars=cars, later=(), others=()), OZ))


def test_cars_alike_are_told_once() -> None:
    both = (FALLS, replace(FALLS, car="NQH 4039", margin=6.3, margin_after=6.2, worst_train="Turn 2"))
    page = listed(FIRST, *both, replace(FALLS, car="NQH 4041", weight_g=60.0))
    assert f"[ ] NQH 4034 and 4039 (box, Club): add to each 3 × {QUARTER} and 1 × {NUT} over each truck:" in page
    assert "over each truck: 1.76 oz to 3.56 oz" in page
    assert page.count("[ ] NQH") == 2
    assert page.count("Low.") == 1
    assert "NQH 4034, 4039 and 4041: Low." in page


@pytest.mark.parametrize(
    "other", [{"kind": "flat"}, {"owner": "Petra"}, {"target_g": 101.0}, {"choice": ONE}, {"note": "Odd."}]
)
def test_cars_that_differ_in_what_is_told_are_told_apart(other: dict[str, object]) -> None:
    page = listed(FIRST, FALLS, replace(FALLS, car="NQH 4039", **other))  # type: ignore[arg-type]
    assert page.count("[ ] NQH") == 2


def test_why_a_train_falls_is_said_once_where_it_does_not_matter() -> None:
    page = listed(FIRST, FALLS, replace(FALLS, car="AB 8"))
    assert page.count("falls a little where a car in it is made heavier") == 1
    assert "pulls harder on those ahead of it; each stays over 1.50 all the same." in page
    assert "falls" not in listed(FIRST, replace(FALLS, gain=0.0))
    # in full among those that tell: 1.60 to 1.45 costs the train what the house asks for
    told = listed(replace(FALLS, margin=1.6, margin_after=1.45, gain=-0.15, useful_gain=-0.05))
    assert "1. NQH 4034" in told
    falls = "since the car then pulls harder on those ahead of it"
    assert f"Turn 1 falls from 1.60 to 1.45, {falls}." in told
    assert gain_words(FALLS, 1.5).endswith(f"falls from 3.48 to 3.44, {falls}, which is still over 1.50.")


def test_a_table_without_trains_tells_of_every_car_in_full() -> None:
    page = joined(bench_text(replace(LISTED, trains=(), cars=(SECOND, ALIKE)), OZ))
    assert "1. AB 2" in page
    assert "rides in no train" not in page
    assert "2. NQH 4034" in page
    assert "TO THE STANDARD TOO" not in page


def test_trains_that_all_cars_together_take_to_care_are_named() -> None:
    after = (TrainAfter("Turn 1", 1.2, 1.3), TrainAfter("Turn 2", 1.6, 1.4), TrainAfter("Turn 3", 1.8, 1.6))
    page = joined(bench_text(replace(LISTED, trains=after), OZ))
    assert "With all of these done care begins for Turn 2: what is behind" in page
    assert "With all of these done care begins" not in joined(bench_text(LISTED, OZ))


def test_where_the_weight_goes_is_said_once_for_cars_told_in_full_and_in_short() -> None:
    page = listed(replace(FIRST, car="NQH 1", place="Low."), FALLS)
    assert "WHERE THE WEIGHT GOES NQH 1 and 4034: Low." in page
    assert page.count("Low.") == 1


def test_cars_in_no_train_are_told_so_once() -> None:
    page = listed(FIRST, FALLS, *(replace(SECOND, car=f"AB {k}") for k in (8, 9)))
    assert page.count("In no train tonight.") == 1
    assert "AB 8 and 9: In no train tonight." in page


def test_a_verdict_that_changes_is_told() -> None:
    told = gain_words(replace(FIRST, level="care", level_after="go")).replace("\xa0", " ")
    assert told.startswith("the margin of Turn 1 goes from 1.20 to 1.90, by side pull from CARE to GO; ")


def test_a_car_light_enough_for_care_is_no_car_on_which_no_verdict_hangs() -> None:
    page = listed(replace(FALLS, far_under_in=("Turn 1",)))
    assert "1. NQH 4034" in page
    assert "Gains its weight is then no matter of care in Turn 1." in page
    assert "TO THE STANDARD TOO" not in page


def test_a_car_that_takes_a_margin_down_where_it_counts_is_put_off_and_says_which_car_is_pulled_harder() -> None:
    odd = replace(FALLS, margin=1.6, margin_after=1.4, gain=-0.2, useful_gain=-0.1, level="go", level_after="care")
    page = listed(FIRST, replace(odd, worst_car="AB 9", worst_place="Yard"))
    told = page.partition("TO PUT OFF: EACH TAKES A MARGIN DOWN WHERE IT COUNTS ")[2]
    assert told.startswith("1. NQH 4034 (box, Club): add ")
    assert (
        "Turn 1 falls from 1.60 to 1.40, by side pull from GO to CARE, since the car then pulls harder on those "
        "ahead of it, most on AB 9, at Yard."
    ) in told


def test_a_car_in_short_still_has_its_weight_now_then_and_its_target() -> None:
    # 50 g = 1.76 oz, 101 g = 3.56 oz, 100 g = 3.53 oz
    assert "over each truck: 1.76 oz to 3.56 oz, target 3.53 oz." in listed(FIRST, FALLS)


def test_the_next_car_is_told_first_and_once_with_its_pieces() -> None:
    page = joined(as_pages(of_sheets("", bench_sheet(LISTED, {}, OZ, next_first=True))))
    first = f"Next: AB 1 (box, Club): add 3 × {QUARTER} and 1 × {NUT} over each truck. It then weighs 3.47 oz."
    assert page.index(first) < page.index("HO scale")
    assert page.count("AB 1 (") == 1
    none = replace(LISTED, cars=())
    assert "There is no time for another car." in joined(
        as_pages(of_sheets("", bench_sheet(none, {}, OZ, next_first=True)))
    )
    none = replace(none, later=())
    assert "No car is left to weight." in joined(as_pages(of_sheets("", bench_sheet(none, {}, OZ, next_first=True))))


def test_the_bench_page_says_what_is_left_and_what_needs_nothing() -> None:
    page = joined(bench_text(LISTED, Units("g")))
    assert "7 cars: 3 to weight. 10 minutes at 5 a car are enough for 2 of them." in page
    for part in (
        "Left for another day: AB 3 (lacks 15 g).",
        "Too heavy: AB 4 (50 g over).",
        "Near enough: AB 5.",
        "On target or a little over: AB 6.",
        "Not weighed: AB 7.",
        "Turn 1 1.20 2.10",
        f"9 × {QUARTER} and 2 × {NUT}.",
        "needs 2 engines of class Heavy, and 1 without the 50 g that AB 4 is over the standard.",
    ):
        assert part in page


def test_the_caution_stands_where_weight_is_advised_and_only_there() -> None:
    assert ADDING_WEIGHT.text in joined(bench_text(LISTED, OZ))
    assert ADDING_WEIGHT.text not in joined(bench_text(replace(LISTED, cars=(), later=()), OZ))


@pytest.mark.own_words
@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_is_wider_than_the_page_and_none_has_colour(width: int) -> None:
    odd = replace(FIRST, car="漢" * 60, kind="k" * 90, worst_train="T" * 90, owner="\x1b[31mred", note="n " * 90)
    page = bench_text(replace(LISTED, cars=(odd, SECOND)), OZ, width=width)
    assert max(cell_len(line) for line in page.splitlines()) <= width
    assert "\x1b" not in page


def test_the_json_of_the_bench() -> None:
    cars = json.loads(as_json("bench", LISTED))["cars"]
    assert json.loads(as_json("bench", LISTED))["next"] == "AB 1"
    assert json.loads(as_json("bench", replace(LISTED, cars=())))["next"] is None
    assert cars[0] == {
        "car": "AB 1",
        "status": "under",
        "weight_g": 50.0,
        "target_g": 100.0,
        "add_g": 50.0,
        "pieces": {QUARTER: 6, NUT: 2},
        "after_g": 98.5,
        "gain": 0.7,
        "train": "Turn 1",
        "margin": 1.2,
        "margin_after": 1.9,
        "for": "AB 1",
        "at": "between Foot and Top",
        "tells": True,
        "effect": "helps",
        "useful_gain": 0.3,
        "level": None,
        "level_after": None,
        "far_under_in": [],
        "note": "",
    }
    assert [car["car"] for car in cars] == [f"AB {number}" for number in range(1, 8)]
    assert cars[-1]["weight_g"] is None


@pytest.fixture
def table(tmp_path: Path) -> Path:
    """A table of two HO cars of 6 in: a target of 4 oz by NMRA RP-20.1."""
    (tmp_path / "cars.csv").write_text("car,weight_oz,body_length_in\nAB 1,3.0,6\nAB 2,4.0,6\n", encoding="utf-8")
    return tmp_path / "cars.csv"


def test_a_table_of_cars_is_listed_with_the_known_pieces(table: Path) -> None:
    told = run("bench", table, "--scale", "HO", "--json")
    assert told.exit_code == 0, told.output
    first, second = json.loads(told.stdout)["cars"]
    assert (first["car"], first["status"], second["status"]) == ("AB 1", "under", "on")
    assert first["add_g"] == pytest.approx(28.349523125)
    # four quarter ounces make the ounce exactly, so nothing need be farther off than the scale shows
    assert first["after_g"] == pytest.approx(4.0 * 28.349523125, abs=0.01)


def test_pieces_beside_the_table_or_named_are_used(table: Path, tmp_path: Path) -> None:
    (tmp_path / "pieces.csv").write_text("piece,weight_oz\nslug,0.5\n", encoding="utf-8")
    (tmp_path / "box.csv").write_text("piece,weight_oz\nbolt,0.5\n", encoding="utf-8")
    beside = json.loads(run("bench", table, "--scale", "HO", "--json").stdout)["cars"][0]
    named = json.loads(run("bench", table, "--scale", "HO", "--pieces", tmp_path / "box.csv", "--json").stdout)[
        "cars"
    ][0]
    assert (beside["pieces"], named["pieces"]) == ({"slug": 2}, {"bolt": 2})


def test_done_writes_the_weight_first_and_keeps_the_rest(table: Path) -> None:
    told = run("bench", table, "--scale", "HO", "--done", "AB 1=4.1oz", "--json")
    assert told.exit_code == 0, told.output
    assert json.loads(told.stdout)["cars"][0]["weight_g"] == pytest.approx(4.1 * 28.349523125)
    assert "AB 1" in told.stderr
    rows = table.read_text(encoding="utf-8").splitlines()
    assert float(rows[1].split(",")[1]) == pytest.approx(4.1)
    assert (rows[0], rows[2]) == ("car,weight_oz,body_length_in", "AB 2,4.0,6")


@pytest.mark.parametrize("as_json", [(), ("--json",)])
def test_a_weight_written_is_told_though_the_rest_of_the_session_cannot_be_read(
    table: Path, as_json: tuple[str, ...]
) -> None:
    (table.parent / "session.toml").write_text('layout = "none.toml"\n', encoding="utf-8")
    told = run("bench", table.parent, "--done", "AB 1=4.1oz", *as_json)
    assert told.exit_code == 2
    assert "cars.csv: AB 1" in "".join((told.stderr if as_json else told.stdout).split("\n  "))
    assert "none.toml" in told.stderr
    assert "AB 1,4.1,6" in table.read_text(encoding="utf-8")


def test_done_tells_the_next_car_first(table: Path) -> None:
    with table.open("a", encoding="utf-8") as file:
        file.write("AB 3,2.0,6\nAB 4,2.5,6\n")
    page = joined(run("bench", table, "--scale", "HO", "--done", "AB 3=4oz").stdout)
    told = page.partition("═ At the bench ")[2].lstrip("═ ")
    assert told.startswith("Next: AB 4: add 3 × quarter-ounce stick-on over each truck. It then weighs 4.00 oz.")
    assert page.count("AB 4: add") == 1


@pytest.mark.parametrize(
    ("args", "word"),
    [
        ([], "--scale"),
        (["--scale", "HQ"], "'HO'"),
        (["--scale", "HO", "--minutes", "20"], "--per-car"),
        (["--scale", "HO", "--done", "AB 1"], "CAR=WEIGHT"),
        (["--scale", "HO", "--done", "AB 9=4oz"], "AB 9"),
        (["--scale", "HO", "--done", "AB 1=4oz", "--done", "AB 1=5oz"], "twice"),
        (["--scale", "HO", "--done", "AB 1=4g"], "was it meant in ounces?"),
        (["--scale", "HO", "--sure"], "--done"),
        (["--scale", "HO", "--pieces", "gone.csv"], "gone.csv"),
    ],
)
def test_what_is_no_use_is_told_in_one_line_and_changes_nothing(table: Path, args: list[str], word: str) -> None:
    before = table.read_bytes()
    told = run("bench", table, *args)
    assert told.exit_code == 2
    assert len(told.stderr.splitlines()) == 1
    assert word in told.stderr
    assert table.read_bytes() == before
    assert [path.name for path in table.parent.iterdir()] == ["cars.csv"]


def test_who_is_sure_may_write_any_weight_and_the_next_command_knows_it(table: Path) -> None:
    assert run("bench", table, "--scale", "HO", "--done", "AB 1=4g", "--sure").exit_code == 0
    told = run("bench", table, "--scale", "HO").stdout
    assert "--done 'AB 1=4.02oz' --sure" in told


def test_a_session_has_its_own_scale(tmp_path: Path) -> None:
    told = run("bench", ROOT / "sample_sessions/club_night", "--scale", "N")
    assert told.exit_code == 2
    assert told.stderr.startswith("--scale: ")


def test_a_session_that_is_not_there_is_told_in_one_line(tmp_path: Path) -> None:
    told = run("bench", tmp_path / "gone")
    assert told.exit_code == 2
    assert len(told.stderr.splitlines()) == 1
    assert "gone: found nothing of this name" in told.stderr


def test_minutes_part_what_fits_from_what_is_left(table: Path) -> None:
    with table.open("a", encoding="utf-8") as file:
        file.write("AB 3,2.0,6\nAB 4,2.5,6\n")
    told = run("bench", table, "--scale", "HO", "--minutes", "9", "--per-car", "4")
    assert told.exit_code == 0, told.output
    page = joined(told.stdout)
    assert "9 minutes at 4 a car are enough for 2 of them." in page
    assert "Left for another day" in page


def test_the_page_of_a_session_is_80_columns_without_colour(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "sample_sessions", tmp_path / "sample_sessions")
    shutil.copytree(ROOT / "layouts", tmp_path / "layouts")
    told = run("bench", tmp_path / "sample_sessions/club_night")
    assert told.exit_code == 0, told.output
    assert max(cell_len(line) for line in told.stdout.partition("\nNext")[0].splitlines()) <= 80
    assert "\x1b" not in told.stdout
    assert "NQH 941" in told.stdout
