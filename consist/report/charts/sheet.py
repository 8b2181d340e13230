"""A sheet to draw on: one figure in drawing units, from its top left corner, with x to the right and y down."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Literal

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.transforms import Affine2D
from numpy.typing import ArrayLike, NDArray

from consist.report.charts.lettering import Word, font
from consist.report.charts.palette import INK, PAPER, Shade

__all__ = ["WIDTH", "Anchor", "Sheet", "boxes_path", "circle_path", "lines_path", "pointer_path"]

Floats = NDArray[np.float64]
Anchor = Literal["left", "center", "right"]
WIDTH = 340.0
"""Every picture is as wide as this, so that its lettering can be read on a phone held upright."""
POINTS_PER_INCH = 72.0
BOX_CODES = np.array([Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY], dtype=Path.code_type)


class Sheet:
    """What is drawn lies over what was drawn before. `label` names a shape for those who read the figure back."""

    def __init__(self, height: float, width: float = WIDTH) -> None:
        self.width, self.height = width, float(ceil(height))
        self.figure = Figure(figsize=(width / POINTS_PER_INCH, self.height / POINTS_PER_INCH), dpi=POINTS_PER_INCH)
        self.figure.patch.set_visible(False)
        self._units = (
            Affine2D().scale(1.0, -1.0).translate(0.0, self.height).scale(1.0 / POINTS_PER_INCH)
            + self.figure.dpi_scale_trans
        )

    def text(
        self, x: float, y: float, text: str, *, anchor: Anchor = "left", bold: bool = False, color: str = INK
    ) -> None:
        """A line of text, its baseline at `y`."""
        word = Word(x, y, text, color=color, horizontalalignment=anchor, fontproperties=font(bold), parse_math=False)
        word.set_transform(self._units)
        self.figure.add_artist(word)

    def shape(
        self, path: Path, shade: Shade, label: str = "", *, edge: str | None = None, width: float = 0.7
    ) -> None:
        """A filled shape, with an outline where `edge` gives its ink; hatched shapes are filled first."""
        if _empty(path):
            return
        stroke = edge if edge is not None and not shade.hatch else "none"
        filled = PathPatch(
            path,
            facecolor=shade.fill,
            edgecolor=stroke,
            linewidth=0.0 if stroke == "none" else width,
            joinstyle="round",
        )
        self._add(filled, label)
        if shade.hatch:
            hatched = PathPatch(path, facecolor="none", edgecolor=shade.hatch_ink, linewidth=0.0, hatch=shade.hatch)
            self._add(hatched, f"{label} hatch")
            if edge is not None:
                self.line(path, edge, width, f"{label} edge")

    def line(
        self,
        path: Path,
        color: str = INK,
        width: float = 0.7,
        label: str = "",
        *,
        dashes: tuple[float, float] | None = None,
    ) -> None:
        """A line along a path."""
        if _empty(path):
            return
        style = (0.0, dashes) if dashes is not None else "solid"
        patch = PathPatch(
            path,
            fill=False,
            edgecolor=color,
            linewidth=width,
            linestyle=style,
            capstyle="butt",
            joinstyle="round",
        )
        self._add(patch, label)

    def ring(self, x: float, y: float, radius: float = 8.0, label: str = "ring") -> None:
        """A ring around a point, with a light rim that sets it off from any ground."""
        circle = circle_path(x, y, radius)
        self.line(circle, PAPER, 3.0)
        self.line(circle, INK, 1.6, label)

    def _add(self, patch: PathPatch, label: str) -> None:
        patch.set_transform(self._units)
        patch.set_label(label)
        self.figure.add_artist(patch)


def _empty(path: Path) -> bool:
    return np.size(path.vertices) == 0


def boxes_path(boxes: ArrayLike) -> Path:
    """Rectangles as one path: `boxes` of shape (boxes, 4) has left, top, right, bottom."""
    left, top, right, bottom = np.asarray(boxes, dtype=np.float64).reshape(-1, 4).T
    corners = np.stack([left, top, right, top, right, bottom, left, bottom, left, top], axis=1)
    return Path(corners.reshape(-1, 2), np.tile(BOX_CODES, len(left)))


def lines_path(lines: Sequence[ArrayLike], closed: bool = False) -> Path:
    """Lines, each of shape (points, 2), as one path."""
    if not lines:
        return Path(np.empty((0, 2)))
    vertices, codes = [], []
    for line in lines:
        points = np.asarray(line, dtype=np.float64).reshape(-1, 2)
        if closed:
            points = np.concatenate((points, points[:1]))
        code = np.full(len(points), Path.LINETO, dtype=Path.code_type)
        code[0] = Path.MOVETO
        if closed:
            code[-1] = Path.CLOSEPOLY
        vertices.append(points)
        codes.append(code)
    return Path(np.concatenate(vertices), np.concatenate(codes))


def circle_path(x: float, y: float, radius: float) -> Path:
    """A circle."""
    circle = Path.unit_circle()
    return Path(np.asarray(circle.vertices) * radius + (x, y), circle.codes)


def pointer_path(x: float, y: float) -> Path:
    """A small triangle that points down at a point."""
    return lines_path([[(x, y), (x - 3.5, y - 7.0), (x + 3.5, y - 7.0)]], closed=True)
