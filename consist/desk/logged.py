"""A run to be logged as a program says it, in JSON.

>>> asked_to_log({"train": "Creamery 5", "what": "off", "car": "PQF 203", "at": ["Puddlefold"], "past": "30 in"})
{'train': 'Creamery 5', 'what': 'off', 'car': 'PQF 203', 'at': 'Puddlefold', 'past_mm': 762.0}
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

from consist.bench.lengths import parse_length
from consist.errors import ChangeError
from consist.intake import Happened, LoggedRun
from consist.names import listed, quoted, tidy

__all__ = ["asked_to_log", "logged_shown"]

TAKES = {
    "train": "train",
    "what": "what",
    "car": "car",
    "at": "at",
    "past": "past_mm",
    "while": "doing",
    "note": "note",
}
LONGEST = 1000


def asked_to_log(said: Mapping[str, Any]) -> dict[str, Any]:
    """What `log_run` takes. Raises `ChangeError` or `InputError` for what it does not; null is nothing said."""
    strange = [name for name in said if name not in TAKES]
    if strange:
        raise ChangeError(f"a run has no {listed(strange)}; it has {', '.join(TAKES)}")
    for name, ask in (("train", "say which one ran"), ("what", f"say one of {', '.join(get_args(Happened))}")):
        if said.get(name) is None:
            raise ChangeError(f"found no {name}; {ask}")
    told: dict[str, Any] = {}
    for name, value in said.items():
        if value is not None:
            told[TAKES[name]] = _places(value) if name == "at" else _text(name, value)
    if "past_mm" in told:
        told["past_mm"] = parse_length(told["past_mm"], "past")
    return told


def _text(name: str, value: Any) -> str:
    if not isinstance(value, str) or not tidy(value) or len(value) > LONGEST:
        raise ChangeError(f"a run has a {name} of {quoted(str(value))}, expected a text of at most {LONGEST} letters")
    return tidy(value)


def _places(value: Any) -> str:
    return ", ".join(_text("at", each) for each in (value if isinstance(value, list) else [value]))


def logged_shown(run: LoggedRun) -> dict[str, Any]:
    """A run that was logged, as an object of JSON."""
    return {
        "when": run.time, "train": run.train, "what": run.what, "car": run.car or None,
        "at": list(run.at), "past_mm": run.past_mm, "while": run.doing, "note": run.note,
    }  # fmt: skip
