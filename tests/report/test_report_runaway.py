"""A train that would run away downhill, told apart from one that cannot be pulled: terminal, JSON, page and paper."""

from __future__ import annotations

import json
from functools import cache
from io import BytesIO

import builders
import pytest
from pages import session_text, under
from pypdf import PdfReader
from rich.cells import cell_len

import consist
from consist.evening.overview import overview
from consist.report.json import as_json
from consist.report.sheets.session import checked
from consist.report.sheets.tasks import tasks_of
from consist.report.whole_report import WholeReport
from consist.session import Session
from consist.wording import Units

__all__: list[str] = []

GRADE_PERCENT, ROLLING, RESERVE = 6.0, 0.014, 0.15
PULL_G, ENGINE_G, CAR_G, CARS = 60.0, 280.0, 100.0, 14
GRAMS = Units("g")
# the cars push with 1400 g x (6 % - 1.4 %); the engine holds with 85 % of its pull, less 6 % of its own weight
HOLD_USE = (
    CARS * CAR_G * (0.01 * GRADE_PERCENT - ROLLING) / ((1.0 - RESERVE) * PULL_G - 0.01 * GRADE_PERCENT * ENGINE_G)
)
PULL_USE = CARS * CAR_G * ROLLING / ((1.0 - RESERVE) * PULL_G)  # on the level


@cache
def down(pull_g: float = PULL_G, cars: int = CARS) -> Session:
    """A train that runs down a straight grade longer than itself, between two level stretches."""
    pieces = (builders.straight(2500.0), builders.straight(4000.0, -GRADE_PERCENT), builders.straight(2500.0))
    where = builders.layout(builders.line("Top, out", "Foot, in", *pieces))
    train = builders.train(
        where,
        [builders.car(f"CAR {number}", CAR_G, rolling=ROLLING) for number in range(cars)],
        [builders.engine("31", ENGINE_G, pull_g)],
        name="Down 1",
        stops=("Top", "Foot"),
        times=(540, 560),
    )
    return builders.session(where, train)


def joined(text: str) -> str:
    """Text as one run of words, wherever its lines were broken."""
    return " ".join(text.split())


def test_the_terminal_tells_that_it_runs_away_and_how_much_holding_it_asks_for() -> None:
    text = session_text(down(), consist.check(down()), GRAMS)
    assert max(map(cell_len, text.split("\n"))) <= 80
    assert f"{100.0 * HOLD_USE:.0f} %" == "188 %"
    said = (
        "The train runs away downhill: its engine has to hold back 188 % of what it can with the head between "
        "Top and Foot; "
    )
    (found,) = [line for line in joined("\n".join(under(text, "FINDINGS"))).split("HOLD ") if "power-short" in line]
    # the train's own page tells it once, as the answer
    assert found.startswith("power-short: told above.")
    page = joined(text[text.index("══ Down 1") :])
    assert page.count(said) == 1
    assert page.split("══ HOLD ══ ")[1].startswith(said)
    assert "asked for" not in found
    assert f"HOLD 9:00 Down 1: {said}" in joined("\n".join(under(text, "POWER DESK")))
    figures = "1 engine assigned: 31; 38 % of usable pull used at the hardest place; 188 % of what it can hold back "
    assert f"Power {figures}used down grade; " in joined(text)


def test_json_has_both_uses_apart() -> None:
    check = consist.check(down())
    tasks = tasks_of(checked(down(), check), GRAMS)
    whole = json.loads(as_json("check", {**vars(check), "tasks": tasks}))
    (train,) = whole["trains"]
    assert train["verdict"] == "hold"
    assert train["power"]["hold_use"] == pytest.approx(HOLD_USE, rel=1e-3)
    assert train["power"]["use"] == pytest.approx(PULL_USE, rel=1e-3)
    (found,) = [finding for finding in train["findings"] if finding["code"] == "power-short"]
    assert (found["value"], found["limit"]) == (train["power"]["hold_use"], 1.0)
    assert whole["tasks"][0]["why"] == ["power-short"]


def test_page_and_paper_tell_the_same() -> None:
    report = WholeReport(overview(down()), GRAMS)
    paper = joined(" ".join(page.extract_text() for page in PdfReader(BytesIO(report.as_pdf())).pages))
    for text in (joined(report.as_html()), paper):
        assert "The train runs away downhill: its engine has to hold back 188 % of what it can" in text
        assert "188 % of what it can hold back used down grade" in text
        # the power desk has no other engine to put on it: what this one is asked for is no pull
        assert (
            "At Top there is only 31, asked for 188 % of what it can pull or hold back between Top and Foot." in text
        )


def test_an_engine_with_nothing_left_to_hold_with_is_told_in_words() -> None:
    """85 % of 15 g is less than 6 % of 280 g: it slides by itself, though it pulls five cars on the level."""
    weak = down(15.0, 5)
    check = consist.check(weak)
    text = joined(session_text(weak, check, GRAMS))
    assert check.trains[0].power.hold_use is None
    assert (
        "Power 1 engine assigned: 31; 55 % of usable pull used at the hardest place; nothing left to hold back "
        in text
    )
    assert "The train runs away downhill: its engine has to hold it, and can hold nothing with the head" in text
    assert json.loads(as_json("check", {**vars(check), "tasks": ()}))["trains"][0]["power"]["hold_use"] is None


def test_a_train_that_is_held_says_by_how_much_and_a_level_one_nothing() -> None:
    where = builders.layout(builders.line("A, e", "B, w", builders.straight(3000.0)))
    flat = builders.train(where, [builders.car()], [builders.engine("31")], stops=("A", "B"))
    held, level = down(cars=3), builders.session(where, flat)
    text = joined(session_text(held, consist.check(held), GRAMS))
    # 300 g x 4.6 % over 34.2 g is 40 %
    assert "40 % of what it can hold back used down grade" in text
    assert "runs away" not in text
    assert "hold back" not in joined(session_text(level, consist.check(level), GRAMS))
