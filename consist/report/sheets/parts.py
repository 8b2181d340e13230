"""What sheets are put together of: lists, small print and sections, left out where there is nothing in them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from consist.report.document import Block, Caution, Document, Item, Items, Para, Section, Sheet, SheetKind
from consist.report.words import printable
from consist.rules.case import Verdict

__all__ = [
    "ADDING_WEIGHT", "ADVISING_WEIGHT", "CLOSING", "cautions_last", "items", "legend", "notes", "of_sheets",
    "section", "sheet",
]  # fmt: skip

CLOSING = "For model trains only; never use it for full-size or ride-on railways."
ADDING_WEIGHT = Caution(
    "Adding weight",
    "Lead is poisonous: wash your hands after it, never sand or melt it, keep it from children and food. Fast glue "
    "bonds skin and hot glue burns; wear eye protection to drill or cut. Product labels and local rules come first.",
)
"""For advice to put weight into a car."""
ADVISING_WEIGHT = frozenset({"side-pull", "buff-push", "underweight"})
"""Codes of findings whose advice may be to put weight into a car."""


def items(of: Iterable[Item], *, numbered: bool = False, boxes: bool = False) -> Items | None:
    """A list, None where it would be empty."""
    told = tuple(of)
    return Items(told, numbered, boxes) if told else None


def legend(*said: str) -> Para | None:
    """Small print of the sentences that are not empty, None where all are."""
    text = " ".join(filter(None, said))
    return Para(text, legend=True) if text else None


def section(title: str, *blocks: Block | None) -> Section:
    """The blocks that there are under a heading."""
    return Section(title, tuple(block for block in blocks if block is not None))


def notes(of: Iterable[str]) -> Section:
    """What is to be noted."""
    return section("Notes", items(map(Item, of)))


def sheet(
    kind: SheetKind,
    title: str,
    *sections: Section,
    anchor: str = "",
    verdict: Verdict | None = None,
    train: str | None = None,
) -> Sheet:
    """A sheet of the sections that hold anything; its anchor is its kind where no other is given."""
    return Sheet(kind, anchor or kind, title, tuple(one for one in sections if one.blocks), verdict, train)


def cautions_last(*sheets: Sheet) -> tuple[Sheet, ...]:
    """Sheets that are read one after another, each caution once, at the end of the last."""
    blocks = (block for each in sheets for part in each.sections for block in part.blocks)
    cautions = dict.fromkeys(block for block in blocks if isinstance(block, Caution))
    found = []
    for each in sheets:
        parts = [
            Section(part.title, tuple(block for block in part.blocks if not isinstance(block, Caution)))
            for part in each.sections
        ]
        parts += [section("", *cautions)] if each is sheets[-1] else []
        found.append(replace(each, sections=tuple(part for part in parts if part.blocks)))
    return tuple(found)


def of_sheets(title: str, *sheets: Sheet | None) -> Document:
    """A document of the sheets that there are, every text of it on one line and free of control characters."""
    document: Document = printable(Document(title, tuple(filter(None, sheets)), CLOSING))
    return document
