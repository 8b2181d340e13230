"""Findings in words, gravest first, with long runs of one kind cut short."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from consist.report.words import clean, counted, unbroken
from consist.rules.finding import LEVELS, Finding, Level

__all__ = ["Told", "advises_weight", "told_findings"]

SHOWN_OF_A_KIND = 3
ADVISING_WEIGHT = frozenset({"side-pull", "buff-push", "underweight"})
"""Codes whose advice may be to put weight into a car."""


@dataclass(frozen=True)
class Told:
    """A finding's level and code, and its sentence, or one that only names the rest of its kind."""

    level: Level
    code: str
    say: str


def told_findings(findings: Sequence[Finding]) -> Iterator[Told]:
    """Each finding, gravest first; after the third of a code and level the rest are only named."""
    for level in LEVELS:
        at_level = [finding for finding in findings if finding.level == level]
        for code in dict.fromkeys(finding.code for finding in at_level):
            of_kind = [finding for finding in at_level if finding.code == code]
            for finding in of_kind[:SHOWN_OF_A_KIND]:
                yield Told(level, clean(code), clean(finding.say))
            if len(of_kind) > SHOWN_OF_A_KIND:
                yield Told(level, clean(code), _rest(of_kind[SHOWN_OF_A_KIND:]))


def advises_weight(findings: Sequence[Finding]) -> bool:
    """Whether one of them may lead somebody to add weight."""
    return any(finding.code in ADVISING_WEIGHT for finding in findings)


def _rest(findings: Sequence[Finding]) -> str:
    cars = list(dict.fromkeys(unbroken(finding.car) for finding in findings if finding.car is not None))
    if len(cars) < len(findings):
        return f"and {len(findings)} more."
    return f"and {counted(len(cars), 'more car', 'more cars')}: {', '.join(cars)}."
