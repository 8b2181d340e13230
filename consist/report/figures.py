"""A train's figures, each with its name, as lines of a page."""

from __future__ import annotations

from rich.text import Text

from consist.checking.results import TrainCheck
from consist.report.figure_words import figure_words
from consist.report.units import Units
from consist.report.words import paragraph
from consist.session import Train

__all__ = ["figures"]

LABEL_WIDTH = 9


def figures(train: Train, result: TrainCheck, units: Units, width: int) -> list[Text]:
    """The figures as a list of short sentences."""
    lines: list[Text] = []
    for figure in figure_words(train, result, units):
        label = figure.name.ljust(LABEL_WIDTH)
        lines.extend(paragraph(figure.sentence, width, label=label, style="bold", indent=LABEL_WIDTH + 1))
    return lines
