"""Every word that a user can meet is explained, from where it is declared."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import get_args

import builders
import pytest
from typer.testing import CliRunner

from consist.cli import app
from consist.errors import InputError
from consist.intake import declared, declared_tables
from consist.report.explain import explanations, meanings_of
from consist.report.json import Key, json_keys
from consist.rules import FindingCode
from consist.scales import SCALES
from consist.screening.results import KeepOutCode, ReasonCode, RefusalCode
from consist.stock import published_standards


def keys_of(keys: Sequence[Key]) -> Iterator[str]:
    for key in keys:
        yield key.name
        yield from keys_of(key.parts)


WORDS = {
    "finding": get_args(FindingCode),
    "door": tuple(get_args(code) for code in (ReasonCode, KeepOutCode, RefusalCode)),
    "exit status": ("0", "1", "2", "130"),
    "weight standard": tuple(published_standards()),
    "scale": tuple(SCALES),
}


def test_every_code_key_column_standard_scale_and_status_is_explained() -> None:
    words = {*WORDS["finding"], *WORDS["exit status"], *WORDS["weight standard"], *WORDS["scale"]}
    words |= {code for codes in WORDS["door"] for code in codes}
    words |= {
        name for table in declared_tables() for field in declared(table) for name in (field.name, *field.columns)
    }
    words |= {name for keys in json_keys().values() for name in keys_of(keys)}
    assert len(words) > 200
    assert [word for word in words if not all(meaning.means for meaning in meanings_of(word))] == []


def test_no_finding_is_explained_that_no_rule_gives() -> None:
    assert {one.word for one in explanations() if one.group == "finding"} == set(get_args(FindingCode))


@pytest.mark.parametrize("asked", ["peak_drawbar", "Peak Drawbar", "peak-drawbar"])
def test_a_figure_is_found_however_it_is_spelt(asked: str) -> None:
    assert any(one.group == "figure" and "pull in any coupling" in one.means for one in meanings_of(asked))


def test_a_word_that_is_none_names_the_nearest() -> None:
    with pytest.raises(InputError, match="did you mean 'side-pull'"):
        meanings_of("side-pul")
    ran = CliRunner().invoke(app, ["explain", "side-pul"])
    assert (ran.exit_code, ran.stdout, ran.stderr.count("\n")) == (2, "", 1)


def test_the_command_tells_a_word_in_full_and_lists_all_without_one() -> None:
    told = CliRunner().invoke(app, ["explain", "flange", "drag"]).stdout
    assert "nobody's measurement" in told
    assert max(map(len, told.splitlines())) <= 80
    listed = CliRunner().invoke(app, ["explain"]).stdout
    assert all(word in listed for word in ("side-pull", "nmra-rp-20.1", "exit status", "weight_oz", "hold use"))
    printed = json.loads(CliRunner().invoke(app, ["explain", "nmra-rp-20.1", "--json"]).stdout)
    assert "RP-20.1" in printed["meanings"][0]["source"]


def test_a_train_s_findings_say_once_how_to_ask() -> None:
    shelf = str(builders.SAMPLES / "sunday_shelf")
    told = CliRunner().invoke(app, ["check", shelf, "--train", "Quarry Mixed 3"]).stdout
    assert told.count("consist explain side-pull") == 1
