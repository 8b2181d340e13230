"""Findings in words, gravest first, with long runs of one kind cut short."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from consist.cautions import WEIGHTS
from consist.report.verdicts import word
from consist.report.words import clean, counted, paragraph, unbroken
from consist.rules.finding import LEVELS, Finding

__all__ = ["finding_list"]

SHOWN_OF_A_KIND = 3
ADVISING_WEIGHT = frozenset({"side-pull", "buff-push", "underweight"})
"""Codes whose advice may be to put weight into a car."""


def finding_list(findings: Sequence[Finding], width: int) -> list[Text]:
    """Each finding as a paragraph; after the third of a code and level the rest are only named.

    Where one may lead somebody to add weight, what to beware of follows.
    """
    lines: list[Text] = []
    for level in LEVELS:
        at_level = [finding for finding in findings if finding.level == level]
        for code in dict.fromkeys(finding.code for finding in at_level):
            of_kind = [finding for finding in at_level if finding.code == code]
            for finding in of_kind[:SHOWN_OF_A_KIND]:
                lines.extend(_told(level, code, clean(finding.say), width))
            if len(of_kind) > SHOWN_OF_A_KIND:
                lines.extend(_told(level, code, _rest(of_kind[SHOWN_OF_A_KIND:]), width))
    if any(finding.code in ADVISING_WEIGHT for finding in findings):
        lines.extend(paragraph(WEIGHTS, width, label="Adding weight:"))
    return lines


def _told(level: str, code: str, say: str, width: int) -> list[Text]:
    spelled = word(level)
    return paragraph(say, width, label=f"{spelled.plain} {clean(code)}:", style=str(spelled.style))


def _rest(findings: Sequence[Finding]) -> str:
    cars = list(dict.fromkeys(unbroken(finding.car) for finding in findings if finding.car is not None))
    if len(cars) < len(findings):
        return f"and {len(findings)} more."
    return f"and {counted(len(cars), 'more car', 'more cars')}: {', '.join(cars)}."
