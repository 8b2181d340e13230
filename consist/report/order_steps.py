"""What each further move gains, a row a step from the train as it stands to the best order found."""

from __future__ import annotations

from rich.text import Text

from consist.checking.order_choice import side_level
from consist.order import OrderFigures, OrderPlan
from consist.report.columns import Column, lay_out
from consist.report.standing_order import house_bar
from consist.report.verdicts import word
from consist.report.words import NONE, margin, paragraph, percent
from consist.session import Session

__all__ = ["order_steps"]

LEGEND = (
    "Moved is cars moved in all and moves is the cuts they are moved in, from the train as it stands; gained is "
    "margin over the row above; use is the worst car's; proven says that no order with as few cars moved is better."
)


def order_steps(session: Session, plan: OrderPlan, width: int) -> list[Text]:
    """The table, with the first row that lets the train go named as such."""
    bar = house_bar(session)
    columns = (
        Column("moved", right=True),
        Column("moves", right=True),
        Column("margin", right=True),
        Column("gained", right=True),
        Column("use", right=True),
        Column(bar.heading()),
        Column(""),
        Column("proven"),
        Column("", least=8),
    )
    rows: list[list[str | Text]] = [
        ["0", "0", margin(plan.now.margin), "", *_use(session, plan.now), "", "as it stands"]
    ]
    before, left_hold = plan.now, side_level(session, plan.now.side_use) != "hold"
    for step in plan.frontier:
        level = side_level(session, step.figures.side_use)
        first_off_hold = not left_hold and level != "hold"
        left_hold = left_hold or first_off_hold
        remark = "first to go" if step.cars_moved == plan.enough else "first off hold" if first_off_hold else ""
        rows.append(
            [
                str(step.cars_moved),
                str(len(step.moves)),
                margin(step.figures.margin),
                _gained(before, step.figures),
                *_use(session, step.figures),
                "yes" if step.proven else "no",
                remark,
            ]
        )
        before = step.figures
    return [*lay_out(columns, rows, width), *paragraph(LEGEND, width)]


def _use(session: Session, figures: OrderFigures) -> list[str | Text]:
    use = figures.side_use
    return [percent(use), house_bar(session).of(use), word(side_level(session, use))]


def _gained(before: OrderFigures, then: OrderFigures) -> str:
    if before.margin is None or then.margin is None:
        return NONE
    return f"{round(then.margin - before.margin, 2) + 0.0:+.2f}"  # no minus before a zero
