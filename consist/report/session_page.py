"""A session's page: every train on a line, totals, and the session's notes."""

from __future__ import annotations

from collections import Counter

from rich.text import Text

from consist.checking.results import SessionCheck, TrainCheck
from consist.report.columns import Column, lay_out
from consist.report.headings import banner, heading
from consist.report.units import Units
from consist.report.verdicts import word
from consist.report.words import NONE, clean, counted, margin, paragraph, score
from consist.session import Session

__all__ = ["CLOSING", "session_page"]

CLOSING = "For model trains only; never use it for full-size or ride-on railways."

LEGEND = "Engines are those assigned / those needed; order is 100 where no allowed order does better."


def session_page(session: Session, check: SessionCheck, units: Units, width: int) -> list[Text]:
    """The page as lines of `width` columns at most."""
    lines = [banner(clean(check.session), None, width)]
    lines += paragraph(_basis(session, check), width, indent=0)
    lines.append(Text())
    if check.trains:
        lines += _table(check, units, width)
        lines += [Text(), *paragraph(_totals(check, units), width), *paragraph(LEGEND, width)]
        lines += _causes(check, width)
    else:
        lines.append(Text("No train is in this session yet; add a [[train]] to session.toml."))
    if session.notes:
        lines += heading("Notes")
        for note in session.notes:
            lines += paragraph(clean(note), width, label="-")
    return [*lines, Text(), *paragraph(CLOSING, width, indent=0)]


def _basis(session: Session, check: SessionCheck) -> str:
    scale = session.layout.scale.name
    standard = session.standard
    return (
        f"Layout {clean(check.layout)}, {clean(scale)} scale. Car weights by {clean(standard.title)}, "
        f"which counts {standard.length_words}."
    )


def _table(check: SessionCheck, units: Units, width: int) -> list[Text]:
    columns = (
        Column("train", least=10),
        Column(""),
        Column("margin", right=True),
        Column("worst car", least=9, gap=2),
        Column("cars", right=True),
        Column(units.name, right=True),
        Column("length", right=True),
        Column("engines", right=True, gap=2),
        Column("order", right=True),
    )
    return lay_out(columns, [_row(train, units) for train in check.trains], width)


def _row(train: TrainCheck, units: Units) -> list[str | Text]:
    return [
        clean(train.train),
        word(train.verdict),
        margin(train.margin),
        NONE if train.worst is None else clean(train.worst.car),
        str(len(train.cars)),
        units.train_weight_figure(train.weight_g),
        units.distance(train.length_mm),
        f"{len(train.power.assigned)}/{NONE if train.power.needed is None else train.power.needed}",
        score(train.order_score),
    ]


def _totals(check: SessionCheck, units: Units) -> str:
    """All trains together."""
    verdicts = Counter(train.verdict for train in check.trains)
    counts = [f"{verdicts[verdict]} {verdict.upper()}" for verdict in ("go", "care", "hold") if verdicts[verdict]]
    cars = sum(len(train.cars) for train in check.trains)
    grams = sum(train.weight_g for train in check.trains)
    assigned = sum(len(train.power.assigned) for train in check.trains)
    return (
        f"{counted(len(check.trains), 'train')}: {', '.join(counts)}. {counted(cars, 'car')}, "
        f"{units.train_weight(grams)}, {counted(assigned, 'engine')} assigned."
    )


def _causes(check: SessionCheck, width: int) -> list[Text]:
    """For each train that may not simply go, the codes of the findings that say so."""
    told = []
    for train in check.trains:
        codes = Counter(clean(finding.code) for finding in train.findings if finding.level == train.verdict)
        if train.verdict != "go" and codes:
            causes = [code if count == 1 else f"{code} ({count})" for code, count in codes.items()]
            spelled = word(train.verdict)
            label, style = f"{spelled.plain} {clean(train.train)}:", str(spelled.style)
            told += paragraph(f"{', '.join(causes)}.", width, label=label, style=style)
    return [*heading("Why not go"), *told] if told else []
