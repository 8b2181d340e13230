"""Headings: of a page, with a verdict where it has one, and of a part of a page."""

from __future__ import annotations

from rich.text import Text

from consist.report.verdicts import word
from consist.report.words import fit

__all__ = ["banner", "heading"]

RULE = "═"
LEAD = 2  # columns of rule before a page's name and after its verdict


def banner(name: str, verdict: str | None, width: int) -> Text:
    """A page's first line: its name in a rule across the page, the verdict at the right end."""
    spelled = Text() if verdict is None else word(verdict)
    taken = 2 * LEAD + 4 + spelled.cell_len
    shown = Text(fit(name, width - taken), "bold")
    rule = RULE * max(width - taken - shown.cell_len + (0 if spelled.plain else 2), 1)
    line = Text.assemble(RULE * LEAD, " ", shown, " ", rule)
    if spelled.plain:
        line = Text.assemble(line, " ", spelled, " ")
    return line.append(RULE * LEAD)


def heading(name: str) -> list[Text]:
    """The heading of a part of a page, with a blank line before it."""
    return [Text(), Text(name.upper(), "bold")]
