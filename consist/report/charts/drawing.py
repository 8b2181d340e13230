"""A sheet to draw on: shapes, lines and words from its top left corner, with x to the right and y down.

Whatever writes a picture, as SVG, on paper or in pixels, writes these marks and nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import product
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
MIRRORS = {"/": (1.0, 1.0), "\\": (-1.0, 1.0)}
CIRCLE_POINTS = 32
OUTLINE = Shade("")
Drawn = Sequence[ArrayLike] | Floats
"""The points of lines, each of shape (points, 2)."""


@dataclass(frozen=True)
class Mark:
    """Lines: what they enclose has a `fill` or a `hatch`, and along them is drawn where there is `ink`.

    Each is of shape (points, 2), and ends where it began if they are `closed`. `label` names the mark for those who
    read the drawing back. Only boxes are hatched.
    """

    lines: tuple[Floats, ...]
    label: str = ""
    closed: bool = False
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

    def shape(
        self, drawn: Drawn, shade: Shade = OUTLINE, label: str = "", *, edge: str = "", width: float = 0.7
    ) -> None:
        """A closed shape, filled and then hatched, with an outline where `edge` gives its ink."""
        hatch = shade.hatch
        self._add(drawn, Mark((), label, True, shade.fill, ink="" if hatch else edge, width=width))
        if hatch:
            self._add(drawn, Mark((), f"{label} hatch", True, hatch=hatch, ink=shade.hatch_ink, width=HATCH_WIDE))
            if edge:
                self._add(drawn, Mark((), f"{label} edge", True, ink=edge, width=width))

    def line(
        self, drawn: Drawn, color: str = INK, width: float = 0.7, label: str = "", *, dashes: Dashes | None = None
    ) -> None:
        """Open lines; `dashes` are those and the gaps between them, in widths of the line."""
        long = None if dashes is None else (dashes[0] * width, dashes[1] * width)
        self._add(drawn, Mark((), label, ink=color, width=width, dashes=long))

    def ring(self, x: float, y: float, radius: float = 8.0) -> None:
        """A ring around the worst, with a light rim that sets it off from any ground."""
        circle = circle_path(x, y, radius)
        self.shape(circle, edge=PAPER, width=3.0)
        self.shape(circle, label="worst", edge=INK, width=1.6)

    def _add(self, drawn: Drawn, mark: Mark) -> None:
        if len(drawn):
            lines = tuple(np.asarray(line, dtype=np.float64).reshape(-1, 2) for line in drawn)
            self.marks.append(replace(mark, lines=lines))


@dataclass(frozen=True)
class Along:
    """A plot area, y down, whose x axis runs evenly over the route from its start to `route_mm`.

    `head_mm` is where the head end is at the worst moment, None where there is none, and `train_mm` the length of the
    train then, told of the profile alone. `words` tell where the head end
    is, at places evenly from the start of the route to its end. `uses`, of the picture of side use,
    has the greatest of each car in even stretches, None where it is not in the train.
    """

    left: float
    top: float
    right: float
    bottom: float
    route_mm: float
    head_mm: float | None = None
    train_mm: float = 0.0
    words: tuple[str, ...] = ()
    uses: tuple[tuple[float | None, ...], ...] = ()


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


def boxes_path(boxes: ArrayLike) -> Floats:
    """The corners of rectangles, of shape (boxes, 4, 2), from the left, top, right and bottom of each."""
    return np.asarray(boxes, dtype=np.float64).reshape(-1, 4)[:, [0, 1, 2, 1, 2, 3, 0, 3]].reshape(-1, 4, 2)


def circle_path(x: float, y: float, radius: float) -> Floats:
    """A circle, of corners so near to each other that it is round in any print."""
    turn = np.linspace(0.0, 2.0 * np.pi, CIRCLE_POINTS, endpoint=False)
    return np.stack((x + radius * np.cos(turn), y + radius * np.sin(turn)), axis=1)[None]


def pointer_path(x: float, y: float) -> Drawn:
    """A small triangle that points down at a point."""
    return [[(x, y), (x - 3.5, y - 7.0), (x + 3.5, y - 7.0)]]


def hatching(mark: Mark) -> list[Floats]:
    """The lines that hatch boxes, each of shape (2, 2)."""
    lines = []
    for sign, corners in product(mark.hatch, mark.lines):
        mirrored = corners * MIRRORS[sign]
        (left, top), (right, bottom) = mirrored.min(axis=0), mirrored.max(axis=0)
        first, last = (ceil(end / HATCH_APART) for end in (left + top, right + bottom))
        for over in np.arange(first, last) * HATCH_APART:
            x = np.array([max(left, over - bottom), min(right, over - top)])
            lines.append(np.stack((x, over - x), axis=1) * MIRRORS[sign])
    return lines
