"""Lettering: how wide text is, text cut to a room, and the artist that sets it.

Widths are those of the plotting library's own font, which is wider than most, so that what fits here fits in the
reader's font too.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

import matplotlib
import numpy as np
from matplotlib.backend_bases import RendererBase
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.font_manager import FontProperties
from matplotlib.ft2font import FT2Font
from matplotlib.text import Text

__all__ = ["SIZE", "Word", "font", "lines_of", "shortened", "width_of"]

SIZE = 9.0
"""The size of all lettering, in drawing units."""
CUT = "…"
_MEASURED_AT = 100.0
_WIDE_EM, _UNKNOWN_EM = 1.0, 0.65
"""What a character takes that the font does not have: a wide one of the East, and any other."""


@lru_cache(maxsize=2)
def font(bold: bool = False) -> FontProperties:
    """The font, by its file, so that no list of the machine's fonts is asked."""
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return FontProperties(
        family="sans-serif",
        weight="bold" if bold else "normal",
        size=SIZE,
        fname=str(Path(matplotlib.get_data_path(), "fonts", "ttf", name)),
    )


@lru_cache(maxsize=2)
def _face(bold: bool) -> FT2Font:
    face = FT2Font(str(font(bold).get_file()))
    face.set_size(_MEASURED_AT, 72.0)
    return face


@lru_cache(maxsize=4096)
def _advance(character: str, bold: bool) -> float:
    """How far a character moves the next one, in ems."""
    if unicodedata.combining(character):
        return 0.0
    face = _face(bold)
    if face.get_char_index(ord(character)) == 0:
        return _WIDE_EM if unicodedata.east_asian_width(character) in "WF" else _UNKNOWN_EM
    return float(face.load_char(ord(character)).linearHoriAdvance) / 65536.0 / _MEASURED_AT


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


def lines_of(words: Sequence[str], room: float) -> list[str]:
    """Words set in as few lines as `room` allows; one that is wider than a line is cut.

    >>> lines_of(["one", "two", "three"], 40.0)
    ['one two', 'three']
    """
    lines: list[str] = []
    for word in words:
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(joined) <= room:
            lines[-1] = joined
        else:
            lines.append(shortened(word, room))
    return lines


class Word(Text):
    """One line of text on its baseline.

    The library's own text lays every line out anew for its height and turning, which is most of the time that a
    picture takes. This one needs neither.
    """

    def draw(self, renderer: RendererBase) -> None:
        """Set the line; a drawing in SVG is told the anchor, any other where the line begins."""
        text = self.get_text()
        if not text:
            return
        x, y = np.asarray(self.get_transform().transform(self.get_unitless_position()), dtype=np.float64)
        if not isinstance(renderer, RendererSVG):
            shift = {"left": 0.0, "center": 0.5, "right": 1.0}[self.get_horizontalalignment()]
            size, bold = float(self.get_fontsize()), self.get_fontweight() == "bold"
            x -= shift * float(np.asarray(renderer.points_to_pixels(width_of(text, bold, size)), dtype=np.float64))
        if renderer.flipy():
            y = renderer.get_canvas_width_height()[1] - y
        context = renderer.new_gc()
        context.set_foreground(self.get_color())
        renderer.draw_text(
            context, float(x), float(y), text, self.get_fontproperties(), 0.0, ismath=False, mtext=self
        )
        context.restore()
        self.stale = False
