"""A picture written: as SVG inside a page or alone in a file, on paper, or in pixels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from html import escape
from io import BytesIO
from typing import TYPE_CHECKING

import numpy as np
from reportlab.lib.colors import HexColor

from consist.report.charts.drawing import HATCH_APART, HATCH_WIDE, Chart, Dashes, Floats, Mark, Sheet, Word, hatching
from consist.report.charts.palette import PAPER
from consist.report.lettering import SIZE, font_file, font_names, printable, shortened, width_of
from consist.report.words import clean

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw as Pen
    from reportlab.pdfgen.canvas import Canvas

__all__ = ["draw_on", "headed", "inline_svg", "pdf_file", "picture_file", "png_file", "svg_file"]

FONT_FAMILY = "system-ui, sans-serif"
ANCHORS = {"left": "", "center": "middle", "right": "end"}
SHIFTS = {"left": 0.0, "center": 0.5, "right": 1.0}
DENSITY, FINER = 3, 2
"""Pixels for each drawing unit, sharp on any screen and in print; and how much finer it is drawn before that."""
MOST_AREA = 1_000_000.0
"""A larger picture is painted in fewer pixels."""
BASELINES, EDGE, BAND = (12.0, 24.0), 4.0, 32.0
"""The lines of a heading, its distance from the side, and how far the picture moves down for it."""


def headed(chart: Chart, whose: str) -> Chart:
    """The picture with whose it is and what it shows above it, to be passed round alone."""
    sheet = Sheet(chart.height + BAND, chart.width)
    for said, baseline, bold in zip((clean(whose), chart.title), BASELINES, (True, False), strict=True):
        sheet.text(EDGE, baseline, shortened(said, chart.width - 2.0 * EDGE, bold), bold=bold)
    for mark in chart.sheet.marks:
        if isinstance(mark, Word):
            sheet.marks.append(replace(mark, y=mark.y + BAND))
        else:
            sheet.marks.append(replace(mark, lines=tuple(line + np.array((0.0, BAND)) for line in mark.lines)))
    return replace(chart, title=f"{clean(whose)}: {chart.title}", sheet=sheet, along=None, track=())


def inline_svg(chart: Chart, prefix: str) -> str:
    """The picture as an element of an HTML page; its ids all begin with `prefix`, which must be a name of its own.

    It takes the page's font and the width that the page gives to the class `chart`.
    """
    return "".join(_parts(chart, prefix))


def picture_file(chart: Chart, title: str, ending: str) -> bytes:
    """The picture under a title as a file whose name ends in .svg, .png or .pdf."""
    return {".svg": svg_file, ".png": png_file, ".pdf": pdf_file}[ending](headed(chart, title))


def svg_file(chart: Chart) -> bytes:
    """The picture as a file of its own, on white."""
    ground = f'<rect width="{_short(chart.width)}" height="{_short(chart.height)}" fill="#fff"/>'
    parts = _parts(chart, chart.kind, FONT_FAMILY, ground)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{"".join(parts)}\n'.encode()


def _parts(chart: Chart, prefix: str, font: str = "", ground: str = "") -> Iterator[str]:
    root = {
        "xmlns": "http://www.w3.org/2000/svg",
        "class": f"chart chart-{chart.kind}",
        "viewBox": f"0 0 {_short(chart.width)} {_short(chart.height)}",
        "role": "img",
        "aria-labelledby": f"{prefix}-title {prefix}-desc",
        "font-size": f"{SIZE:g}",
        "stroke-linejoin": "round",
        "font-family": font,
    }
    yield f"<svg{_attributes(root)}>"
    for tag, words in (("title", chart.title), ("desc", chart.describe)):
        yield f'<{tag} id="{prefix}-{tag}">{escape(words)}</{tag}>'
    yield ground
    patterns: dict[tuple[str, str], str] = {}
    for mark in chart.sheet.marks:
        if isinstance(mark, Word):
            yield _word(mark)
            continue
        if mark.hatch and (mark.hatch, mark.ink) not in patterns:
            patterns[mark.hatch, mark.ink] = f"{prefix}-{len(patterns) + 1}"
            yield _pattern(mark, patterns[mark.hatch, mark.ink])
        yield _mark(mark, patterns.get((mark.hatch, mark.ink), ""))
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
        "d": "".join(_line(line, mark.closed) for line in mark.lines),
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
    drawn = "".join(ways[sign] for sign in mark.hatch)
    return (
        f'<defs><pattern id="{name}" width="{side}" height="{side}" patternUnits="userSpaceOnUse">'
        f'<path d="{drawn}" fill="none" stroke="{mark.ink}" stroke-width="{HATCH_WIDE:g}"/></pattern></defs>'
    )


def _attributes(said: dict[str, str]) -> str:
    return "".join(f' {name}="{value}"' for name, value in said.items() if value)


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


def pdf_file(chart: Chart) -> bytes:
    """The picture on one page as large as it is, a drawing unit being a point."""
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out, pagesize=(chart.width, chart.height), invariant=1, pageCompression=1)
    canvas.setTitle(printable(chart.title))
    canvas.setCreator("consist")
    canvas.setFillColor(HexColor(PAPER))
    canvas.rect(0.0, 0.0, chart.width, chart.height, stroke=0, fill=1)
    draw_on(canvas, chart.sheet, 0.0, 0.0, 1.0)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def draw_on(canvas: Canvas, sheet: Sheet, left: float, foot: float, scale: float) -> None:
    """Draw what is on a sheet with its lower left corner there, in points, a drawing unit being `scale` of them."""
    canvas.saveState()
    canvas.translate(left, foot)
    canvas.scale(scale, scale)
    canvas.setLineJoin(1)
    for mark in sheet.marks:
        if isinstance(mark, Word):
            text, x = _set(mark)
            canvas.setFont(font_names()[mark.bold], SIZE)
            canvas.setFillColor(HexColor(mark.ink))
            canvas.drawString(x, sheet.height - mark.y, text)
        else:
            _draw(canvas, _unhatched(mark), sheet.height)
    canvas.restoreState()


def _set(word: Word) -> tuple[str, float]:
    """Words in the letters of the print, and where they begin."""
    text = printable(word.text)
    return text, word.x - SHIFTS[word.anchor] * width_of(text, word.bold)


def _unhatched(mark: Mark) -> Mark:
    """The mark with its hatching as lines."""
    return replace(mark, lines=tuple(hatching(mark)), closed=False) if mark.hatch else mark


def _draw(canvas: Canvas, mark: Mark, height: float) -> None:
    path = canvas.beginPath()
    for line in mark.lines:
        (x, y), *others = line.tolist()
        path.moveTo(x, height - y)
        for x, y in others:
            path.lineTo(x, height - y)
        if mark.closed:
            path.close()
    if mark.fill:
        canvas.setFillColor(HexColor(mark.fill))
    if mark.ink:
        canvas.setStrokeColor(HexColor(mark.ink))
        canvas.setLineWidth(mark.width)
        canvas.setDash(list(mark.dashes or ()))
    canvas.drawPath(path, stroke=int(bool(mark.ink)), fill=int(bool(mark.fill)))


def png_file(chart: Chart) -> bytes:
    """The picture in pixels, on white."""
    from PIL import Image, ImageDraw, ImageFont

    density = DENSITY if chart.width * chart.height <= MOST_AREA else 2
    unit = density * FINER
    image = Image.new("RGB", (round(chart.width * unit), round(chart.height * unit)), PAPER)
    pen = ImageDraw.Draw(image)
    fonts = [ImageFont.truetype(font_file(bold), SIZE * unit) for bold in (False, True)]
    for mark in chart.sheet.marks:
        if isinstance(mark, Word):
            text, x = _set(mark)
            pen.text((x * unit, mark.y * unit), text, mark.ink, fonts[mark.bold], anchor="ls")
        else:
            _paint(pen, _unhatched(mark), unit)
    out = BytesIO()
    image.reduce(FINER).save(out, "PNG", optimize=density == DENSITY)
    return out.getvalue()


def _paint(pen: Pen, mark: Mark, unit: int) -> None:
    def scaled(line: Floats) -> list[tuple[float, float]]:
        return [(x * unit, y * unit) for x, y in line]

    for line in mark.lines:
        if mark.fill:
            pen.polygon(scaled(line), mark.fill)
    for line in mark.lines if mark.ink else ():
        whole = np.concatenate((line, line[:2])) if mark.closed else line
        for part in _dashed(whole, mark.dashes) if mark.dashes else [whole]:
            pen.line(scaled(part), mark.ink, max(round(mark.width * unit), 1), joint="curve")


def _dashed(line: Floats, dashes: Dashes) -> list[Floats]:
    """The dashes of a line, each of shape (2, 2): short enough to be straight."""
    at = np.concatenate(([0.0], np.hypot(*np.diff(line, axis=0).T).cumsum()))
    starts = np.arange(0.0, at[-1], sum(dashes))
    ends = np.stack((starts, np.minimum(starts + dashes[0], at[-1])), axis=1)
    x, y = (np.interp(ends, at, line[:, k]) for k in (0, 1))
    return list(np.stack((x, y), axis=2))
