"""JSON as every command prints it: indented, names as they are written, and no minus before a zero."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

__all__ = ["figure_text", "json_text"]


def json_text(whole: Mapping[str, object]) -> str:
    """An object as text ending in a newline; the same object gives the same text.

    Raises `ValueError` for a figure that is not finite.

    >>> print(json_text({"g": -0.0, "car": "NQH 7"}), end="")
    {
      "g": 0.0,
      "car": "NQH 7"
    }
    """
    return json.dumps(_plain(whole), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def figure_text(value: float) -> str:
    """A figure in full, as JSON has it.

    >>> figure_text(-0.0), figure_text(1.25)
    ('0.0', '1.25')
    """
    return json.dumps(_plain(value), allow_nan=False)


def _plain(value: object) -> object:
    if isinstance(value, float):
        return value + 0.0
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [_plain(item) for item in value]
    return value
