"""Verdicts and levels as the pages spell and colour them; the word alone says it all."""

from __future__ import annotations

from rich.text import Text

__all__ = ["STYLES", "word"]

STYLES = {"go": "green", "care": "yellow", "hold": "red", "note": ""}
"""Colours that read on a dark terminal and on a light one."""


def word(level: str) -> Text:
    """The verdict or level in capitals.

    >>> word("hold").plain
    'HOLD'
    """
    return Text(level.upper(), f"bold {STYLES[level]}".strip())
