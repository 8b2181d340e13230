"""Documents made by hand for the tests of the page: every kind of block, and names as hostile as files can be."""

from __future__ import annotations

from consist.report.charts import Chart
from consist.report.charts.drawing import Along
from consist.report.charts.drawing import Sheet as DrawingSheet
from consist.report.document import (
    Caution,
    Cell,
    Column,
    Document,
    Facts,
    Item,
    Items,
    Para,
    Picture,
    Row,
    Section,
    Sheet,
    Table,
    UseBar,
)

__all__ = ["HOSTILE_NAMES", "LONG_NAME", "drawn", "every_block", "hostile"]

LONG_NAME = "QLM" + "0123456789" * 20
HOSTILE_NAMES = (
    "<script>window.ran = 1</script>",
    "</script><img src=x onerror='window.ran = 1'>",
    '"><b onmouseover="window.ran = 1">',
    "javascript:window.ran=1",
    "{{ 7 * 7 }}{% raw %}",
    "&lt;b&gt; &amp; 'quoted'",
    "$x^2$ \\frac{1}{2}",
    "קרון משא 12",
    "عربة 7",
    "東鉱鉄道 205",
    LONG_NAME,
)
STANDING = (
    Column("spot", figures=True),
    Column("car", wide=True),
    Column("kind", lesser=True),
    Column("g", figures=True),
    Column("mm", figures=True, lesser=True),
    Column("use"),
)
WAY_MM = 11_290.0


def every_block() -> Document:
    """A document with every kind of sheet and of block."""
    return _document("An evening by hand", ("PQF 201", "PQF 202", "PQF 203"))


def hostile() -> Document:
    """The same with names that would harm a page which took them for its own."""
    return _document(HOSTILE_NAMES[0], HOSTILE_NAMES)


def drawn(picture: Picture) -> Chart:
    """A picture that is only a frame with its name in it."""
    sheet = DrawingSheet(120.0)
    sheet.text(20.0, 60.0, picture.title)
    along = Along(40.0, 10.0, 380.0, 100.0, WAY_MM) if picture.kind in ("profile", "side-use") else None
    track = ((50.0, 100.0), (200.0, 20.0), (350.0, 100.0)) if picture.kind == "plan" else ()
    return Chart(picture.kind, picture.title, f"A frame for {picture.title}.", sheet, along, track)


def _document(title: str, names: tuple[str, ...]) -> Document:
    train = names[0]
    sheets = (
        Sheet("session", "tonight", title, (_before(names), _trains(names))),
        Sheet("train", "train-1", train, _train(names), "hold", train),
        Sheet("switch-list", "switch-1", f"Switch list: {train}", (_switch_list(names),), train=train),
        Sheet("power", "engines", "Engines", (Section("", (Picture("engines", None, "Through the evening"),)),)),
        Sheet("bench", "bench", "Bench", (_bench(names),)),
        Sheet("door", "door", "Door", (Section("", (Para(f"Nobody brought {names[-1]}."),)),)),
    )
    return Document(title, sheets, "For model trains only.")


def _before(names: tuple[str, ...]) -> Section:
    todo = tuple(
        Item(f"Move {name} to the head end.", label="Yard", level="hold", link="switch-1", more=(f"Mind {name}.",))
        for name in names
    )
    blocks = (Para("Nothing leaves yet.", label="HOLD", level="hold"), Items(todo, numbered=True, boxes=True))
    return Section("Before the first train leaves", blocks)


def _trains(names: tuple[str, ...]) -> Section:
    columns = (Column("train", wide=True), Column("verdict"), Column("margin", figures=True), Column("worst car"))
    rows = tuple(
        Row((Cell(name, link="train-1"), Cell("CARE", level="care"), Cell("1.29", value=1.2975), Cell(names[0])))
        for name in names
    )
    return Section("The trains", (Table("Every train of the evening", columns, rows), Caution("Mind", names[0])))


def _train(names: tuple[str, ...]) -> tuple[Section, ...]:
    uses = (0.2, 0.8, 1.1, 2.5)
    rows = [Row((Cell(""), Cell("21"), Cell("Road"), Cell("104", value=104), Cell("118"), Cell("")), engine=True)]
    for spot, name in enumerate(names, start=1):
        use = uses[spot % 4]
        cells = (
            Cell(str(spot), value=spot),
            Cell(name),
            Cell("tank"),
            Cell("28", value=28.123456789),
            Cell("77", value=77),
            Cell(f"{use:.0%}", value=use, level="hold" if use > 1 else None, bar=UseBar(use, 2 / 3, 1.0)),
        )
        rows.append(Row(cells, marked=spot == 2, moved=spot == 3))
    pictures = (
        Picture("plan", names[0], "Plan"),
        Picture("profile", names[0], "Profile"),
        Picture("side-use", names[0], "Side use"),
        Picture("drawbar", names[0], "Drawbar"),
    )
    facts = Facts((("Margin", Cell("0.73 at the worst place", value=0.7385056)), ("Train", Cell(names[0]))))
    found = Items(tuple(Item(f"{name} is light.", label="underweight", level="note") for name in names))
    standing = Table("Standing order, head end first", STANDING, tuple(rows))
    return (
        Section("", (Para(f"{names[1]} uses too much.", level="hold"), facts)),
        Section("Pictures", (*pictures, Para("Care past 67 %.", legend=True))),
        Section("Standing order", (standing,)),
        Section("Findings", (found,)),
    )


def _switch_list(names: tuple[str, ...]) -> Section:
    columns = (Column("done", ticked=True), Column("spot", figures=True), Column("car", wide=True))
    rows = tuple(Row((Cell(""), Cell(str(k)), Cell(name)), moved=k == 2) for k, name in enumerate(names, start=1))
    return Section("", (Para("Make it so."), Table("The order to make", columns, rows)))


def _bench(names: tuple[str, ...]) -> Section:
    columns = (Column("done", ticked=True), *(Column(f"column {k}", figures=k > 1) for k in range(1, 8)))
    rows = tuple(Row((Cell(""), Cell(name), *(Cell(f"{k}.125 oz", value=k) for k in range(6)))) for name in names)
    return Section("", (Table("Cars to bring to weight", columns, rows, findable=True),))
