"""A picture as SVG that may stand inside a page, many on one page, or alone in a file.

The plotting library's own output has a style that reaches the whole page, ids that clash, and a good deal that
nobody reads; what is written here is its shapes and words alone.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from xml.etree import ElementTree

from matplotlib.backends.backend_svg import FigureCanvasSVG

from consist.report.charts.chart import Chart, own_settings
from consist.report.charts.lettering import SIZE
from consist.report.charts.quiet import without_warnings

__all__ = ["inline_svg", "svg_file"]

NAMESPACE = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"
NUMBER = re.compile(r"-?\d+\.\d+(?:e-?\d+)?")
TOKEN = re.compile(r"[A-Za-z]|-?\d*\.?\d+(?:e[-+]?\d+)?")
REFERENCE = re.compile(r"url\(#([^)]+)\)")
FONT_FAMILY = "system-ui, sans-serif"
DEFAULTS = {
    "stroke-linejoin": "round",
    "stroke-linecap": "butt",
    "stroke-miterlimit": "100000",
    "text-anchor": "start",
    "font-size": f"{SIZE:g}px",
    "stroke": "none",
}
"""What the root says for all, or what SVG takes for granted."""
DROPPED_TAGS = ("metadata", "style")
Element = ElementTree.Element


def inline_svg(chart: Chart, prefix: str) -> str:
    """The picture as an element of an HTML page; its ids all begin with `prefix`, which must be a name of its own.

    It takes the page's font and the width that the page gives to the class `chart`.
    """
    return ElementTree.tostring(_element(chart, prefix), encoding="unicode")


def svg_file(chart: Chart) -> bytes:
    """The picture as a file of its own, on white."""
    root = _element(chart, chart.kind)
    root.set("font-family", FONT_FAMILY)
    paper = ElementTree.Element(
        "rect", {"width": _short(chart.width), "height": _short(chart.height), "fill": "#fff"}
    )
    root.insert(2, paper)
    text = ElementTree.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


def _element(chart: Chart, prefix: str) -> Element:
    root = Element(
        "svg",
        {
            "xmlns": NAMESPACE.strip("{}"),
            "class": f"chart chart-{chart.kind}",
            "viewBox": f"0 0 {_short(chart.width)} {_short(chart.height)}",
            "role": "img",
            "aria-labelledby": f"{prefix}-title {prefix}-desc",
            "font-size": f"{SIZE:g}",
            "stroke-linejoin": "round",
        },
    )
    for tag, words in (("title", chart.title), ("desc", chart.describe)):
        ElementTree.SubElement(root, tag, {"id": f"{prefix}-{tag}"}).text = words
    drawn = _drawn(chart)
    names = _names(drawn, prefix)
    for child in drawn:
        root.extend(_kept(child, names))
    return root


def _drawn(chart: Chart) -> Element:
    written = io.StringIO()
    with own_settings(), without_warnings():
        FigureCanvasSVG(chart.figure).print_figure(written, format="svg", metadata={"Date": None})
    return ElementTree.fromstring(written.getvalue())


def _names(drawn: Element, prefix: str) -> dict[str, str]:
    """New names for the ids that something in the drawing points to."""
    names: dict[str, str] = {}
    for element in drawn.iter():
        for value in element.attrib.values():
            for found in REFERENCE.findall(value):
                names.setdefault(found, f"{prefix}-{len(names) + 1}")
        if LINK in element.attrib:
            names.setdefault(element.attrib[LINK].removeprefix("#"), f"{prefix}-{len(names) + 1}")
    return names


def _kept(element: Element, names: dict[str, str]) -> Iterator[Element]:
    """What is kept of an element: itself, or what it holds where it adds nothing."""
    tag = element.tag.removeprefix(NAMESPACE)
    if tag in DROPPED_TAGS:
        return
    attributes = dict(_attributes(element, names))
    children = [kept for child in element for kept in _kept(child, names)]
    if tag in ("g", "defs") and not children:
        return
    if tag == "g" and not attributes:
        yield from children
        return
    kept = Element(tag, attributes)
    kept.text = element.text if tag == "text" else None
    kept.extend(children)
    yield kept


def _attributes(element: Element, names: dict[str, str]) -> Iterator[tuple[str, str]]:
    for name, value in element.attrib.items():
        if name == "id":
            if value in names:
                yield name, names[value]
        elif name == "style":
            yield from _style(value, names)
        elif name == "d":
            yield name, _path(value)
        elif name == LINK:
            yield "href", f"#{names[value.removeprefix('#')]}"
        elif not (name == "transform" and value.startswith("rotate(-0 ")):
            yield name, _short_numbers(_renamed(value, names))


def _style(style: str, names: dict[str, str]) -> Iterator[tuple[str, str]]:
    """Style as attributes: a page that allows no style in its text shows them all the same."""
    for rule in style.split(";"):
        name, _, value = rule.partition(":")
        name, value = name.strip(), value.strip()
        if name and name != "font-family" and DEFAULTS.get(name) != value:
            yield name, _short_numbers(_renamed(value, names))


def _renamed(value: str, names: dict[str, str]) -> str:
    return REFERENCE.sub(lambda found: f"url(#{names[found[1]]})", value)


def _path(d: str) -> str:
    """A path with short figures, lines across and down by one figure alone, and no line to where it is already."""
    said: list[str] = []
    tokens = TOKEN.findall(d)
    x, y, at = "", "", 0
    while at < len(tokens):
        command, at = tokens[at], at + 1
        figures = []
        while at < len(tokens) and not tokens[at].isalpha():
            figures.append(_short(float(tokens[at])))
            at += 1
        said.append(_step(command, figures, x, y))
        if len(figures) >= 2:
            x, y = figures[-2:]
    return "".join(said)


def _step(command: str, figures: list[str], x: str, y: str) -> str:
    if command == "L" and len(figures) == 2:
        if figures[1] == y:
            return "" if figures[0] == x else f"H{figures[0]}"
        if figures[0] == x:
            return f"V{figures[1]}"
    return command + " ".join(figures)


def _short(value: float) -> str:
    """A figure to two places."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _short_numbers(value: str) -> str:
    return NUMBER.sub(lambda found: _short(float(found[0])), value)
