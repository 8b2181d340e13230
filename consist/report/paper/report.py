"""The whole report on paper."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass

from reportlab.platypus import Flowable, NextPageTemplate, PageBreak, Spacer

from consist.report.charts import Chart
from consist.report.document import Document, Picture
from consist.report.paper.lettering import marked
from consist.report.paper.pages import WIDE, Paper, written
from consist.report.paper.setting import OTHER_TYPES, Setting, template_of
from consist.report.paper_text import LACKING, font_names, printable

__all__ = ["report_pdf"]

LACKED = f"{LACKING} stands for a letter that this print does not have."


def report_pdf(document: Document, chart_of: Callable[[Picture], Chart], paper_name: str = "a4") -> bytes:
    """The document as a PDF, `paper_name` being a key of `strip.PAPERS`; the same document gives the same bytes.

    Every sheet begins on a page of its own, in the largest type in which it fits one page. A train's stands in two
    columns, with as many and as large pictures as that allows; what it leaves out stands on another sheet too. One
    that fits in no way runs over. `chart_of` may be asked for a picture more than once.
    """
    font_names()
    paper = Paper.of(paper_name)
    setting = Setting(paper, chart_of)
    story: list[Flowable] = []
    for number, sheet in enumerate(document.sheets):
        story += [NextPageTemplate(template_of(sheet)), *([PageBreak()] if number else [])]
        story += setting.sheet(sheet)
        if number == 0 and _lacks(document):
            story.append(marked(LACKED, OTHER_TYPES[0].small))
    first = template_of(document.sheets[0]) if document.sheets else WIDE
    return written(document.title, document.closing, story or [Spacer(1.0, 1.0)], paper, first)


def _lacks(document: Document) -> bool:
    """Whether any letter of the document is missing from the font of the print."""
    return any(printable(text).count(LACKING) > text.count(LACKING) for text in _texts(document))


def _texts(part: object) -> Iterator[str]:
    """Every text in a part of a document."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, tuple):
        for each in part:
            yield from _texts(each)
    elif is_dataclass(part):
        for field in fields(part):
            yield from _texts(getattr(part, field.name))
