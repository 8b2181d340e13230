"""What a railroad's log teaches, in plain words: its limits, track and cars to look at, what engines really pull."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from consist.learning import EngineTold, Learned, Shifted
from consist.report.document import Para, Sheet, Table
from consist.report.sheets.cells import figures, table, words
from consist.report.sheets.parts import section, sheet
from consist.report.words import counted, in_words
from consist.wording import percent

__all__ = ["learned_sheet"]


def learned_sheet(told: Learned) -> Sheet:
    """The sheet: what is known, how surely, and what to look at."""
    return sheet(
        "learned",
        "What the log teaches",
        section("", Para(_noted(told)), Para(_how_sure(told))),
        section("This railroad's own limits", *_limits(told)),
        section("Track to look at", *_worse("stretch", "stretches", "Where cars came off", told.track)),
        section("Cars to look at", *_worse("car", "cars", "Cars that came off", told.cars)),
        section("What the engines really pull", *_engines(told.engines)),
    )


def _noted(told: Learned) -> str:
    happened = [
        f"a car came off in {told.off}" if told.off else "no car came off",
        f"{told.stalled} stalled" if told.stalled else "",
        f"{told.parted} parted" if told.parted else "",
    ]
    said = f"{counted(told.runs, 'run')} noted: {in_words(list(filter(None, happened)))}."
    if told.older:
        left = told.older - told.recomputed
        said += (
            f" {told.older} of those logged were predicted by an older version of consist: {told.recomputed} "
            f"worked out anew with what they ran with, {left} left out because their cars or their route are gone."
        )
    return said


def _how_sure(told: Learned) -> str:
    if told.enough:
        return "That is enough to know the limits to within a quarter either way."
    if told.runs_wanted is None:
        return "That is little: the limits below are hardly more than what was assumed before the first run."
    return (
        f"That is little yet: about {told.runs_wanted} more runs like these would tell the limits to within a "
        "quarter either way."
    )


def _limits(told: Learned) -> Iterable[Para | Table | None]:
    care, hold = told.margins.care, told.margins.hold
    yield Para(
        f"Cars stay on 99 times in 100 between two places with a margin of {care[1]:.2f} (ninety per cent sure that "
        f"it is {care[0]:.2f} to {care[2]:.2f}), and 9 times in 10 with {hold[1]:.2f} ({hold[0]:.2f} to "
        f"{hold[2]:.2f})."
    )
    if told.enough:
        yield Para("To go by these, write into session.toml:")
        yield from map(Para, ("[house]", f"care_margin = {care[1]:.2f}", f"hold_margin = {hold[1]:.2f}"))
    yield table(
        "How often a car comes off between two places",
        told.chances,
        figures("margin", lambda one: one[0], lambda margin: f"{margin:.1f}"),
        figures("in 1000", lambda one: one[1][1], _in_thousand),
        figures("at least", lambda one: one[1][0], _in_thousand, lesser=True),
        figures("at most", lambda one: one[1][2], _in_thousand, lesser=True),
    )


def _in_thousand(chance: float) -> str:
    return f"{1000.0 * chance:.0f}" if chance >= 0.01 else f"{1000.0 * chance:.1f}"


def _worse(one: str, many: str, title: str, of: Sequence[Shifted]) -> Iterable[Para | Table | None]:
    if not of:
        yield Para("None: nothing came off.")
        return
    worse = [each.name for each in of if each.worse]
    surely = f"Surely {counted(len(worse), one, many)} worse than the model says: {in_words(worse)}."
    yield Para(surely if worse else "None is surely worse than chance makes it.")
    yield table(
        title,
        of,
        words(one, lambda one: one.name, wide=True, strong=True),
        figures("off", lambda one: one.off),
        figures("expected", lambda one: one.expected, lambda number: f"{number:.1f}"),
        words("look at it", lambda one: "yes" if one.worse else ""),
    )


def _engines(of: Sequence[EngineTold]) -> Iterable[Para | Table | None]:
    if not any(one.stalled for one in of):
        yield Para("No train has stalled, so that nothing is known against what their table says.")
        return
    yield table(
        "What engines pull of what their table says",
        of,
        words("engine", lambda one: one.name, wide=True, strong=True),
        figures("stalled", lambda one: one.stalled),
        figures("expected", lambda one: one.expected, lambda number: f"{number:.1f}"),
        figures("pulls", lambda one: one.pulls[1], percent),
        words("range", lambda one: f"{percent(one.pulls[0])} to {percent(one.pulls[2])}", lesser=True),
    )
