"""`consist screen` from outside: the door list, its JSON and the slips."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from html import unescape
from io import BytesIO

import pytest
from pages import door_text
from pypdf import PdfReader
from rich.cells import cell_len

from consist.report.charts import Chart
from consist.report.document import Picture
from consist.report.html import html_page
from consist.report.json import as_json
from consist.report.lettering import printable
from consist.report.sheets.door import door_sheet, trains_words
from consist.report.sheets.parts import ADDING_WEIGHT, of_sheets
from consist.report.slips import SLIPS_A_PAGE, slips_pdf
from consist.report.words import HELD
from consist.screening import Answer, GuestResult, KeepOut, Screening, TooLong, TrainRide
from consist.wording import Units

__all__: list[str] = []

OZ = Units("oz")


def guest(
    car: str = "JQ 801",
    owner: str = "Oskar",
    answer: Answer = "welcome",
    *,
    reasons: tuple[str, ...] = ("It is to the standard.",),
    do: str = "",
    add_g: float | None = None,
    trains: tuple[TrainRide, ...] = (),
    keep_out: tuple[KeepOut, ...] = (),
) -> GuestResult:
    """A guest car of 100 g with a target of 120 g."""
    return GuestResult(car, "coach", owner, answer, reasons, do, 100.0, 120.0, add_g, trains, keep_out)


def door(*cars: GuestResult) -> Screening:
    """A screening of those cars."""
    return Screening("Trial", "Trial Hill", cars, 1.5)


SHARP = KeepOut("radius", "Birch", "The curve at Birch is of 22 in", "keep it off", True, 558.8, 609.6)
SNUG = KeepOut("sharp", "Cedar", "The curve at Cedar is of 26 in", "watch it there", False, 660.4, 609.6)
ANY = tuple(range(1, 10))
FULL = (
    guest(trains=(TrainRide("Turn 1", ANY, 9), TrainRide("Turn 2", (), 9, why_not="It is too light."))),
    guest(
        "JQ 805",
        answer="bench first",
        reasons=("It weighs too little.",),
        do="Add weight over the trucks.",
        add_g=20.0,
        trains=(
            TrainRide(
                "Turn 1",
                (6, 7, 8, 9),
                9,
                1.7,
                in_train=3,
                stands_well=False,
                standing_fault="Too far forward.",
                at_target=ANY,
                too_long=(TooLong("Birch", 25.4),),
            ),
        ),
        keep_out=(SHARP, SNUG),
    ),
    guest(
        "QZO 118",
        "Rafe",
        "welcome with care",
        trains=(
            TrainRide("Turn 1", (2, 3, 4, 7), 9),
            TrainRide("Turn 2", (9,), 9, in_train=9, stands_well=True),
            TrainRide("Turn 3", (1,), 9),
        ),
    ),
    guest("QZO 125", "Rafe", "not tonight", reasons=("Its wheels are out of gauge.",), do="Set the wheels in gauge."),
    guest("QZO 9", "", trains=(TrainRide("Turn 1", ANY, 9), TrainRide("Turn 2", (1, 2), 2))),
)


def joined(text: str) -> str:
    """The page as one run of words, wherever its lines were broken."""
    return " ".join(text.split())


def test_the_list_has_every_car_under_its_owner_with_its_answer_in_words() -> None:
    lines = door_text(door(*FULL), OZ).splitlines()
    at = {
        word: next(k for k, line in enumerate(lines) if line.startswith(word))
        for word in ("OSKAR", "RAFE", "NO OWNER")
    }
    cars = {car.car: next(k for k, line in enumerate(lines) if line.startswith(f"{car.car} (coach)")) for car in FULL}
    assert at["OSKAR"] < cars["JQ 801"] < cars["JQ 805"] < at["RAFE"] < cars["QZO 118"] < cars["QZO 125"]
    assert cars["QZO 125"] < at["NO OWNER"] < cars["QZO 9"]
    assert "WELCOME" in lines[cars["JQ 801"]]
    assert "WITH CARE" not in lines[cars["JQ 801"]]
    assert "BENCH FIRST: Add weight over the trucks." in lines[cars["JQ 805"]]
    assert "WELCOME WITH CARE" in lines[cars["QZO 118"]]
    assert "NOT TONIGHT: Set the wheels in gauge." in lines[cars["QZO 125"]]


def test_the_list_tells_every_spot_a_car_may_ride_in_and_where_to_keep_out() -> None:
    page = joined(door_text(door(*FULL), OZ))
    assert "Trains: any spot of Turn 1." in page
    assert "Trains: the last four spots of Turn 1; it may not stay in spot 3 of Turn 1." in page
    assert (
        "Trains: spots 2 to 4 and 7 of Turn 1; the last spot of Turn 2; the first spot of Turn 3; "
        "it stands in spot 9 of Turn 2." in page
    )
    assert "Trains: none of tonight's." in page
    assert "Trains: any spot of all of tonight's." in page
    assert "Keep out: the curve is too sharp for it at Birch." in page
    assert "Try first: the curve is sharp for its length at Cedar." in page
    assert "At its target of 4.23 oz: any spot of Turn 1." in page
    assert (
        "JQ 805: Too long with it: Turn 1 at Birch by 1.0 in; take as much off, or plan how it clears there." in page
    )
    assert "5 cars of guests: 2 WELCOME, 1 WELCOME WITH CARE, 1 BENCH FIRST, 1 NOT TONIGHT." in page


def test_what_is_to_be_minded_is_told_once_for_cars_alike() -> None:
    cars = [
        replace(guest(f"JQ {number}", "Oskar" if number < 3 else "Petra"), keep_out=(SHARP, SNUG))
        for number in range(6)
    ]
    page = joined(door_text(door(*cars, guest("QZO 1", keep_out=(SHARP,))), OZ))
    assert page.count("the curve is too sharp for it at Birch") == 1
    assert page.count("the curve is sharp for its length at Cedar") == 1
    assert "JQ 0, JQ 1, JQ 2, JQ 3, JQ 4, JQ 5 and QZO 1: Keep out: the curve is too sharp for it at Birch." in page
    assert "JQ 0, JQ 1, JQ 2, JQ 3, JQ 4 and JQ 5: Try first: the curve is sharp for its length at Cedar." in page
    # a slip is cut out and goes with its car
    (slips,) = slip_texts(door(*cars))
    assert slips.count("the curve is too sharp for it at Birch") == len(cars)


@pytest.mark.parametrize("width", [60, 80])
def test_nothing_to_do_is_ever_cut(width: int) -> None:
    do = f"Keep it out of {', '.join(f'Ore Loads {number}' for number in range(30))} and Hill Freight 21."
    held = guest(answer="welcome with care", do=do, reasons=("It is too light.",))
    assert do in joined(door_text(door(held), OZ, width=width))
    (slip,) = slip_texts(door(held))
    assert f"To do: {do}" in slip


def test_the_weight_to_add_is_shown_in_the_units_asked_for_with_the_caution() -> None:
    # 20 g / 28.3495 g an ounce = 0.71 oz
    assert "add 0.71 oz" in joined(door_text(door(*FULL), OZ))
    assert "add 20 g" in joined(door_text(door(*FULL), Units("g")))
    assert ADDING_WEIGHT.text in joined(door_text(door(*FULL), OZ))
    assert ADDING_WEIGHT.text not in joined(door_text(door(FULL[0]), OZ))


def test_the_page_tells_the_same_spots_as_the_terminal() -> None:
    page = html_page(of_sheets("Trial", door_sheet(door(*FULL), OZ)), no_picture)
    told = joined(unescape(re.sub("<[^>]+>", "", page)).replace(HELD, " "))
    for car in FULL:
        assert next(trains_words(car, OZ)).replace(HELD, " ") in told
    assert "Trains: spots 2 to 4 and 7 of Turn 1; the last spot of Turn 2; the first spot of Turn 3;" in told


def no_picture(picture: Picture) -> Chart:
    raise AssertionError(f"the door's sheet has no picture, and asked for {picture}")


@pytest.mark.own_words
@pytest.mark.parametrize("width", [60, 80, 100])
def test_no_line_is_wider_than_the_page_and_none_has_colour(width: int) -> None:
    long = guest("Ж" * 90 + " 1", "漢" * 70, trains=(TrainRide("T" * 90, (2, 4, 6, 8), 9),), reasons=("word " * 60,))
    page = door_text(door(*FULL, long), OZ, width=width)
    assert max(cell_len(line) for line in page.splitlines()) <= width
    assert "\x1b" not in page


def test_a_session_without_guests_says_so() -> None:
    assert "No guest's car is in this session; put them into guests.csv." in joined(door_text(door(), OZ))


def test_the_json_has_the_agreed_keys_and_values() -> None:
    cars = json.loads(as_json("screen", door(*FULL)))["cars"]
    assert cars[1] == {
        "car": "JQ 805",
        "owner": "Oskar",
        "answer": "bench first",
        "reasons": ["It weighs too little."],
        "add_g": 20.0,
        "trains": ["Turn 1"],
        "spots": {"Turn 1": [6, 7, 8, 9]},
        "at_target": {"Turn 1": list(ANY)},
        "too_long": {"Turn 1": ["Birch"]},
    }
    assert [car["car"] for car in cars] == [car.car for car in FULL]
    assert cars[0]["trains"] == ["Turn 1"]
    assert cars[0]["spots"] == {"Turn 1": list(ANY)}
    assert cars[3]["spots"] == {}
    assert cars[0]["add_g"] is None


def slip_texts(screening: Screening, paper: str = "a4") -> list[str]:
    """The text of each page."""
    return [joined(page.extract_text()) for page in PdfReader(BytesIO(slips_pdf(screening, OZ, paper))).pages]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_slip_has_car_owner_answer_reasons_and_trains(paper: str) -> None:
    (text,) = slip_texts(door(*FULL), paper)
    for said in (
        "JQ 805",
        "Oskar",
        "BENCH FIRST",
        "Add weight over the trucks.",
        "It weighs too little.",
        "Trains: the last four spots of Turn 1; it may not stay in spot 3 of Turn 1.",
        "spots 2 to 4 and 7 of Turn 1; the last spot of Turn 2; the first spot of Turn 3;",
    ):
        assert said in text
    assert ADDING_WEIGHT.text in text


def test_there_are_as_many_slips_as_cars_several_a_page() -> None:
    cars = [guest(f"AB {number}") for number in range(SLIPS_A_PAGE + 1)]
    texts = slip_texts(door(*cars))
    assert len(texts) == 2
    assert sum(text.count("WELCOME") for text in texts) == len(cars)
    assert f"AB {SLIPS_A_PAGE}" in texts[1]


@pytest.mark.own_words
def test_names_that_the_font_lacks_are_replaced_and_that_is_said() -> None:
    (text,) = slip_texts(door(guest("ÅÉ 7", "漢字 <b>&amp; \\(x) %s", reasons=("长" * 300,))))
    assert "ÅÉ 7" in text
    assert "?? <b>&amp; \\(x) %s" in text
    assert "? stands for a letter" in text
    assert "stands for a letter" not in slip_texts(door(guest()))[0]


@pytest.mark.own_words
def test_a_very_long_name_or_reason_stays_on_its_slip() -> None:
    long = guest("X" * 500, "Y" * 500, reasons=("word " * 400,), do="Z" * 400)
    (text,) = slip_texts(door(long))
    assert "More on the door list." in text


@pytest.mark.parametrize(
    ("written", "shown"), [("Łó Ü", "Łó Ü"), ("ǎ", "a"), ("ﬁ", "ﬁ"), ("日 7", "? 7"), ("a\x1b\nb", "a b")]
)
def test_letters_for_paper(written: str, shown: str) -> None:
    assert printable(written) == shown


def test_the_same_slips_have_the_same_bytes() -> None:
    assert slips_pdf(door(*FULL), OZ) == slips_pdf(door(*FULL), OZ)
