"""What can hurt somebody who follows the advice, said where the advice is given."""

from __future__ import annotations

__all__ = ["WEIGHTS"]

WEIGHTS = (
    "Lead is poisonous: wash your hands after it, never sand or melt it, keep it from children and food. Fast glue "
    "bonds skin and hot glue burns; wear eye protection to drill or cut. Product labels and local rules come first."
)
"""For advice to put weight into a car."""
