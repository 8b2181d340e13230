"""The pages as text: what stands on them, that it lines up in 80 columns, and that names are only names."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import replace

import pytest
import report_samples
from pages import session_text, under
from rich.cells import cell_len
from rich.text import Text

from consist.evening.results import SessionCheck
from consist.house import House
from consist.report.document import UseBar
from consist.report.sheets.cells import use_cell
from consist.report.terminal.lines import STYLES, bar, bar_heading
from consist.session import Session
from consist.wording import Units

__all__: list[str] = []


@pytest.fixture
def session() -> Session:
    return report_samples.session()


@pytest.fixture
def check(session: Session) -> SessionCheck:
    return report_samples.session_check(session)


def car_rows(rows: list[str]) -> list[str]:
    """The rows of cars: those with a spot."""
    return [row for row in rows if row[:6].strip("► ").isdigit()]


def cell_of(line: str, character: str) -> int:
    """The terminal's column at which a character first stands in a line."""
    return cell_len(line[: line.index(character)])


@pytest.mark.parametrize("units", [Units("oz"), Units("g")], ids=lambda units: units.name)
def test_no_line_is_wider_than_the_page_and_none_holds_a_control_character(
    session: Session, check: SessionCheck, units: Units
) -> None:
    for width in (80, 100):
        for line in session_text(session, check, units, width=width).split("\n"):
            assert cell_len(line) <= width, line
            assert not [c for c in line if unicodedata.category(c) in ("Cc", "Cf", "Co", "Cs")], line
            assert line == line.rstrip()


def test_markup_in_a_name_is_printed_as_it_stands(session: Session, check: SessionCheck) -> None:
    text = session_text(session, check, Units("g"))
    assert "[bold]Q[31mZ 7[/]" in text
    assert "Hill [Top]" in text or "Hill [T" in text
    assert "is not known [red]." in text
    assert "Evening of trial" in text


def test_session_page_has_one_line_a_train_with_its_verdict(session: Session, check: SessionCheck) -> None:
    lines = session_text(session, check, Units("g"), train_pages=False).split("\n")
    turn = next(line for line in lines if " Turn " in line)
    quiet = next(line for line in lines if " Quiet " in line)
    assert turn.split()[2:4] == ["HOLD", "0.81"]  # 1/1.22 is 0.8197: cut, never rounded up
    assert turn.split()[-2:] == ["3/2", "45"]
    assert quiet.split()[2:5] == ["GO", "–", "–"]
    assert any("full-size or ride-on railways" in line for line in lines)
    assert not any("STANDING ORDER" in line for line in lines)


def test_why_not_go_names_the_findings_that_hold(session: Session, check: SessionCheck) -> None:
    assert under(session_text(session, check, Units("g")), "WHY NOT GO") == ["HOLD Turn: side-pull."]


def test_vehicles_stand_in_running_order_with_engines_in_their_places(session: Session, check: SessionCheck) -> None:
    rows = under(session_text(session, check, Units("g")), "STANDING ORDER, HEAD END FIRST")
    starts = ["31", "32", "[bold]", "VERY", "東鉱", "QLM 4", "QLM 5", "QLM 6", "40"]
    found = [next(k for k, row in enumerate(rows) if f" {name}" in row[:12]) for name in starts]
    assert found == list(range(1, 10))
    assert rows[1].endswith("head end, leading")
    assert rows[2].endswith("head end")
    assert rows[9].endswith("rear end")


def test_marks_of_the_bars_line_up_whatever_the_width_of_the_names(session: Session, check: SessionCheck) -> None:
    rows = under(session_text(session, check, Units("g")), "STANDING ORDER, HEAD END FIRST")
    cars = car_rows(rows)
    assert len(cars) == 6
    assert len({cell_of(row, "|") for row in (rows[0], *cars) if "|" in row}) == 1
    assert len({cell_of(row, "%") for row in cars}) == 1
    assert [row[0] for row in cars] == [" ", "►", " ", " ", " ", " "]


def test_words_stand_beside_the_cars_past_the_thresholds(session: Session, check: SessionCheck) -> None:
    rows = under(session_text(session, check, Units("g")), "STANDING ORDER, HEAD END FIRST")
    said = [row.split()[-1] for row in car_rows(rows)]
    assert said[1] == "HOLD"
    assert said[2] == "CARE"
    assert not {"HOLD", "CARE"} & {said[0], *said[3:]}


def test_a_bar_is_as_long_as_the_share() -> None:
    def drawn(use: float) -> str:
        return bar(UseBar(use, care=2.0 / 3.0, hold=1.0), 20).plain  # 20 columns to 125 per cent: 16 to 100 per cent

    lengths = [drawn(share).count("█") + 0.5 * drawn(share).count("▌") for share in (0, 0.25, 0.5, 1)]
    assert lengths == [0, 4, 8, 16]
    assert drawn(3.0) == "█" * 19 + "►"
    heading = bar_heading(UseBar(0.0, care=2.0 / 3.0, hold=1.0), 20)
    assert heading.index(":") == 10
    assert drawn(0.0).index("|") == heading.index("|") == 16


