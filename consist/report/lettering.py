"""Lettering: the font of every print, how wide text is in it, and text cut to a room.

On a page pictures take the reader's font; that of the print is wider than most, so what fits here fits there too.
"""

from __future__ import annotations

import unicodedata
from bisect import bisect_right
from functools import cache, lru_cache
from itertools import accumulate
from pathlib import Path

import reportlab
from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from consist.report.words import clean

__all__ = [
    "BOLD", "LACKED", "LACKING", "PLAIN", "POINTS_PER_MM", "SIZE", "font_file", "font_names", "printable",
    "shortened", "width_of",
]  # fmt: skip

PLAIN, BOLD = "Vera", "VeraBd"
"""Bitstream Vera, which comes with reportlab: the same letters, and so the same bytes, on every machine."""
LACKING = "?"
"""What stands for a letter that the font lacks."""
LACKED = f"{LACKING} stands for a letter that this print does not have."
CUT = "…"
SIZE = 9.0
"""The size of all lettering in pictures, in drawing units."""
POINTS_PER_MM = 72.0 / 25.4
_WIDE_EM, _UNKNOWN_EM = 1.0, 0.65
"""What a character takes that the font does not have: a wide one of the East, and any other."""


@cache
def font_names() -> tuple[str, str]:
    """The plain and the bold font, made ready for use on a page."""
    rl_config.useA85 = 0  # bytes as they are: a file a sixth smaller than in letters alone
    for bold, name in enumerate((PLAIN, BOLD)):
        pdfmetrics.registerFont(TTFont(name, font_file(bool(bold))))
    return PLAIN, BOLD


def font_file(bold: bool = False) -> str:
    """Where the plain or the bold font is."""
    return str(Path(reportlab.__file__).parent / "fonts" / f"{BOLD if bold else PLAIN}.ttf")


@cache
def _advances(bold: bool) -> dict[int, float]:
    """How far each letter that the font has moves the next one, in ems."""
    face = pdfmetrics.getFont(font_names()[bold]).face  # type: ignore[attr-defined]
    return {letter: float(width) / 1000.0 for letter, width in face.charWidths.items()}


@lru_cache(maxsize=8192)
def printable(text: str) -> str:
    """Text on one line in letters that the font has: without its accents where need be, else `LACKING`.

    >>> printable("Ünal \\u01ce \\u65e5 7")
    'Ünal a ? 7'
    """
    return "".join(_letter(letter) for letter in unicodedata.normalize("NFC", clean(text)))


def _letter(letter: str) -> str:
    known = _advances(bold=False)
    if ord(letter) in known:
        return letter
    bare = "".join(part for part in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(part))
    # an accent that stands for itself leaves nothing
    return bare if all(ord(part) in known for part in bare) else LACKING


@lru_cache(maxsize=8192)
def width_of(text: str, bold: bool = False, size: float = SIZE) -> float:
    """The width of a line of text, in the unit of its size."""
    return size * sum(_advance(character, bold) for character in text)


@lru_cache(maxsize=4096)
def _advance(character: str, bold: bool) -> float:
    if unicodedata.combining(character):
        return 0.0
    unknown = _WIDE_EM if unicodedata.east_asian_width(character) in "WF" else _UNKNOWN_EM
    return _advances(bold).get(ord(character), unknown)


def shortened(text: str, room: float, bold: bool = False, size: float = SIZE) -> str:
    """Text cut with … where it is wider than `room`.

    >>> shortened("Nettlefoot", 200.0), shortened("Nettlefoot", 34.0)
    ('Nettlefoot', 'Nettl…')
    """
    if width_of(text, bold, size) <= room:
        return text
    ends = list(accumulate(size * _advance(character, bold) for character in text))
    return text[: bisect_right(ends, room - width_of(CUT, bold, size))].rstrip() + CUT
