"""What a log teaches in words: limits that can be pasted, and how many runs more it takes."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest
from made_up_railroads import Railroad

from consist.learning.lessons import learned
from consist.report.document import Para
from consist.report.sheets.learning import learned_sheet

__all__: list[str] = []


def told(runs: int, **of: float) -> list[str]:
    sheet = learned_sheet(learned(Railroad(**of).runs(runs, np.random.default_rng(5))))  # type: ignore[arg-type]
    return [block.text for part in sheet.sections for block in part.blocks if isinstance(block, Para)]


def test_limits_that_are_known_can_be_pasted_into_the_session() -> None:
    said = told(400, bias=0.4, scatter=0.2)
    at = said.index("[house]")
    house = tomllib.loads("\n".join(said[at : at + 3]))["house"]
    assert house["care_margin"] == pytest.approx(np.exp(0.4 + 2.326 * 0.2), rel=0.2)
    assert 1.0 < house["hold_margin"] < house["care_margin"]


def test_of_few_runs_it_is_said_that_little_is_known_and_nothing_is_there_to_paste() -> None:
    said = told(8, scatter=0.3)
    assert any(text.startswith("That is little") for text in said)
    assert "[house]" not in said
