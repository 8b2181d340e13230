"""A train's page: verdict, figures, standing order, route, findings and what to move."""

from __future__ import annotations

from rich.text import Text

from consist.checking.results import TrainCheck
from consist.report.figures import figures
from consist.report.finding_list import finding_list
from consist.report.headings import banner, heading
from consist.report.legs import legs_table
from consist.report.move_list import move_list
from consist.report.profile import Mark, Sharpness, draw
from consist.report.reason import reason
from consist.report.standing_order import standing_order
from consist.report.units import Units
from consist.report.words import clean, paragraph, percent
from consist.session import Session, Train

__all__ = ["train_page"]


def train_page(session: Session, train: Train, result: TrainCheck, units: Units, width: int) -> list[Text]:
    """The page as lines of `width` columns at most."""
    lines = [banner(clean(train.name), result.verdict, width)]
    lines += paragraph(reason(result, session.house), width, indent=0)
    lines += [Text(), *figures(train, result, units, width)]
    lines += [*heading("Standing order, head end first"), *standing_order(session, train, result, units, width)]
    if len(result.legs) > 1:
        lines += [*heading("Legs of the trip"), *legs_table(result, units, width)]
    lines += [*heading("Route"), *_route(session, train, result, units, width)]
    if result.findings:
        lines += [*heading("Findings"), *finding_list(result.findings, width)]
    if result.suggestion is not None:
        lines += [*heading("A better order"), *move_list(result.suggestion, result.margin, width)]
    return lines


def _route(session: Session, train: Train, result: TrainCheck, units: Units, width: int) -> list[Text]:
    worst = result.worst
    mark = None
    if worst is not None:
        mark = Mark(worst.car_mm, f"{clean(worst.car)} stands here at its worst, {percent(result.side_use)}")
    sharpness = Sharpness.of(session.layout.scale)
    drawing = draw(train.route.centreline, train.route.places, units, sharpness, width, mark=mark)
    legend = f"Heights are over the start of the route. {sharpness.legend(units)}"
    return [*drawing, *paragraph(legend, width, indent=0)]
