"""Pictures made ready for the page, with what the marker that follows along the route goes by."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from consist.report.charts import Chart, inline_svg
from consist.report.document import Picture

__all__ = ["PictureView", "picture_view"]

WHOLE = 100.0


@dataclass(frozen=True)
class PictureView:
    """A picture drawn. `along` (left, top, right, bottom) and `track` (points x,y) are in per cent of its sides.

    Either is empty where the picture has no place for a marker. `route_mm` is the length that `along` runs over.
    """

    picture: Picture
    anchor: str
    svg: Markup
    along: str
    track: str
    route_mm: float | None

    @property
    def followed(self) -> bool:
        """Whether a marker of the head end can be shown on it."""
        return bool(self.along or self.track)


def picture_view(picture: Picture, chart: Chart, anchor: str) -> PictureView:
    """The picture with its markup, whose own anchors all begin with `anchor`."""
    route_mm = chart.along.route_mm if chart.along is not None else None
    return PictureView(picture, anchor, Markup(inline_svg(chart, anchor)), _along(chart), _track(chart), route_mm)


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
