"""OpenDocument spreadsheets and old workbooks are read like any table; to be written they are to be saved anew."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest
import xlwt  # type: ignore[import-untyped]
from hypothesis import given, settings
from hypothesis import strategies as st

from consist.errors import InputError
from consist.intake import read_cars, read_session, record_weights
from consist.intake.files import Reading
from consist.intake.table_map import TableMap
from consist.intake.tables import read_table, table_of

MIME = "application/vnd.oasis.opendocument.spreadsheet"
SPACES = (
    'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"'
)


def cell(value: object) -> str:
    if isinstance(value, str) and value.startswith("<"):
        return value
    if isinstance(value, str):
        return f'<table:table-cell office:value-type="string"><text:p>{value}</text:p></table:table-cell>'
    figure = f'office:value-type="float" office:value="{value}"'
    return f"<table:table-cell {figure}><text:p>{value}</text:p></table:table-cell>"


def row(*values: object, more: str = "") -> str:
    return f"<table:table-row{more}>{''.join(map(cell, values))}</table:table-row>"


def ods(*rows: str, before: str = "") -> bytes:
    body = f'{before}<table:table table:name="Cars">{"".join(rows)}</table:table>'
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {SPACES}><office:body>'
        f"<office:spreadsheet>{body}</office:spreadsheet></office:body></office:document-content>"
    )
    manifest = (
        '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{MIME}"/></manifest:manifest>'
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as parts:
        parts.writestr("mimetype", MIME)
        parts.writestr("content.xml", content)
        parts.writestr("META-INF/manifest.xml", manifest)
    return out.getvalue()


def xls(*rows: list[object]) -> bytes:
    book = xlwt.Workbook()
    sheet = book.add_sheet("Cars")
    for number, values in enumerate(rows):
        for column, value in enumerate(values):
            sheet.write(number, column, value)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


HEADER = row("car", "weight_g", "body_length_mm")
WHOLE = {
    ".ods": ods(HEADER, row("TST 1", 113.5, "6 in"), row("TST 2", "4 oz", 150)),
    ".xls": xls(["car", "weight_g", "body_length_mm"], ["TST 1", 113.5, "6 in"], ["TST 2", "4 oz", 150]),
}


@pytest.mark.parametrize("ending", [".ods", ".xls"])
def test_a_session_reads_them(folder: Path, ending: str) -> None:
    (folder / "cars.csv").unlink()
    (folder / f"cars{ending}").write_bytes(WHOLE[ending])
    one, two = read_session(folder).cars
    assert [one.name, two.name] == ["TST 1", "TST 2"]
    assert [one.weight_g, one.body_length_mm] == pytest.approx([113.5, 152.4])
    assert [two.weight_g, two.body_length_mm] == pytest.approx([4 * 28.349523125, 150])


@pytest.mark.parametrize("ending", [".ods", ".xls"])
def test_a_weight_is_not_written_into_them_and_it_is_said_what_to_do(folder: Path, ending: str) -> None:
    (folder / "cars.csv").unlink()
    path = folder / f"cars{ending}"
    path.write_bytes(WHOLE[ending])
    with pytest.raises(InputError, match="read but not written; save it as"):
        record_weights(folder, {"TST 1": 100.0})
    assert path.read_bytes() == WHOLE[ending]


def test_a_date_that_was_meant_as_a_fraction_is_said(tmp_path: Path) -> None:
    date = '<table:table-cell office:value-type="date" office:date-value="2026-03-04"/>'
    (tmp_path / "cars.ods").write_bytes(ods(HEADER, row("TST 1", date, 150)))
    with pytest.raises(InputError, match="a date in cell B2") as caught:
        read_cars(tmp_path / "cars.ods")
    assert len(caught.value.problems) == 1


@pytest.mark.parametrize("date", ["3-Mar", "Mar-03", "2026-03-04", "03/04/2026", "4.3.2026", "Mar 4"])
def test_a_date_in_text_is_said_too(tmp_path: Path, date: str) -> None:
    (tmp_path / "cars.csv").write_text(f"car,weight_oz,body_length_in\nA,{date},6\n")
    with pytest.raises(InputError, match="not a date; where a fraction was meant, type it again as text"):
        read_cars(tmp_path / "cars.csv")


def test_formulas_never_worked_out_are_one_line(tmp_path: Path) -> None:
    formula = '<table:table-cell table:formula="of:=2*57"/>'
    (tmp_path / "cars.ods").write_bytes(ods(HEADER, row("A", formula, 150), row("B", formula, 150)))
    with pytest.raises(
        InputError, match=r"1 more cells, .* open the table in a spreadsheet program and save it again"
    ) as caught:
        read_cars(tmp_path / "cars.ods")
    assert len(caught.value.problems) == 1


def test_hidden_rows_and_merged_cells_of_an_opendocument_sheet(tmp_path: Path) -> None:
    merged = cell("box").replace("-cell ", '-cell table:number-rows-spanned="2" ', 1)
    covered = "<table:covered-table-cell/>"
    (tmp_path / "cars.ods").write_bytes(
        ods(
            row("car", "kind", "body_length_mm"),
            row("A", merged, 150),
            row("B", covered, 150, more=' table:visibility="collapse"'),
        )
    )
    reading = Reading("cars.ods")
    table = read_table(tmp_path / "cars.ods", reading)
    assert [each.cells["kind"] for each in table.rows] == ["box", "box"]
    assert any("hidden rows" in note for note in reading.notes)


@pytest.mark.parametrize("name", ["Cars", "Wägen", "Товары"])
def test_hidden_rows_of_an_old_workbook_are_told(name: str) -> None:
    book = xlwt.Workbook()
    for title, hidden in (("Other", 1), (name, 2)):
        sheet = book.add_sheet(title)
        rows: list[list[object]] = [["car", "body_length_mm"], ["A", 150], ["B", 150]]
        for number, values in enumerate(rows):
            for column, value in enumerate(values):
                sheet.write(number, column, value)
        sheet.row(hidden).hidden = True
    out = io.BytesIO()
    book.save(out)
    reading = Reading("cars.xls")
    table_of(out.getvalue(), ".xls", reading, TableMap(sheet=name, columns={"car": ("car",)}))
    assert reading.notes == ["cars.xls has hidden rows, which were read like the others: 3"]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([".ods", ".xls"]), st.integers(0, 10**6), st.binary(min_size=1, max_size=8), st.booleans())
def test_a_damaged_one_is_told_in_a_line(ending: str, at: int, put: bytes, cut: bool) -> None:
    whole = WHOLE[ending]
    at %= len(whole)
    damaged = whole[:at] if cut else whole[:at] + put + whole[at + len(put) :]
    try:
        table_of(damaged, ending, Reading(f"cars{ending}"))
    except InputError as error:
        told = [str(problem) for problem in error.problems]
        assert told
