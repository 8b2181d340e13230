"""The picture of what a log teaches: stretches where more came off are drawn wide and told, others are not."""

from __future__ import annotations

import numpy as np
from made_up_railroads import Railroad

import consist
from consist.learning.lessons import learned
from consist.report.charts import learned_chart, svg_file
from consist.wording import Units

__all__: list[str] = []


def test_the_stretch_that_more_came_off_at_is_wide_and_told() -> None:
    session = consist.load("sample_sessions/steps_day")
    told = consist.learn(session)
    drawn = svg_file(learned_chart(session.layout, told, Units("oz"))).decode()
    (worst,) = [one for one in told.track if one.off > one.expected]
    assert worst.name == "Kettle Points to Skerry Points"
    assert f"{worst.off} off, {worst.expected:.1f} expected" in drawn
    assert drawn.count(" expected<") == 1
    assert "Brackenfoot" in drawn


def test_of_stretches_that_are_not_of_the_layout_none_is_drawn() -> None:
    session = consist.load("sample_sessions/steps_day")
    told = learned(Railroad(scatter=0.3, track={1: 0.9}).runs(60, np.random.default_rng(1)))
    assert told.track
    drawn = svg_file(learned_chart(session.layout, told, Units("g"))).decode()
    assert " expected<" not in drawn
    assert "margin" in drawn
