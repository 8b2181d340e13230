"""Why a train has its verdict, in one sentence."""

from __future__ import annotations

from consist.checking.results import TrainCheck
from consist.house import House
from consist.report.words import at, clean, counted, percent

__all__ = ["reason"]


def reason(result: TrainCheck, house: House) -> str:
    """The first cause of the verdict: the worst car's side pull, or the gravest findings, or that all is well."""
    if result.verdict == "go":
        return _all_well(result)
    threshold = house.hold_margin if result.verdict == "hold" else house.care_margin
    if result.worst is not None and result.margin is not None and result.margin < threshold:
        return _side_pull(result, threshold)
    causes = [finding for finding in result.findings if finding.level == result.verdict]
    if not causes:
        return _all_well(result)
    others = len(causes) - 1
    kind = "that hold it" if result.verdict == "hold" else "of care"
    ending = f" {counted(others, 'more finding')} {kind} below." if others else ""
    return f"{clean(causes[0].say)}{ending}"


def _side_pull(result: TrainCheck, threshold: float) -> str:
    worst = result.worst
    assert worst is not None
    what = "holds a train" if result.verdict == "hold" else "takes care"
    return (
        f"{clean(worst.car)} in spot {worst.spot} uses {percent(result.side_use)} of the side pull it can bear "
        f"{clean(at(worst.place))}; the house {what} past {percent(1.0 / threshold)}."
    )


def _all_well(result: TrainCheck) -> str:
    if result.worst is None:
        return "No car feels any side pull on this route."
    return (
        f"No car uses more than {percent(result.side_use)} of the side pull it can bear; "
        f"{clean(result.worst.car)} in spot {result.worst.spot} comes nearest."
    )