def test_a_bar_exactly_at_its_limit() -> None:
    """At the share where care begins nothing is amiss yet, nor at that of hold or at the full length of a bar."""

    def drawn(use: float) -> Text:
        return bar(UseBar(use, care=0.75, hold=1.0), 20)

    levels = {use: drawn(use).style for use in (0.75, 0.7501, 1.0, 1.0001)}
    assert levels == {0.75: STYLES["go"], 0.7501: STYLES["care"], 1.0: STYLES["care"], 1.0001: STYLES["hold"]}
    # 12 of 20 columns to care, 16 to hold: the mark still stands where the bar just reaches it
    assert drawn(0.75).plain == "█" * 12 + ":   |   "
    assert drawn(1.0).plain == "█" * 16 + "|   "
    assert drawn(1.25).plain == "█" * 20
    assert drawn(1.2501).plain == "█" * 19 + "►"


@pytest.mark.parametrize("margin", [1.0, 1.1, 1.3, 1.5, 1.7, 3.0, 7.0, 9.8])
def test_a_bar_is_judged_as_the_house_judges_it(margin: float) -> None:
    house = House(care_margin=margin, hold_margin=0.9)
    for use in (1.0 / margin, 1.0001 / margin, 0.9999 / margin, 1.0 / 0.9, 1.0001 / 0.9):
        shown = use_cell(house, use).bar
        assert isinstance(shown, UseBar)
        assert shown.level == house.level_of(use), use


def test_legs_are_told_only_where_the_makeup_changes(session: Session, check: SessionCheck) -> None:
    turn, quiet = (session_text(session, replace(check, trains=(train,)), Units("g")) for train in check.trains)
    first, second = under(turn, "LEGS OF THE TRIP")[1:]
    assert first.split() == ["A", "Low", "Yard", "Fork", "6", "510", "0.81", "30", "61", "%"]
    assert second.split() == ["B", "Fork", "Hill", "Top", "5", "410", "–", "–", "–"]
    rows = car_rows(under(turn, "STANDING ORDER, HEAD END FIRST"))
    assert [" AB " in row for row in rows] == [True, True, True, True, False, True]
    assert " A– " in rows[4]
    assert "LEGS OF THE TRIP" not in quiet
    assert "leg" not in under(quiet, "STANDING ORDER, HEAD END FIRST")[0]


def test_a_train_without_side_pull_says_so(session: Session, check: SessionCheck) -> None:
    text = session_text(session, replace(check, trains=check.trains[1:]), Units("g"))
    assert "No car feels any side pull on this route." in text
    assert "–, no side pull." in text
    assert "no engine yet" in text
    assert "None" not in text
    assert "nan" not in text


def test_findings_come_gravest_first_and_the_fourth_of_a_kind_is_only_named(
    session: Session, check: SessionCheck
) -> None:
    told = under(session_text(session, check, Units("g")), "FINDINGS")
    firsts = [line for line in told if not line.startswith("  ")]
    assert [line.split(":")[0] for line in firsts] == [
        "HOLD side-pull", "CARE too-long", *["NOTE underweight"] * 4,
        "consist explain side-pull tells more.",
    ]  # fmt: skip
    assert firsts[-2].startswith("NOTE underweight: and 7 more cars: QLM 4,")
    assert told[told.index(firsts[-1]) - 1].endswith("R4.")


def test_where_weight_may_be_added_what_to_beware_of_is_said(session: Session, check: SessionCheck) -> None:
    text = session_text(session, check, Units("g"))
    assert text.count("Adding weight:") == 1
    # once, at the end of what is read
    told = " ".join(text[text.index("\nAdding weight:") :].split())
    assert told.count("══") == 0
    for word in (
        "wash your hands",
        "never sand or melt",
        "children and food",
        "glue",
        "eye protection",
        "local rules",
    ):
        assert word in told
    light = replace(check, trains=check.trains[1:])
    assert "Lead is poisonous" not in session_text(session, light, Units("g"))


def test_a_suggestion_is_told_as_moves(session: Session, check: SessionCheck) -> None:
    told = re.sub(" +", " ", " ".join(under(session_text(session, check, Units("g")), "A BETTER ORDER")))
    assert f"1. Take car {report_samples.LONG} from spot 2 and set it in behind QLM 5, in spot 5." in told
    assert "2. Take cars QLM 4 and QLM 5 from spots 4 and 5 and set them in at the head end, next to" in told
    assert "The margin goes from 0.81 to 1.64." in told


def test_figures_follow_the_units(session: Session, check: SessionCheck) -> None:
    grams = session_text(session, check, Units("g"))
    ounces = session_text(session, check, Units("oz"))
    assert "510 g of cars, 1.50 m long" in grams
    assert "18.0 oz of cars, 4 ft 11 in long" in ounces  # 510/28.3495 = 17.99; 1500/25.4 = 59.06
    assert "10:00 to 0:10" in grams


def test_colour_only_colours(session: Session, check: SessionCheck) -> None:
    plain = session_text(session, check, Units("oz"))
    coloured = session_text(session, check, Units("oz"), colour=True)
    assert "\x1b[" in coloured
    stripped = re.sub(r"\x1b\[[0-9;]*m", "", coloured)
    assert [line.rstrip() for line in stripped.split("\n")] == plain.split("\n")
