"""The whole page: the document through its templates, with its contents, its style and its script inside it."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from consist.report.charts import Chart
from consist.report.document import Document, Picture, Sheet, SheetKind
from consist.report.html.parts import TONIGHT, sheet_views
from consist.report.html.tables import bar_of
from consist.report.words import clean

__all__ = ["html_page"]


def html_page(document: Document, chart_of: Callable[[Picture], Chart]) -> str:
    """The report as one HTML page, its pictures in it; the same document gives the same text.

    Every text of the document is escaped. Only the pictures are taken as markup, as `inline_svg` gives it.
    """
    script = _file("page.js")
    return (
        _environment()
        .get_template("page.html.jinja")
        .render(
            document=document,
            contents=contents_of(document),
            sheets=sheet_views(document, chart_of),
            style=Markup(_file("page.css")),
            script=Markup(script),
            script_hash=_hash(script),
        )
    )


def _figure(value: float) -> str:
    """A figure in full, with no minus before a zero."""
    return json.dumps(value + 0.0)


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("consist.report.html", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_printable,
        keep_trailing_newline=True,
    )
    environment.filters |= {"figure": _figure, "bar": bar_of}
    return environment


def _printable(value: object) -> object:
    """Text as it may stand on a page; what is markup already is left as it is."""
    if isinstance(value, str) and not isinstance(value, Markup):
        return clean(value)
    return value


def _file(name: str) -> str:
    return files(__package__).joinpath("templates", name).read_text(encoding="utf-8")


def _hash(script: str) -> str:
    """The script's hash as a Content-Security-Policy names it. Source: W3C CSP Level 3, 2.3.1, hash-source."""
    return f"sha256-{b64encode(sha256(script.encode()).digest()).decode()}"


GROUPS: tuple[tuple[SheetKind, str], ...] = (
    ("session", TONIGHT),
    ("train", "Trains"),
    ("switch-list", "Switch lists"),
    ("power", "Engines"),
    ("bench", "Bench"),
    ("door", "Door"),
)
"""The kinds of sheets in the order of the contents, and what each is headed."""


@dataclass(frozen=True)
class Group:
    """The sheets of one kind; those of a kind that has only one sheet are linked by the group's title."""

    title: str
    kind: SheetKind
    sheets: tuple[Sheet, ...]

    @property
    def alone(self) -> Sheet | None:
        """The one sheet of a kind that is not one a train."""
        return self.sheets[0] if len(self.sheets) == 1 and self.sheets[0].train is None else None


def contents_of(document: Document) -> tuple[Group, ...]:
    """The groups that have a sheet."""
    groups = (Group(title, kind, tuple(s for s in document.sheets if s.kind == kind)) for kind, title in GROUPS)
    return tuple(group for group in groups if group.sheets)
