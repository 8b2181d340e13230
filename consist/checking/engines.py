"""Which engines a train is run behind."""

from __future__ import annotations

from collections.abc import Mapping

from consist.power import fewest_class, weakest
from consist.session import Session, Train
from consist.stock import Engine

__all__ = ["engines_for"]


def engines_for(
    session: Session, train: Train, needed: Mapping[str, int | None]
) -> tuple[tuple[Engine, ...], tuple[str, int] | None]:
    """The head-end engines to run behind, and the class and number where they only stand in for none.

    `needed` is the fewest engines of each class, and may be empty for a train that has engines or helpers.
    """
    if train.engines or train.helpers:
        return train.engines, None
    fewest = fewest_class(needed)
    if fewest is None:
        return (), None
    name, number = fewest
    return (weakest(session.classes[name]),) * number, fewest
