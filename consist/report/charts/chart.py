"""A picture ready to be written, and where its plot lies."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import matplotlib
from matplotlib.figure import Figure

from consist.report.charts.sheet import Sheet
from consist.report.document import ChartKind

__all__ = ["Along", "Chart", "chart_of", "own_settings"]

SETTINGS: dict[Any, Any] = {
    "font.family": ["sans-serif"],
    "hatch.linewidth": 0.85,
    "path.simplify": True,
    "path.simplify_threshold": 0.1,
    "path.sketch": None,
    "path.effects": [],
    "path.snap": True,
    "pdf.compression": 6,
    "pdf.fonttype": 42,
    "pdf.inheritcolor": False,
    "pdf.use14corefonts": False,
    "savefig.bbox": None,
    "svg.fonttype": "none",
    "svg.hashsalt": "consist",
    "svg.id": None,
    "patch.antialiased": True,
    "text.antialiased": True,
    "text.usetex": False,
}
"""What a reader's own settings of the library might change in a picture."""


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
    """A picture: its figure, `width` by `height` drawing units from the top left corner, and its words.

    `describe` tells in plain sentences what is to be seen. `along` is where a marker may follow the head along the
    route; `track`, of a plan only, has points evenly spaced along the route from its start to its end.
    """

    kind: ChartKind
    title: str
    describe: str
    figure: Figure
    width: float
    height: float
    along: Along | None = None
    track: tuple[tuple[float, float], ...] = ()


@contextmanager
def own_settings() -> Iterator[None]:
    """The library's settings as pictures need them, whatever the reader has set."""
    with matplotlib.rc_context(SETTINGS):
        yield


def chart_of(
    kind: ChartKind,
    title: str,
    describe: str,
    sheet: Sheet,
    along: Along | None = None,
    track: tuple[tuple[float, float], ...] = (),
) -> Chart:
    """The picture on a sheet."""
    return Chart(kind, title, describe, sheet.figure, sheet.width, sheet.height, along, track)
