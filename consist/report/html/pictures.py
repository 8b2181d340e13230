"""Pictures made ready for the page, with what the marker that follows along the route goes by."""

from __future__ import annotations

import json
from dataclasses import dataclass

from markupsafe import Markup

from consist.report.charts import Chart, inline_svg
from consist.report.document import Picture

__all__ = ["PictureView", "picture_view"]

WHOLE = 100.0


@dataclass(frozen=True)
class PictureView:
    """A picture drawn. `along` (left, top, right, bottom) and `track` (points x,y) are in per cent of its sides.

    Either is empty where the picture has no place for a marker. `words` tell, as JSON, where the head end is at
    places evenly along the route, empty where another picture does; `start` numbers the one nearest to the worst.
    """

    picture: Picture
    anchor: str
    svg: Markup
    along: str
    track: str
    words: str
    start: int

    @property
    def followed(self) -> bool:
        """Whether a marker of the head end can be shown on it."""
        return bool(self.along or self.track)


def picture_view(picture: Picture, chart: Chart, anchor: str) -> PictureView:
    """The picture with its markup, whose own anchors all begin with `anchor`."""
    svg = Markup(inline_svg(chart, anchor))
    words, start = _words(chart)
    return PictureView(picture, anchor, svg, _along(chart), _track(chart), words, start)


def _words(chart: Chart) -> tuple[str, int]:
    along = chart.along
    if along is None or not along.words:
        return "", 0
    share = (along.head_mm or 0.0) / along.route_mm if along.route_mm > 0.0 else 0.0
    return json.dumps(along.words, ensure_ascii=False), round(share * (len(along.words) - 1))


def _along(chart: Chart) -> str:
    if chart.along is None:
        return ""
    plot, wide, high = chart.along, chart.width, chart.height
    shares = (plot.left / wide, plot.top / high, plot.right / wide, plot.bottom / high)
    return " ".join(_percent(share) for share in shares)


def _track(chart: Chart) -> str:
    return " ".join(f"{_percent(x / chart.width)},{_percent(y / chart.height)}" for x, y in chart.track)


def _percent(share: float) -> str:
    return f"{WHOLE * share:.2f}"
