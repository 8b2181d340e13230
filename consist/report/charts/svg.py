"""A picture as SVG that may stand inside a page, many on one page, or alone in a file."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from consist.report.charts.drawing import HATCH_APART, HATCH_WIDE, Chart, Floats, Mark, Path, Word
from consist.report.lettering import SIZE

__all__ = ["inline_svg", "svg_file"]

NAMESPACE = "http://www.w3.org/2000/svg"
FONT_FAMILY = "system-ui, sans-serif"
ANCHORS = {"left": "", "center": "middle", "right": "end"}


def inline_svg(chart: Chart, prefix: str) -> str:
    """The picture as an element of an HTML page; its ids all begin with `prefix`, which must be a name of its own.

    It takes the page's font and the width that the page gives to the class `chart`.
    """
    return "".join(_parts(chart, prefix))


def svg_file(chart: Chart) -> bytes:
    """The picture as a file of its own, on white."""
    ground = f'<rect width="{_short(chart.width)}" height="{_short(chart.height)}" fill="#fff"/>'
    text = "".join(_parts(chart, chart.kind, {"font-family": FONT_FAMILY}, ground))
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


def _parts(chart: Chart, prefix: str, more: dict[str, str] | None = None, ground: str = "") -> Iterator[str]:
    root = {
        "xmlns": NAMESPACE,
        "class": f"chart chart-{chart.kind}",
        "viewBox": f"0 0 {_short(chart.width)} {_short(chart.height)}",
        "role": "img",
        "aria-labelledby": f"{prefix}-title {prefix}-desc",
        "font-size": f"{SIZE:g}",
        "stroke-linejoin": "round",
        **(more or {}),
    }
    yield f"<svg{_attributes(root)}>"
    for tag, words in (("title", chart.title), ("desc", chart.describe)):
        yield f'<{tag} id="{prefix}-{tag}">{escape(words)}</{tag}>'
    yield ground
    names: dict[tuple[str, str], str] = {}
    for mark in chart.sheet.marks:
        if isinstance(mark, Word):
            yield _word(mark)
            continue
        if mark.hatch and (mark.hatch, mark.ink) not in names:
            names[mark.hatch, mark.ink] = f"{prefix}-{len(names) + 1}"
            yield _pattern(mark, names[mark.hatch, mark.ink])
        yield _mark(mark, names.get((mark.hatch, mark.ink), ""))
    yield "</svg>"


def _word(word: Word) -> str:
    said = {
        "x": _short(word.x),
        "y": _short(word.y),
        "fill": word.ink,
        "text-anchor": ANCHORS[word.anchor],
        "font-weight": "700" if word.bold else "",
    }
    return f"<text{_attributes(said)}>{escape(word.text)}</text>"


def _mark(mark: Mark, pattern: str) -> str:
    lined = bool(mark.ink) and not mark.hatch
    said = {
        "d": _path(mark.path),
        "fill": f"url(#{pattern})" if pattern else mark.fill or "none",
        "stroke": mark.ink if lined else "",
        "stroke-width": _short(mark.width) if lined else "",
        "stroke-dasharray": " ".join(map(_short, mark.dashes or ())),
    }
    return f"<path{_attributes(said)}/>"


def _pattern(mark: Mark, name: str) -> str:
    """Lines across a square, and past its corners so that they meet their neighbours."""
    side = _short(HATCH_APART)
    over, under = _short(HATCH_APART + 1.0), _short(HATCH_APART - 1.0)
    ways = {"/": f"M-1 1 1-1M0 {side} {side} 0M{under} {over} {over} {under}",
            "\\": f"M{under}-1 {over} 1M0 0 {side} {side}M-1 {under} 1 {over}"}  # fmt: skip
    drawn = "".join(ways[sign] for sign in "/\\" if sign in mark.hatch)
    return (
        f'<defs><pattern id="{name}" width="{side}" height="{side}" patternUnits="userSpaceOnUse">'
        f'<path d="{drawn}" fill="none" stroke="{mark.ink}" stroke-width="{HATCH_WIDE:g}"/></pattern></defs>'
    )


def _attributes(said: dict[str, str]) -> str:
    return "".join(f' {name}="{escape(value)}"' for name, value in said.items() if value)


def _path(path: Path) -> str:
    return "".join(_line(line, path.closed) for line in path.lines)


def _line(points: Floats, closed: bool) -> str:
    """A line with short figures, across and down by one figure alone, and no step to where it is already."""
    figures = [(_short(x), _short(y)) for x, y in points.tolist()]
    x, y = figures[0]
    said = [f"M{x} {y}"]
    for to_x, to_y in figures[1:]:
        if to_y == y:
            said.append("" if to_x == x else f"H{to_x}")
        else:
            said.append(f"V{to_y}" if to_x == x else f"L{to_x} {to_y}")
        x, y = to_x, to_y
    return "".join(said) + ("Z" if closed else "")


def _short(value: float) -> str:
    """A figure to two places."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
