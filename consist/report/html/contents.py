"""The contents of the page: every sheet under the heading of those who look for it."""

from __future__ import annotations

from dataclasses import dataclass

from consist.report.document import Document, Sheet, SheetKind

__all__ = ["Group", "contents_of", "heading_of"]

GROUPS: tuple[tuple[SheetKind, str], ...] = (
    ("session", "Tonight"),
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


def heading_of(sheet: Sheet, document: Document) -> str:
    """The sheet's heading; that of the session is not the document's title again, which stands above it."""
    return dict(GROUPS)["session"] if sheet.kind == "session" and sheet.title == document.title else sheet.title
