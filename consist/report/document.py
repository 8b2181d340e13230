"""What a report holds, as sheets of plain blocks, whatever they are written on.

`sheets` fills a document from the results; the terminal, the page in HTML and the one on paper all write this and
nothing else, so that they cannot tell two stories. All text is plain: whoever writes it escapes it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from consist.rules.case import Level, Verdict

__all__ = [
    "Block", "Caution", "Cell", "ChartKind", "Column", "Document", "Facts", "Item", "Items", "Para", "Picture",
    "RangeBar", "Row", "Section", "Sheet", "SheetKind", "Shown", "Table", "UseBar",
]  # fmt: skip

Shown = Verdict | Level | None
"""How a line is marked: by a verdict, a finding's level, or not at all."""
ChartKind = Literal["train", "then", "plan", "profile", "side-use", "drawbar", "engines", "line"]
"""The pictures: the train to scale, the same in the suggested order, the route in plan and in profile, side use by
place in the train and place on the route, the drawbar along the train, the engines through the evening, and a line of
a layout in profile."""
FULL_BAR = 1.3
"""The share of hold at which a bar is full; how far past it a use is no longer counts."""
SheetKind = Literal[
    "session", "train", "switch-list", "power", "bench", "door", "order", "layout", "rating", "trailing", "learned"
]


def _along(use: float, hold: float) -> float:
    """Where along the full length of a bar a use stands."""
    return min(use / (FULL_BAR * hold), 1.0)


@dataclass(frozen=True)
class UseBar:
    """A car's side use drawn as a bar against where care and hold begin, all as shares."""

    use: float
    care: float
    hold: float

    @property
    def level(self) -> Verdict:
        """The level that the use is in; care and hold begin past their shares."""
        return "hold" if self.use > self.hold else "care" if self.use > self.care else "go"

    @property
    def goes_on(self) -> bool:
        """Whether the bar ends open, since it is past the full length of a bar."""
        return self.use > FULL_BAR * self.hold

    def share(self, use: float) -> float:
        """Where along the full length of a bar a use stands."""
        return _along(use, self.hold)


@dataclass(frozen=True)
class RangeBar:
    """Between what side uses a train's worst may be, drawn from the `least` to the `most` as a `UseBar` is, with a
    mark at the figure in the `middle`."""

    least: float
    middle: float
    most: float
    care: float
    hold: float

    @property
    def goes_on(self) -> bool:
        """Whether it ends open, since it goes past the full length of a bar."""
        return self.most > FULL_BAR * self.hold

    def share(self, use: float) -> float:
        """Where along the full length of a bar a use stands."""
        return _along(use, self.hold)


@dataclass(frozen=True)
class Cell:
    """One cell of a table. `value` is the figure that `text` shows, in the unit of the JSON, never rounded.

    `level` marks the words as a verdict, a level or an answer as grave as one. `link` is the anchor of a sheet.
    """

    text: str
    value: float | int | None = None
    level: Shown = None
    strong: bool = False
    bar: UseBar | RangeBar | None = None
    link: str | None = None


@dataclass(frozen=True)
class Column:
    """A column's heading. `figures` sets its cells to the right; `wide` gives it the room that is left.

    `ticked` is a column of boxes to tick with a pencil. `lesser` columns may be left out where there is no room.
    `narrow` is the heading where letters are counted, and `whole` cells are broken into lines there, never cut.
    """

    title: str
    figures: bool = False
    wide: bool = False
    ticked: bool = False
    lesser: bool = False
    narrow: str | None = None
    whole: bool = False


@dataclass(frozen=True)
class Row:
    """A row; `engine` rows stand apart from cars, `marked` ones are pointed at, `moved` ones stand elsewhere now.

    `over` is a heading over it and those that follow.
    """

    cells: tuple[Cell, ...]
    engine: bool = False
    marked: bool = False
    moved: bool = False
    over: str = ""


@dataclass(frozen=True)
class Table:
    """A table; `name` says what it holds, for those who cannot see it. `findable` is whether to offer a filter.

    `told_below` is whether the list below it tells its figures as well, for where one of the two is enough.
    """

    name: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    findable: bool = False
    told_below: bool = False

    def cells(self, number: int) -> list[Cell]:
        """The cells of a column."""
        return [row.cells[number] for row in self.rows]

    def bar_in(self, number: int) -> UseBar | RangeBar | None:
        """The first bar of a column, None where it has none."""
        return next((cell.bar for cell in self.cells(number) if cell.bar is not None), None)


@dataclass(frozen=True)
class Para:
    """A paragraph, behind a label where it has one. `legend` is for small print under a table or picture."""

    text: str
    label: str = ""
    level: Shown = None
    legend: bool = False


@dataclass(frozen=True)
class Item:
    """One thing of a list; `label` is set off before the text, `more` follows below it.

    `facts` are names and words that a table above tells as well.
    """

    text: str
    label: str = ""
    level: Shown = None
    link: str | None = None
    more: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Items:
    """A list, numbered where the order counts, with boxes to tick where somebody does it by hand."""

    items: tuple[Item, ...]
    numbered: bool = False
    boxes: bool = False


@dataclass(frozen=True)
class Facts:
    """Figures with their names: each a label and the words, with the figure behind them."""

    facts: tuple[tuple[str, Cell], ...]


@dataclass(frozen=True)
class Picture:
    """A picture's place in the document. `train` is the key of a train and no text; None for the whole session's."""

    kind: ChartKind
    train: str | None
    title: str


@dataclass(frozen=True)
class Caution:
    """What can hurt somebody who follows the advice above."""

    label: str
    text: str


Block = Para | Items | Facts | Table | Picture | Caution


@dataclass(frozen=True)
class Section:
    """Blocks under a heading; `title` is empty for what stands at the top of a sheet."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Sheet:
    """What is printed on paper of its own. `anchor` names it within the document: ASCII letters, figures, hyphens."""

    kind: SheetKind
    anchor: str
    title: str
    sections: tuple[Section, ...]
    verdict: Verdict | None = None
    train: str | None = None


@dataclass(frozen=True)
class Document:
    """A report: its title, its sheets in order, and the line at its end."""

    title: str
    sheets: tuple[Sheet, ...]
    closing: str
