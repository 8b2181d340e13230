"""The key of a picture: each sign with its words, in as many lines as they need."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from consist.report.charts.drawing import Sheet, boxes_path, circle_path, lines_path, pointer_path
from consist.report.charts.lettering import shortened, width_of
from consist.report.charts.palette import FAINT, INK, SHADES, Levels, Shade

__all__ = ["Entry", "Key", "head_entry", "level_entries", "line_entry", "ring_entry", "swatch_entry", "words_entry"]

LINE = 13.0
SIGN = 16.0
"""The width of a sign, its gap to the words included."""
APART = 10.0
SWATCH_WIDTH, SWATCH_HEIGHT = 12.0, 8.0
SignDrawer = Callable[[Sheet, float, float], None]


@dataclass(frozen=True)
class Entry:
    """A sign, drawn with its left end at x and its middle at y, and its words."""

    words: str
    sign: SignDrawer | None = None

    @property
    def sign_width(self) -> float:
        """What the sign takes before the words."""
        return SIGN if self.sign is not None else 0.0


class Key:
    """Entries set one after another in lines of a width."""

    def __init__(self, entries: Sequence[Entry], width: float) -> None:
        self._width = width
        self._placed: list[tuple[float, int, Entry]] = []
        x, line = 0.0, 0
        for entry in entries:
            size = min(entry.sign_width + width_of(entry.words), width)
            if x > 0.0 and x + size > width:
                x, line = 0.0, line + 1
            self._placed.append((x, line, entry))
            x += size + APART
        self.height = LINE * (line + 1) if entries else 0.0

    def draw(self, sheet: Sheet, left: float, top: float) -> None:
        """Draw the key with its top left corner there."""
        for across, line, entry in self._placed:
            x, middle = left + across, top + (line + 0.5) * LINE
            if entry.sign is not None:
                entry.sign(sheet, x, middle)
            room = self._width - across - entry.sign_width
            sheet.text(x + entry.sign_width, middle + 3.2, shortened(entry.words, room))


def swatch_entry(shade: Shade, words: str) -> Entry:
    """A patch of a shade."""

    def sign(sheet: Sheet, x: float, y: float) -> None:
        box = (x, y - SWATCH_HEIGHT / 2, x + SWATCH_WIDTH, y + SWATCH_HEIGHT / 2)
        sheet.shape(boxes_path([box]), shade, edge=FAINT, width=0.5)

    return Entry(words, sign)


def level_entries(levels: Levels, *uses: float) -> list[Entry]:
    """The levels of side use, from the least to the most."""
    return [swatch_entry(shade, words) for shade, words in zip(SHADES, levels.legend(*uses), strict=True)]


def ring_entry(words: str) -> Entry:
    """The ring around what is pointed out."""

    def sign(sheet: Sheet, x: float, y: float) -> None:
        sheet.line(circle_path(x + SWATCH_WIDTH / 2, y, 4.5), INK, 1.5)

    return Entry(words, sign)


def head_entry(words: str) -> Entry:
    """The mark of the head end."""

    def sign(sheet: Sheet, x: float, y: float) -> None:
        sheet.shape(pointer_path(x + SWATCH_WIDTH / 2, y + 3.5), Shade(INK))

    return Entry(words, sign)


def line_entry(words: str, color: str, width: float, dashes: tuple[float, float] | None = None) -> Entry:
    """A line of its ink and width."""

    def sign(sheet: Sheet, x: float, y: float) -> None:
        sheet.line(lines_path([[(x, y), (x + SWATCH_WIDTH, y)]]), color, width, dashes=dashes)

    return Entry(words, sign)


def words_entry(words: str) -> Entry:
    """Words alone."""
    return Entry(words)
