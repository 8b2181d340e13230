"""What all tests share: the folder of the helpers on the path, Hypothesis kept steady, and words looked at."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from consist.bench.results import BenchCar
from consist.errors import InputError, Problem
from consist.order.results import OrderPlan
from consist.power.results import Option, PowerPlan
from consist.rules.case import Finding
from consist.screening.refusals import Refused
from consist.screening.results import GuestResult, KeepOut, Reason
from consist.track.slips import TrackFinding

__all__: list[str] = []

sys.path.insert(0, str(Path(__file__).parent))

_CHECKS = (HealthCheck.too_slow,)
# the same examples on every machine, so that a run tells of the change and not of the day
settings.register_profile("steady", max_examples=25, derandomize=True, deadline=None, suppress_health_check=_CHECKS)
settings.register_profile("searching", max_examples=400, deadline=None, suppress_health_check=_CHECKS)
settings.load_profile("steady")


SENTENCES: dict[type, tuple[str, ...]] = {
    Finding: ("say",),
    Option: ("say",),
    Reason: ("say", "do"),
    Refused: ("say",),
    KeepOut: ("say",),
    GuestResult: ("reasons", "do"),
    PowerPlan: ("notes",),
    OrderPlan: ("notes",),
    BenchCar: ("note",),
    TrackFinding: ("say",),
}
"""What is told in sentences of its own, and where."""


@pytest.fixture(autouse=True)
def _words(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Whatever a test has the tool say is worded as the house words it."""
    from plain_words import badly_worded

    bad: list[str] = []

    def look(text: str, sentence: bool) -> None:
        if wrong := badly_worded(text, sentence=sentence):
            bad.append(f"{wrong}: {text}")

    def looked_at(kind: type, names: tuple[str, ...]) -> None:
        made = kind.__init__  # type: ignore[misc]

        def make(self: Any, *told: Any, **more: Any) -> None:
            made(self, *told, **more)
            for said in (getattr(self, name) for name in names):
                for each in filter(None, (said,) if isinstance(said, str) else said):
                    look(each, sentence=True)

        monkeypatch.setattr(kind, "__init__", make)

    for kind, names in SENTENCES.items():
        looked_at(kind, names)
    made = InputError.__init__

    def make(self: InputError, problems: Iterable[Problem]) -> None:
        made(self, problems)
        for each in self.problems:
            look(each.text, sentence=False)

    monkeypatch.setattr(InputError, "__init__", make)
    yield
    assert not bad or request.node.get_closest_marker("own_words"), "\n".join(bad)
