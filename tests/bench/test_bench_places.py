"""Where weight goes, by the words of a car's kind. Common practice, no source."""

from __future__ import annotations

import pytest

from consist.bench.places import place_for

__all__: list[str] = []


@pytest.mark.parametrize(
    ("kinds", "word"),
    [
        (("boxcar", "box 40", "reefer", "stock car", "coach", "caboose", "milk car", "baggage"), "close the body"),
        (("gondola", "hopper", "ore car", "bulkhead flat", "flatcar", "Log car"), "below the floor"),
        (("tank", "Tank car"), "saddle"),
        (("covered hopper", "covered-hopper"), "slope sheet"),
        (("well car", "container", "double-stack", "container flat"), "bottom container only"),
        (("", "crane"), "low over each truck"),
    ],
)
def test_each_kind_has_its_place(kinds: tuple[str, ...], word: str) -> None:
    for kind in kinds:
        assert word in place_for(kind), kind


def test_the_container_that_carries_it_is_noted() -> None:
    assert "write into the car's note which container carries it" in place_for("well car")
