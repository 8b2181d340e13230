"""What the page of a session and its sheet both say: its basis, its totals, and why trains may not simply go."""

from __future__ import annotations

from collections import Counter

from consist.checking.results import SessionCheck, TrainCheck
from consist.report.units import Units
from consist.report.words import NONE, clean, counted
from consist.session import Session

__all__ = ["LEGEND", "NO_TRAIN", "basis_words", "causes_words", "engines_words", "totals_words"]

LEGEND = "Engines are those assigned / those needed; order is 100 where no allowed order does better."
NO_TRAIN = "No train is in this session yet; add a [[train]] to session.toml."


def basis_words(session: Session, check: SessionCheck) -> str:
    """The layout, its scale and the weight standard."""
    scale = session.layout.scale.name
    standard = session.standard
    return (
        f"Layout {clean(check.layout)}, {clean(scale)} scale. Car weights by {clean(standard.title)}, "
        f"which counts {standard.length_words}."
    )


def totals_words(check: SessionCheck, units: Units) -> str:
    """All trains together."""
    verdicts = Counter(train.verdict for train in check.trains)
    counts = [f"{verdicts[verdict]} {verdict.upper()}" for verdict in ("go", "care", "hold") if verdicts[verdict]]
    cars = sum(len(train.cars) for train in check.trains)
    grams = sum(train.weight_g for train in check.trains)
    assigned = sum(len(train.power.assigned) for train in check.trains)
    return (
        f"{counted(len(check.trains), 'train')}: {', '.join(counts)}. {counted(cars, 'car')}, "
        f"{units.train_weight(grams)}, {counted(assigned, 'engine')} assigned."
    )


def engines_words(train: TrainCheck) -> str:
    """Engines assigned, and those needed of their class, as a table has them."""
    needed = train.power.needed
    return f"{len(train.power.assigned)}/{NONE if needed is None else needed}"


def causes_words(train: TrainCheck) -> str:
    """The codes of the findings for which a train may not simply go; empty where it may."""
    codes = Counter(clean(finding.code) for finding in train.findings if finding.level == train.verdict)
    if train.verdict == "go" or not codes:
        return ""
    return f"{', '.join(code if count == 1 else f'{code} ({count})' for code, count in codes.items())}."
