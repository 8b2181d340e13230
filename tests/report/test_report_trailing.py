"""The card of what may trail: its figures are those of the JSON, and it prints."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from consist.cli import app

__all__: list[str] = []

SHELF = str(Path(__file__).parents[2] / "sample_sessions" / "sunday_shelf")


def _run(*arguments: str) -> tuple[int, str]:
    done = CliRunner().invoke(app, list(arguments))
    return done.exit_code, done.stdout


def test_cars_and_weight_are_those_of_the_json() -> None:
    told = json.loads(_run("trailing", SHELF, "--json")[1])
    [flat] = [car for car in told["routes"][0]["cars"] if car["car"] == "PQF 71" and not car["loaded"]]
    care, hold = flat["within_care"], flat["within_hold"]
    weights = [round(count * told["usual"]["weight_g"]) for count in (care, hold)]
    page = _run("trailing", SHELF)[1]
    [row] = [line for line in page.split("COVE FIDDLE TO SLATE")[0].splitlines() if line.startswith("PQF 71")]
    assert row.split()[2:] == [str(care), str(weights[0]), str(hold), str(weights[1])]
    assert page.count("PQF 71") == 2


def test_routes_alike_are_told_once_and_the_strictest_first() -> None:
    page = _run("trailing", SHELF.replace("sunday_shelf", "club_night"))[1]
    assert "The same from " in page
    first = page.split("\nWESTING TO TARNWICK")[0]
    counts = [int(line.split()[-4]) for line in first.splitlines() if line.endswith(("any", "59.2"))]
    assert counts == sorted(counts)
    assert len(counts) > 4


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_card_is_one_page_that_says_what_the_screen_says(tmp_path: Path, paper: str) -> None:
    cards = [tmp_path / "one.pdf", tmp_path / "other.pdf"]
    for card in cards:
        assert _run("trailing", SHELF, "--pdf", str(card), "--paper", paper)[0] == 0
    assert cards[0].read_bytes() == cards[1].read_bytes()
    [printed] = PdfReader(io.BytesIO(cards[0].read_bytes())).pages
    words = " ".join(printed.extract_text().split())
    assert "PQF 71" in words
    assert "Any number may stand behind every car." in words


def test_a_card_of_another_kind_of_file_is_refused(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["trailing", SHELF, "--pdf", str(tmp_path / "card.txt")])
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.startswith("--pdf: found ")
    assert not (tmp_path / "card.txt").exists()
