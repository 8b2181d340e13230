"""Power: the engines a train needs."""

from __future__ import annotations

from consist.power.need import engines_needed, fewest_class, weakest

__all__ = ["engines_needed", "fewest_class", "weakest"]
