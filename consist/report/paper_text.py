"""Text for paper: one plain font that is part of every page, and what it has no letter for replaced plainly."""

from __future__ import annotations

import unicodedata
from bisect import bisect_right
from functools import cache, lru_cache
from pathlib import Path

import reportlab
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from consist.report.words import clean

__all__ = ["BOLD", "LACKING", "PLAIN", "cut_to", "font_file", "font_names", "printable", "text_mm"]

PLAIN, BOLD = "Vera", "VeraBd"
"""Bitstream Vera, which comes with reportlab: the same letters, and so the same bytes, on every machine."""
LACKING = "?"
"""What stands for a letter that the font lacks."""
POINTS_PER_MM = 72.0 / 25.4
ELLIPSIS = "..."


@cache
def font_names() -> tuple[str, str]:
    """The plain and the bold font, made ready for use on a page."""
    for bold, name in enumerate((PLAIN, BOLD)):
        pdfmetrics.registerFont(TTFont(name, font_file(bool(bold))))
    return PLAIN, BOLD


def font_file(bold: bool = False) -> str:
    """Where the plain or the bold font is."""
    return str(Path(reportlab.__file__).parent / "fonts" / f"{BOLD if bold else PLAIN}.ttf")


@cache
def _letters() -> frozenset[int]:
    font_names()
    font = pdfmetrics.getFont(PLAIN)
    assert isinstance(font, TTFont)
    return frozenset(font.face.charToGlyph)


@lru_cache(maxsize=8192)
def printable(text: str) -> str:
    """Text on one line in letters that the font has: without its accents where need be, else `LACKING`.

    >>> printable("Ünal \\u01ce \\u65e5 7")
    'Ünal a ? 7'
    """
    return "".join(_letter(letter) for letter in unicodedata.normalize("NFC", clean(text)))


def _letter(letter: str) -> str:
    if ord(letter) in _letters():
        return letter
    parts = [part for part in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(part)]
    bare = "".join(parts)
    if not bare:
        return ""  # an accent that stands for itself
    return bare if all(ord(part) in _letters() for part in bare) else LACKING


def text_mm(text: str, size: float, font: str = PLAIN) -> float:
    """How wide a text is on paper, in mm, set in `size` points."""
    font_names()
    return float(pdfmetrics.stringWidth(text, font, size)) / POINTS_PER_MM


def cut_to(text: str, wide_mm: float, size: float, font: str = PLAIN) -> str:
    """A printable text cut with an ellipsis where it is wider than `wide_mm`."""
    if text_mm(text, size, font) <= wide_mm:
        return text
    too_long = bisect_right(range(len(text)), wide_mm, key=lambda many: text_mm(text[:many] + ELLIPSIS, size, font))
    return text[: max(too_long - 1, 0)].rstrip() + ELLIPSIS
