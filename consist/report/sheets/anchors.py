"""What the sheets are called within the document, and the order in which trains leave."""

from __future__ import annotations

from collections.abc import Iterable

from consist.checking.overview import Overview, TrainOverview

__all__ = ["BENCH", "DOOR", "POWER", "SESSION", "by_departure", "switch_list_anchors", "train_anchors"]

SESSION, POWER, BENCH, DOOR = "session", "power", "bench", "door"


def train_anchors(overview: Overview) -> dict[str, str]:
    """The anchor of each train's sheet, by train."""
    return {one.train.name: f"train-{number}" for number, one in enumerate(overview.trains, start=1)}


def switch_list_anchors(overview: Overview) -> dict[str, str]:
    """The anchor of each train's switch list, by train."""
    return {one.train.name: f"switch-list-{number}" for number, one in enumerate(overview.trains, start=1)}


def by_departure(trains: Iterable[TrainOverview]) -> list[TrainOverview]:
    """Trains as they leave, those without a time last, else in the session's order."""
    return sorted(trains, key=lambda one: (one.train.depart is None, one.train.depart or 0))
