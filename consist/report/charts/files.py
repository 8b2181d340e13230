"""A picture on a page of paper, and as a file for a screen or for print."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import numpy as np
from PIL import Image, ImageDraw, ImageFont
from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas

from consist.report.charts.drawing import Chart, Floats, Mark, Sheet, Word, hatching
from consist.report.charts.palette import PAPER
from consist.report.lettering import SIZE, font_file, font_names, printable, shortened, width_of
from consist.report.words import clean

__all__ = ["draw_on", "headed", "pdf_file", "png_file"]

SHIFTS = {"left": 0.0, "center": 0.5, "right": 1.0}
DENSITY, FINER = 3, 2
"""Pixels for each drawing unit, sharp on any screen and in print; and how much finer it is drawn before that."""
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
            lines = tuple(line + np.array((0.0, BAND)) for line in mark.path.lines)
            sheet.marks.append(replace(mark, path=replace(mark.path, lines=lines)))
    along = chart.along
    if along is not None:
        along = replace(along, top=along.top + BAND, bottom=along.bottom + BAND)
    track = tuple((x, y + BAND) for x, y in chart.track)
    return replace(chart, title=f"{clean(whose)}: {chart.title}", sheet=sheet, along=along, track=track)


def pdf_file(chart: Chart) -> bytes:
    """The picture on one page as large as it is, a drawing unit being a point."""
    out = BytesIO()
    font_names()
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
            _set(canvas, mark, sheet.height)
        else:
            _draw(canvas, mark, sheet.height)
    canvas.restoreState()


def _set(canvas: Canvas, word: Word, height: float) -> None:
    text, font = printable(word.text), font_names()[word.bold]
    canvas.setFont(font, SIZE)
    canvas.setFillColor(HexColor(word.ink))
    canvas.drawString(word.x - SHIFTS[word.anchor] * width_of(text, word.bold), height - word.y, text)


def _draw(canvas: Canvas, mark: Mark, height: float) -> None:
    path = canvas.beginPath()
    lines = hatching(mark.path, mark.hatch) if mark.hatch else mark.path.lines
    for line in lines:
        (x, y), *others = line.tolist()
        path.moveTo(x, height - y)
        for x, y in others:
            path.lineTo(x, height - y)
        if mark.path.closed and not mark.hatch:
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
    unit = DENSITY * FINER
    size = (round(chart.width * unit), round(chart.height * unit))
    image = Image.new("RGB", size, PAPER)
    pen = ImageDraw.Draw(image)
    fonts = [ImageFont.truetype(font_file(bold), SIZE * unit) for bold in (False, True)]
    for mark in chart.sheet.marks:
        if isinstance(mark, Word):
            text = printable(mark.text)
            x = mark.x - SHIFTS[mark.anchor] * width_of(text, mark.bold)
            pen.text((x * unit, mark.y * unit), text, mark.ink, fonts[mark.bold], anchor="ls")
        else:
            _paint(pen, mark, unit)
    out = BytesIO()
    image.reduce(FINER).save(out, "PNG", optimize=True)
    return out.getvalue()


def _paint(pen: ImageDraw.ImageDraw, mark: Mark, unit: int) -> None:
    if mark.fill:
        for line in mark.path.lines:
            pen.polygon([(x * unit, y * unit) for x, y in line], mark.fill)
    if not mark.ink:
        return
    lines = hatching(mark.path, mark.hatch) if mark.hatch else mark.path.lines
    wide = max(round(mark.width * unit), 1)
    for line in lines:
        whole = np.concatenate((line, line[:2])) if mark.path.closed and not mark.hatch else line
        for part in _dashed(whole, mark.dashes) if mark.dashes else [whole]:
            pen.line([(x * unit, y * unit) for x, y in part], mark.ink, wide, joint="curve")


def _dashes(long: float, dashes: tuple[float, float]) -> Floats:
    """Where along a line each dash begins and ends, of shape (dashes, 2)."""
    starts = np.arange(0.0, long, sum(dashes))
    return np.stack((starts, np.minimum(starts + dashes[0], long)), axis=1)


def _dashed(line: Floats, dashes: tuple[float, float]) -> list[Floats]:
    """The dashes of a line, each of shape (2, 2): short enough to be straight."""
    at = np.concatenate(([0.0], np.hypot(*np.diff(line, axis=0).T).cumsum()))
    ends = _dashes(float(at[-1]), dashes)
    x, y = (np.interp(ends, at, line[:, k]) for k in (0, 1))
    return list(np.stack((x, y), axis=2))
