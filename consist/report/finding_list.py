"""Findings as lines of a page."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from consist.cautions import WEIGHTS
from consist.report.finding_words import advises_weight, told_findings
from consist.report.verdicts import word
from consist.report.words import paragraph
from consist.rules.finding import Finding

__all__ = ["finding_list"]


def finding_list(findings: Sequence[Finding], width: int) -> list[Text]:
    """Each finding as a paragraph, gravest first, long runs cut short.

    Where one may lead somebody to add weight, what to beware of follows.
    """
    lines: list[Text] = []
    for told in told_findings(findings):
        spelled = word(told.level)
        lines.extend(paragraph(told.say, width, label=f"{spelled.plain} {told.code}:", style=str(spelled.style)))
    if advises_weight(findings):
        lines.extend(paragraph(WEIGHTS, width, label="Adding weight:"))
    return lines
