"""A session's page: every train on a line, totals, and the session's notes."""

from __future__ import annotations

from rich.text import Text

from consist.checking.results import SessionCheck, TrainCheck
from consist.report.columns import Column, lay_out
from consist.report.headings import banner, heading
from consist.report.session_words import LEGEND, NO_TRAIN, basis_words, causes_words, engines_words, totals_words
from consist.report.units import Units
from consist.report.verdicts import word
from consist.report.words import NONE, clean, margin, paragraph, score
from consist.session import Session

__all__ = ["CLOSING", "session_page"]

CLOSING = "For model trains only; never use it for full-size or ride-on railways."


def session_page(session: Session, check: SessionCheck, units: Units, width: int) -> list[Text]:
    """The page as lines of `width` columns at most."""
    lines = [banner(clean(check.session), None, width)]
    lines += paragraph(basis_words(session, check), width, indent=0)
    lines.append(Text())
    if check.trains:
        lines += _table(check, units, width)
        lines += [Text(), *paragraph(totals_words(check, units), width), *paragraph(LEGEND, width)]
        lines += _causes(check, width)
    else:
        lines.append(Text(NO_TRAIN))
    if session.notes:
        lines += heading("Notes")
        for note in session.notes:
            lines += paragraph(clean(note), width, label="-")
    return [*lines, Text(), *paragraph(CLOSING, width, indent=0)]


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
        engines_words(train),
        score(train.order_score),
    ]


def _causes(check: SessionCheck, width: int) -> list[Text]:
    """For each train that may not simply go, the codes of the findings that say so."""
    told = []
    for train in check.trains:
        causes = causes_words(train)
        if causes:
            spelled = word(train.verdict)
            label, style = f"{spelled.plain} {clean(train.train)}:", str(spelled.style)
            told += paragraph(causes, width, label=label, style=style)
    return [*heading("Why not go"), *told] if told else []
