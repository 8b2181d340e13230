"""A sheet to draw on: shapes, lines and words from its top left corner, with x to the right and y down.

Whatever writes a picture, as SVG, on paper or in pixels, writes these marks and nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from consist.report.charts.palette import INK, PAPER, Shade
from consist.report.document import ChartKind

__all__ = [
    "WIDTH",
    "Along",
    "Chart",
    "Mark",
    "Path",
    "Sheet",
    "Word",
    "boxes_path",
    "circle_path",
    "hatching",
    "pointer_path",
]

Floats = NDArray[np.float64]
Anchor = Literal["left", "center", "right"]
Dashes = tuple[float, float]
WIDTH = 340.0
"""Every picture is as wide as this, so that its lettering can be read on a phone held upright."""
HATCH_APART, HATCH_WIDE = 4.5, 0.85
"""How far hatching lines are apart along a side, and how wide they are."""
CIRCLE_POINTS = 32


@dataclass(frozen=True)
class Path:
    """Lines, each of shape (points, 2); `closed` is whether each ends where it began."""

    lines: tuple[Floats, ...]
    closed: bool = False

    @property
    def points(self) -> Floats:
        """Every point, of shape (points, 2)."""
        return np.concatenate(self.lines) if self.lines else np.empty((0, 2))


Drawn = Path | Sequence[ArrayLike]
"""A path, or the points of its lines, each of shape (points, 2)."""


@dataclass(frozen=True)
class Mark:
    """A path drawn: filled where it has a `fill`, hatched where it has a `hatch`, a line along it where it has `ink`.

    `label` names it for those who read the drawing back. Only boxes are hatched.
    """

    path: Path
    label: str = ""
    fill: str = ""
    hatch: str = ""
    ink: str = ""
    width: float = 0.7
    dashes: Dashes | None = None


@dataclass(frozen=True)
class Word:
    """A line of text, its baseline at `y`."""

    x: float
    y: float
    text: str
    anchor: Anchor = "left"
    bold: bool = False
    ink: str = INK


@dataclass
class Sheet:
    """What is drawn lies over what was drawn before."""

    height: float = 0.0
    width: float = WIDTH
    marks: list[Mark | Word] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.ends_at(self.height)

    def ends_at(self, y: float) -> None:
        """Cut the sheet there, below everything drawn."""
        self.height = float(ceil(y))

    def text(
        self, x: float, y: float, text: str, *, anchor: Anchor = "left", bold: bool = False, color: str = INK
    ) -> None:
        """A line of text, its baseline at `y`."""
        if text:
            self.marks.append(Word(float(x), float(y), text, anchor, bold, color))

    def shape(self, drawn: Drawn, shade: Shade, label: str = "", *, edge: str = "", width: float = 0.7) -> None:
        """A filled shape, with an outline where `edge` gives its ink; hatched shapes are filled first."""
        path = _path(drawn, closed=True)
        self._add(Mark(path, label, shade.fill, ink="" if shade.hatch else edge, width=width))
        if shade.hatch:
            self._add(Mark(path, f"{label} hatch", hatch=shade.hatch, ink=shade.hatch_ink, width=HATCH_WIDE))
            if edge:
                self.line(path, edge, width, f"{label} edge")

    def line(
        self, drawn: Drawn, color: str = INK, width: float = 0.7, label: str = "", *, dashes: Dashes | None = None
    ) -> None:
        """Lines along a path; `dashes` are those and the gaps between them, in widths of the line."""
        long = None if dashes is None else (dashes[0] * width, dashes[1] * width)
        self._add(Mark(_path(drawn), label, ink=color, width=width, dashes=long))

    def ring(self, x: float, y: float, radius: float = 8.0, label: str = "ring") -> None:
        """A ring around a point, with a light rim that sets it off from any ground."""
        circle = circle_path(x, y, radius)
        self.line(circle, PAPER, 3.0)
        self.line(circle, INK, 1.6, label)

    def _add(self, mark: Mark) -> None:
        if mark.path.lines:
            self.marks.append(mark)


@dataclass(frozen=True)
class Along:
    """A plot area, y down, whose x axis runs evenly over the route from its start to `route_mm`.

    `head_mm` is where the head end is at the worst moment, None where there is none. `words` tell where the head end
    is, at places evenly from the start of the route to its end.
    """

    left: float
    top: float
    right: float
    bottom: float
    route_mm: float
    head_mm: float | None = None
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class Chart:
    """A picture: its sheet, and its words for those who cannot see it.

    `along` is set where a marker may follow the head along the route; `track`, of a plan only, has points evenly
    spaced along the route from its start to its end.
    """

    kind: ChartKind
    title: str
    describe: str
    sheet: Sheet
    along: Along | None = None
    track: tuple[tuple[float, float], ...] = ()

    @property
    def width(self) -> float:
        """In drawing units."""
        return self.sheet.width

    @property
    def height(self) -> float:
        """In drawing units."""
        return self.sheet.height


def boxes_path(boxes: ArrayLike) -> Path:
    """Rectangles as one path: `boxes` of shape (boxes, 4) has left, top, right, bottom."""
    left, top, right, bottom = np.asarray(boxes, dtype=np.float64).reshape(-1, 4).T
    corners = np.stack([left, top, right, top, right, bottom, left, bottom], axis=1)
    return Path(tuple(corners.reshape(-1, 4, 2)), closed=True)


def _path(drawn: Drawn, closed: bool = False) -> Path:
    if isinstance(drawn, Path):
        return drawn
    return Path(tuple(np.asarray(line, dtype=np.float64).reshape(-1, 2) for line in drawn), closed)


def circle_path(x: float, y: float, radius: float) -> Path:
    """A circle, of corners so near to each other that it is round in any print."""
    turn = np.linspace(0.0, 2.0 * np.pi, CIRCLE_POINTS, endpoint=False)
    return Path((np.stack((x + radius * np.cos(turn), y + radius * np.sin(turn)), axis=1),), closed=True)


def pointer_path(x: float, y: float) -> Path:
    """A small triangle that points down at a point."""
    return _path([[(x, y), (x - 3.5, y - 7.0), (x + 3.5, y - 7.0)]], closed=True)


def hatching(path: Path, hatch: str) -> list[Floats]:
    """The lines that hatch boxes, each of shape (2, 2), by the signs of `hatch`: / or \\ or both."""
    lines = []
    for way in (sign for sign in "/\\" if sign in hatch):
        for corners in path.lines:
            (left, top), (right, bottom) = corners.min(axis=0), corners.max(axis=0)
            if way == "\\":  # as the other way, seen in a mirror
                left, right = -right, -left
            first, last = (ceil(end / HATCH_APART) for end in (left + top, right + bottom))
            for over in np.arange(first, last) * HATCH_APART:
                ends = np.array([max(left, over - bottom), min(right, over - top)])
                x = -ends if way == "\\" else ends
                lines.append(np.stack((x, over - ends), axis=1))
    return lines
