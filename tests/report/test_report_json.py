"""The JSON object against the contract of the README: keys, nesting, figures in full, never NaN."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from typing import Any

import pytest
import report_samples

from consist.checking.results import SessionCheck
from consist.report import as_json
from consist.report.json import KEYS, LEFT_OUT

__all__: list[str] = []

TRAIN = {
    "train", "verdict", "margin", "side_use", "worst", "order_score", "heavy_forward", "weight_g", "length_mm",
    "route_mm", "peak_drawbar", "power", "cars", "legs", "findings", "suggestion",
}  # fmt: skip


@pytest.fixture
def check() -> SessionCheck:
    return report_samples.session_check(report_samples.session())


def read(text: str) -> Any:
    """The object; NaN and infinities, which Python's reader would take, are errors."""

    def refuse(constant: str) -> Any:
        raise AssertionError(f"{constant} is no JSON")

    return json.loads(text, parse_constant=refuse)


def test_keys_and_nesting_are_those_of_the_contract(check: SessionCheck) -> None:
    whole = read(as_json(check))
    turn = whole["trains"][0]
    assert list(whole) == ["schema", "session", "layout", "trains"]
    assert whole["schema"] == 1
    assert set(turn) == TRAIN
    assert set(turn["worst"]) == {"car", "spot", "head_mm", "place"}
    assert set(turn["peak_drawbar"]) == {"g", "behind", "head_mm", "place"}
    assert set(turn["power"]) == {"assigned", "needed", "by_class", "use"}
    assert set(turn["cars"][0]) == {"car", "spot", "weight_g", "side_use", "margin", "peak_drawbar_g"}
    assert set(turn["legs"][0]) == {
        "from", "to", "cars", "weight_g", "margin", "side_use", "peak_drawbar_g", "power_use",
    }  # fmt: skip
    assert set(turn["findings"][0]) == {"code", "level", "car", "spot", "place", "value", "limit", "say"}
    assert set(turn["suggestion"]) == {"order", "margin", "moves"}
    assert set(turn["suggestion"]["moves"][0]) == {"cars", "after"}


def test_figures_are_in_full_and_names_as_in_the_file(check: SessionCheck) -> None:
    turn = read(as_json(check))["trains"][0]
    assert turn["margin"] == 1.0 / 1.22
    assert [car["car"] for car in turn["cars"]] == list(report_samples.TURN_CARS)
    assert turn["legs"][0]["from"] == "Low Yard"
    assert turn["suggestion"]["moves"][1] == {"cars": ["QLM 4", "QLM 5"], "after": None}
    assert report_samples.WIDE in as_json(check)


def test_what_has_no_value_is_null(check: SessionCheck) -> None:
    turn, quiet = check.trains
    odd = replace(turn, margin=float("inf"), side_use=float("nan"), heavy_forward=float("-inf"))
    whole = read(as_json(replace(check, trains=(odd, quiet))))
    assert [whole["trains"][0][key] for key in ("margin", "side_use", "heavy_forward")] == [None, None, None]
    assert whole["trains"][0]["power"]["by_class"] == {"Heavy": 2, "Pusher": None}
    for key in ("margin", "worst", "peak_drawbar", "suggestion"):
        assert whole["trains"][1][key] is None


def test_no_minus_stands_before_a_zero(check: SessionCheck) -> None:
    turn, quiet = check.trains
    assert turn.peak_drawbar is not None
    slack = replace(turn, heavy_forward=-0.0, peak_drawbar=replace(turn.peak_drawbar, g=-0.0))
    text = as_json(replace(check, trains=(slack, quiet)))
    assert read(text)["trains"][0]["peak_drawbar"]["g"] == 0.0
    assert "-0" not in text


def test_same_check_gives_the_same_bytes_with_one_newline_at_the_end(check: SessionCheck) -> None:
    text = as_json(check)
    assert text == as_json(report_samples.session_check(report_samples.session()))
    assert text.endswith("}\n")
    assert not text.endswith("\n\n")


@pytest.mark.parametrize("kind", KEYS, ids=lambda kind: kind.__name__)
def test_every_field_of_a_result_has_a_key_or_is_left_out_on_purpose(kind: type) -> None:
    named = set(KEYS[kind]) | LEFT_OUT.get(kind, frozenset())
    assert named == {field.name for field in fields(kind)}


def test_a_field_without_a_key_is_refused(check: SessionCheck, monkeypatch: pytest.MonkeyPatch) -> None:
    fewer = {kind: dict(keys) for kind, keys in KEYS.items()}
    del fewer[SessionCheck]["layout"]
    monkeypatch.setattr("consist.report.json.KEYS", fewer)
    with pytest.raises(TypeError, match="layout"):
        as_json(check)
