"""Lettering: how wide text is, and text cut to a room.

Widths are those of the print's own font, which is wider than most, so that what fits here fits in the reader's font
too.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

from reportlab.pdfbase.pdfmetrics import getFont

from consist.report.charts.drawing import SIZE
from consist.report.paper_text import font_names

__all__ = ["shortened", "width_of"]

CUT = "…"
_EM = 1000.0
_WIDE_EM, _UNKNOWN_EM = 1.0, 0.65
"""What a character takes that the font does not have: a wide one of the East, and any other."""


@lru_cache(maxsize=4096)
def _advance(character: str, bold: bool) -> float:
    """How far a character moves the next one, in ems."""
    if unicodedata.combining(character):
        return 0.0
    widths = getFont(font_names()[bold]).face.charWidths  # type: ignore[attr-defined]
    if ord(character) in widths:
        return float(widths[ord(character)]) / _EM
    return _WIDE_EM if unicodedata.east_asian_width(character) in "WF" else _UNKNOWN_EM


def width_of(text: str, bold: bool = False, size: float = SIZE) -> float:
    """The width of a line of text, in drawing units."""
    return size * sum(_advance(character, bold) for character in text)


def shortened(text: str, room: float, bold: bool = False, size: float = SIZE) -> str:
    """Text cut with … where it is wider than `room`.

    >>> shortened("Nettlefoot", 200.0), shortened("Nettlefoot", 34.0)
    ('Nettlefoot', 'Nettl…')
    """
    if width_of(text, bold, size) <= room:
        return text
    left = room - width_of(CUT, bold, size)
    kept = ""
    for character in text:
        left -= size * _advance(character, bold)
        if left < 0.0:
            break
        kept += character
    return kept.rstrip() + CUT
