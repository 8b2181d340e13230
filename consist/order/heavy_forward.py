"""How far a train stands heavy to light from the head end."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from consist.session import CarInTrain

__all__ = ["heavy_forward", "heavy_forward_of"]

AS_HEAVY = 1e-9
"""Weights per length that differ by no more than this share are the same: ounces and inches written in grams and
millimetres differ in their last binary digit (about 1e-16), and no scale tells a millionth."""


def heavy_forward_of(per_length: Sequence[float]) -> float | None:
    """Of all pairs, the share in per cent in which the one ahead is heavier for its length; ties count half.

    None for fewer than two. Where nothing ties it is 50·(1 + Kendall's tau) of place from the rear and weight per
    length.

    >>> heavy_forward_of([3.0, 2.0, 1.0]), heavy_forward_of([1.0, 1.0])
    (100.0, 50.0)
    >>> heavy_forward_of([113.398092500 / 152.4, 4 * 28.349523125 / (6 * 25.4)])  # 4 oz on 6 in, written both ways
    50.0
    """
    values = np.asarray(per_length, dtype=np.float64)
    count = len(values)
    if count < 2:
        return None
    ahead, behind = np.triu_indices(count, 1)
    more = values[ahead] - values[behind]
    alike = np.abs(more) <= AS_HEAVY * np.maximum(values[ahead], values[behind])
    return float(100.0 * np.where(alike, 0.5, more > 0.0).sum() / len(more))


def heavy_forward(cars: Sequence[CarInTrain]) -> float | None:
    """The figure for cars in standing order, as they run, by coupled length."""
    return heavy_forward_of([car.weight_g / car.car.coupled_length_mm for car in cars])
