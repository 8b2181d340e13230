"""Elements of a page, and what every block is made of: marks, labels, figures and bars."""

from __future__ import annotations

import json

from markupsafe import Markup, escape

from consist.report.document import Cell, RangeBar, Shown, UseBar
from consist.report.words import clean
from consist.wording import percent

__all__ = ["cell_words", "element", "lines", "mark", "marked", "range_bar", "safe", "use_bar"]

VOID = frozenset({"input"})
BAR_LONG, BAR_POINT = 100.0, 7.0
SPOKEN = {"go": "", "care": "past care", "hold": "past hold"}
"""What a bar's shade says, for those who cannot see it."""
NOTHING = Markup("")
Said = str | int | None
"""What an attribute says: nothing where it is to be left out, True for one that stands by itself."""


def safe(text: str) -> Markup:
    """Text as it may stand on a page; what is markup already stays as it is."""
    return text if isinstance(text, Markup) else escape(clean(text))


def element(name: str, *inside: str, **said: Said) -> Markup:
    """An element with what is inside it, all but markup made safe.

    >>> element("p", "5 < 6", class_="legend", id=None)
    Markup('<p class="legend">5 &lt; 6</p>')
    """
    attributes = "".join(_attribute(key, value) for key, value in said.items() if value is not None)
    end = "" if name in VOID else f"{''.join(map(safe, inside))}</{name}>"
    return Markup(f"<{name}{attributes}>{end}")


def lines(name: str, *inside: Markup, **said: Said) -> Markup:
    """The same with its tags and each thing inside on lines of their own."""
    return element(name, Markup("".join(f"\n{line}" for line in inside) + "\n"), **said)


def _attribute(key: str, value: str | int) -> str:
    name = key.rstrip("_").replace("_", "-")
    return f" {name}" if value is True else f' {name}="{safe(str(value))}"'


def mark(level: str, words: str = "") -> Markup:
    """A verdict or level, or words marked as such."""
    return element("strong", words or level.upper(), class_=f"mark {level}")


def linked(words: str, link: str | None) -> Markup:
    """Words that lead to a sheet."""
    return safe(words) if link is None else element("a", words, href=f"#{link}")


def marked(text: str, label: str = "", level: Shown = None, link: str | None = None) -> Markup:
    """Text behind its level and its label; a label that is the level is said once. The first words are the link."""
    said = []
    if level is not None:
        said.append(mark(level))
    if label and label.lower() != level:
        said.append(element("b", linked(label, link)))
    said.append(safe(text) if label else linked(text, link))
    return Markup(" ").join(said)


def cell_words(cell: Cell) -> Markup:
    """What a cell shows; a figure keeps its full value beside the text that shows it."""
    text = safe(cell.text)
    if cell.value is not None:
        text = element("data", text, value=json.dumps(cell.value + 0.0))  # no minus before a zero
    text = linked(text, cell.link)
    if cell.level is not None:
        return mark(cell.level, text)
    if isinstance(cell.bar, RangeBar):
        return text + range_bar(cell.bar)
    if cell.bar is not None:
        return element("span", text, class_="amount") + use_bar(cell.bar)
    return element("b", text) if cell.strong else text


def use_bar(bar: UseBar) -> Markup:
    """The bar in a strip 100 by 12, pointed where it goes on, with marks past which care and hold begin."""
    end = _at(bar, bar.use)
    outline = f"M0 1H{end}V10H0Z"
    if bar.goes_on:
        outline = f"M0 1H{BAR_LONG - BAR_POINT:g}L{BAR_LONG:g} 5.5 {BAR_LONG - BAR_POINT:g} 10H0Z"
    data = Markup(f' data-care="{bar.care:.6g}" data-hold="{bar.hold:.6g}"')
    return _strip(bar, {bar.level: outline}, SPOKEN[bar.level], data)


def range_bar(bar: RangeBar) -> Markup:
    """A range in such a strip, as a box from its least to its most with a mark at the middle."""
    least, middle, most = (_at(bar, use) for use in (bar.least, bar.middle, bar.most))
    outline = f"M{least} 3H{most}V8H{least}Z"
    if bar.goes_on:
        tip = f"{max(BAR_LONG - BAR_POINT, float(least)):g}"
        outline = f"M{least} 3H{tip}L{BAR_LONG:g} 5.5 {tip} 8H{least}Z"
    spoken = f"{percent(bar.least)} to {percent(bar.most)}, {percent(bar.middle)} in the middle"
    return _strip(bar, {"spread": outline, "middle": f"M{middle} 1V10"}, spoken)


def _strip(bar: UseBar | RangeBar, drawn: dict[str, str], spoken: str, data: Markup = NOTHING) -> Markup:
    at_care, at_hold = (f"M{_at(bar, use)}-1V13" for use in (bar.care, bar.hold))
    marks = {"under": at_care + at_hold, "at-care": at_care, "at-hold": at_hold}
    shapes = {"track": "M0 11H100", **drawn, **marks}
    paths = "".join(f'<path class="{kind}" d="{path}"/>' for kind, path in shapes.items())
    told = f'<span class="unseen"> {spoken}</span>' if spoken else ""
    return Markup(
        '<span class="use"><svg class="bar" viewBox="0 0 100 12" preserveAspectRatio="none" aria-hidden="true"'
        f"{data}>{paths}</svg>{told}</span>"
    )


def _at(bar: UseBar | RangeBar, use: float) -> str:
    return f"{BAR_LONG * bar.share(use):.1f}".removesuffix(".0")
