"""Each page says each thing once, its answer first, and cautions stand after all else."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

import consist
from consist.cli import app

__all__: list[str] = []

ROOT = Path(consist.__file__).parents[1]
NIGHT, SHELF = str(ROOT / "sample_sessions/club_night"), str(ROOT / "sample_sessions/sunday_shelf")
RUNS = (
    ("check", NIGHT),
    ("check", SHELF),
    ("check", NIGHT, "--train", "Ore Loads 1"),
    ("check", NIGHT, "--train", "Marlpit Turn"),
    ("order", NIGHT, "--seconds", "0.1"),
    ("order", NIGHT, "--seconds", "0.1", "--train", "Ore Loads 1"),
    ("power", NIGHT),
    ("screen", NIGHT),
    ("layout", str(ROOT / "layouts/nettlefoot_hill.toml")),
)
MANY_WORDS = 12
OF_ONE = ("Trains: ", "Tightest ")
"""How a figure of one train or car begins, which another may share."""
DRAWN = re.compile(r"[█▌▁│|►]|\S  +\S|^ *\d+ ")
LABEL = re.compile(r"^(?:\[ \] )?(?:(?:HOLD|CARE|NOTE) )?[^:]{1,60}: (?=[A-Z])")


@cache
def run(*args: str) -> Result:
    return CliRunner().invoke(app, [*args])


def pages(text: str) -> list[str]:
    """The pages of an output, each one run of words without its tables and drawings."""
    found = []
    for page in re.split(r"\n\n\n(?=══)", text):
        found.append(" ".join(" ".join(line for line in page.split("\n") if not DRAWN.search(line)).split()))
    return found


def sentences(page: str) -> list[str]:
    """The longer sentences of a page without what labels them."""
    whole = (
        LABEL.sub("", each) for each in re.split(r"(?<=[a-z\d)%])\.(?: |$)", page) if not each.startswith(OF_ONE)
    )
    return [each for each in whole if len(each.split()) >= MANY_WORDS]


@pytest.mark.parametrize("args", RUNS, ids=lambda args: " ".join(arg.rpartition("/")[2] for arg in args))
def test_no_page_says_a_sentence_twice(args: tuple[str, ...]) -> None:
    ran = run(*args)
    assert ran.exit_code in (0, 1)
    for page in pages(ran.stdout):
        assert [each for each in sentences(page) if page.count(each) > 1] == [], page[:60]


@pytest.mark.parametrize("args", RUNS, ids=lambda args: " ".join(arg.rpartition("/")[2] for arg in args))
def test_what_to_beware_of_is_told_once_and_last(args: tuple[str, ...]) -> None:
    text = run(*args).stdout
    assert text.count("Lead is poisonous") <= 1
    if "Lead is poisonous" in text:
        before, _, after = text.partition("\nAdding weight: Lead")
        assert before.endswith("\n")
        told = [each for each in after.strip().split("\n\n") if not each.startswith("Next")]
        assert len(told) == 2  # itself, and the line at the end of every output


def test_one_train_checked_alone_has_its_own_page_alone() -> None:
    ran = run("check", NIGHT, "--train", "Ore Loads 1")
    assert ran.stdout.startswith("══ Ore Loads 1 ═")
    assert ran.exit_code == 1
    words = " ".join(ran.stdout.split())
    for summary in ("WHY NOT GO", "BEFORE THE FIRST TRAIN LEAVES", "1 train: 1 HOLD", "[ ]"):
        assert summary not in words
    # what the session's page would have told besides
    assert "Session Club night. Layout Nettlefoot Hill, HO scale. Car weights by NMRA RP-20.1, which counts" in words
    assert "No order found lets it go by its side pull; add weight to its worst car or take cars off." in words
    whole = json.loads(run("check", NIGHT, "--train", "Ore Loads 1", "--json").stdout)
    assert whole["tasks"]
    assert run("check", NIGHT, "--train", "Ore Loads 1", "--no-pages").stdout.startswith("══ Club night ═")


def test_a_check_says_nothing_of_guests_that_it_did_not_look_over() -> None:
    """Of the club night's guests two may not ride tonight; the shelf has none."""
    assert "Door" not in run("check", NIGHT, "--no-pages").stdout
    assert re.search(r"Door: nothing to\s+do\.", run("check", SHELF, "--no-pages").stdout)


def test_a_finding_that_is_the_answer_is_not_told_again_below() -> None:
    text = " ".join(run("check", NIGHT, "--train", "Marlpit Turn").stdout.split())
    assert text.count("The engine is asked for 110 % of its usable pull") == 1
    assert "HOLD power-short: told above." in text
