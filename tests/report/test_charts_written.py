"""Pictures as SVG, PNG and PDF: well formed, harmless, and the same bytes each time."""

from __future__ import annotations

import io
import struct
import subprocess
import sys
import warnings
from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree

import builders
import pytest
import report_samples
from pypdf import PdfReader

from consist.evening.overview import TrainOverview, train_overview
from consist.power.plan import plan_power
from consist.report.charts import (
    Chart,
    engines_chart,
    inline_svg,
    kinds_of,
    pdf_file,
    png_file,
    svg_file,
    train_chart,
)
from consist.report.charts.drawing import Word
from consist.session import Session
from consist.wording import Units

SVG = "{http://www.w3.org/2000/svg}"
MARKUP = '<b onload="x">&amp;$x^2$ \\frac{'
RIGHT_TO_LEFT = "شاحنة رقم ٧"
PRIVATE = "\ue000P \u202eQ"
NO_CHARACTERS = "\uffff\ufffe\U0001fffe\ud800x"
"""What no XML may hold: two points that are no characters, and half of a pair."""
NAMES = (
    MARKUP,
    report_samples.LONG,
    report_samples.WIDE,
    RIGHT_TO_LEFT,
    "$$",
    report_samples.HOSTILE,
    PRIVATE,
    NO_CHARACTERS,
)
Evening = tuple[Session, TrainOverview]


@pytest.fixture(scope="module")
def evening() -> Evening:
    """A train whose every name is hostile, run for real."""
    there, far = RIGHT_TO_LEFT, report_samples.WIDE * 4
    where = builders.layout(
        builders.line(f"{MARKUP}, a", f"{there}, a", builders.curve(500.0, 100.0, grade_percent=2.0)),
        builders.line(f"{there}, b", f"{far}, b", builders.straight(400.0), builders.curve(500.0, 100.0, "right")),
    )
    cars = [builders.car(name, 60.0 + 10.0 * k, 110.0) for k, name in enumerate(NAMES)]
    engines = [builders.engine("$7$", engine_class="<i>")]
    train = builders.train(where, cars, engines, name=MARKUP, stops=(MARKUP, far), times=(600, 660))
    session = builders.session(where, train)
    return session, train_overview(session, train)


def every(evening: Evening, units: Units | None = None) -> Iterator[Chart]:
    """All pictures of that evening, drawn anew."""
    session, seen = evening
    for kind in kinds_of(seen):
        yield train_chart(kind, seen, session, units or Units("oz"))
    yield engines_chart(plan_power(session), session)


def test_a_picture_stands_in_a_page_by_itself(evening: Evening) -> None:
    for chart in every(evening):
        text = inline_svg(chart, "t3-x")
        assert not text.startswith("<?")
        assert "<!" not in text
        root = ElementTree.fromstring(text)
        assert root.tag == f"{SVG}svg"
        assert root.get("class") == f"chart chart-{chart.kind}"
        assert root.get("viewBox") == f"0 0 {chart.width:g} {chart.height:g}"
        assert root.get("width") is None
        assert root.get("height") is None
        assert root.get("role") == "img"
        by_id = {element.get("id"): element for element in root.iter() if element.get("id")}
        named = [by_id[name].text for name in (root.get("aria-labelledby") or "").split()]
        assert named == [chart.title, chart.describe]
        allowed = {"svg", "title", "desc", "path", "text", "g", "defs", "pattern", "rect"}
        assert {element.tag.removeprefix(SVG) for element in root.iter()} <= allowed


def test_nothing_in_a_picture_acts_or_reaches_out(evening: Evening) -> None:
    for chart in every(evening):
        for element in ElementTree.fromstring(inline_svg(chart, "p")).iter():
            for name, value in element.attrib.items():
                assert not name.startswith("on")
                assert name not in ("style", "href", "font-family")
                assert "url(" not in value or value.startswith("url(#p-")
                assert "://" not in value


def test_ids_never_clash_and_all_that_are_pointed_to_are_there(evening: Evening) -> None:
    for chart in every(evening):
        both = [ElementTree.fromstring(inline_svg(chart, prefix)) for prefix in ("a", "b")]
        ids = [element.get("id") for root in both for element in root.iter() if element.get("id")]
        assert len(ids) == len(set(ids))
        for root, prefix in zip(both, ("a", "b"), strict=True):
            own = {name for name in ids if name and name.startswith(f"{prefix}-")}
            pointed = {
                value.removeprefix("url(#").removesuffix(")")
                for element in root.iter()
                for value in element.attrib.values()
                if value.startswith("url(")
            }
            assert pointed <= own
            assert {f"{prefix}-title", f"{prefix}-desc"} <= own


def test_lettering_is_text_of_a_size_that_can_be_read(evening: Evening) -> None:
    for chart in every(evening):
        root = ElementTree.fromstring(inline_svg(chart, "p"))
        texts = list(root.iter(f"{SVG}text"))
        assert len(texts) > 5
        sizes = [root.get("font-size"), *(element.get("font-size") for element in texts)]
        assert all(float(size.removesuffix("px")) >= 9.0 for size in sizes if size is not None)
        for element in texts:
            assert 0.0 <= float(element.get("x", "-1")) <= chart.width
            assert 0.0 <= float(element.get("y", "-1")) <= chart.height


def test_hostile_names_come_out_as_letters(evening: Evening) -> None:
    session, seen = evening
    text = inline_svg(train_chart("side-use", seen, session, Units("oz")), "p")
    told = [element.text or "" for element in ElementTree.fromstring(text).iter(f"{SVG}text")]
    assert {"$$", report_samples.WIDE, RIGHT_TO_LEFT} <= set(told)
    assert any(name.startswith('<b onload="') and name.endswith("…") for name in told)
    assert any(name.startswith("VERY LONG") and name.endswith("…") for name in told)
    assert "<b" not in text
    for chart in every(evening):
        whole = inline_svg(chart, "p")
        assert not {"\x1b", "\x07", "\u202e"} & set(whole)


def test_nothing_is_said_of_letters_that_the_font_lacks(evening: Evening) -> None:
    session, seen = evening
    chart = train_chart("side-use", seen, session, Units("oz"))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert all(write(chart) for write in (svg_file, png_file, pdf_file))


def test_the_same_picture_is_the_same_bytes(evening: Evening) -> None:
    first, again = (
        [(inline_svg(chart, "p"), png_file(chart), pdf_file(chart)) for chart in every(evening)] for _ in range(2)
    )
    assert again == first


def test_a_picture_written_twice_is_written_the_same(evening: Evening) -> None:
    session, seen = evening
    chart = train_chart("side-use", seen, session, Units("oz"))
    first = inline_svg(chart, "p"), png_file(chart), pdf_file(chart)
    assert (inline_svg(chart, "p"), png_file(chart), pdf_file(chart)) == first


def test_svg_files_stand_alone_on_white(evening: Evening) -> None:
    for chart in every(evening):
        data = svg_file(chart)
        assert data.startswith(b'<?xml version="1.0" encoding="UTF-8"?>')
        root = ElementTree.fromstring(data)
        ground = root[2]
        assert ground.tag == f"{SVG}rect"
        assert [ground.get(name) for name in ("width", "height", "fill")] == [
            f"{chart.width:g}",
            f"{chart.height:g}",
            "#fff",
        ]
        assert root.get("font-family") == "system-ui, sans-serif"


def test_png_files_have_three_pixels_a_unit(evening: Evening) -> None:
    for chart in every(evening):
        data = png_file(chart)
        assert data.startswith(b"\x89PNG\r\n\x1a\n")  # PNG specification, 5.2
        assert struct.unpack(">II", data[16:24]) == (3 * chart.width, 3 * chart.height)


def test_a_pdf_file_is_one_page_as_large_as_its_picture_and_holds_its_fonts(evening: Evening) -> None:
    for chart in every(evening):
        data = pdf_file(chart)
        (page,) = PdfReader(io.BytesIO(data)).pages
        box = page.mediabox
        sides = [float(side) for side in (box.left, box.bottom, box.right, box.top)]
        assert sides == pytest.approx([0.0, 0.0, chart.width, chart.height])
        _holds_its_fonts(PdfReader(io.BytesIO(data)))
        told = "".join(page.extract_text().split())
        plain = [mark.text for mark in chart.sheet.marks if isinstance(mark, Word) and mark.text.isascii()]
        assert len(plain) > 1
        assert all("".join(text.split()) in told for text in plain)


def _holds_its_fonts(reader: PdfReader) -> None:
    fonts: Any = reader.pages[0]["/Resources"]
    held = [font.get_object() for font in fonts["/Font"].get_object().values()]
    assert held
    for font in held:
        if str(font["/BaseFont"]) != "/Helvetica":  # named by every file of the library, and not used
            assert "/FontFile2" in font["/FontDescriptor"].get_object()


def test_pictures_stay_small() -> None:
    pieces = [builders.curve(500.0, 40.0, turn, grade_percent=1.0) for turn in ("left", "right") * 8]
    where = builders.one_line(*pieces)
    train = builders.train(
        where, [builders.car(f"QLM {k}", 60.0 + k % 7 * 10) for k in range(20)], [builders.engine()]
    )
    session = builders.session(where, train)
    seen = train_overview(session, train)
    for kind in kinds_of(seen):
        assert len(inline_svg(train_chart(kind, seen, session, Units("oz")), "t1").encode()) < 40_000


def test_other_reports_load_nothing_of_pictures() -> None:
    code = (
        "import sys, consist.cli; from consist.report import json, terminal\n"
        "from consist.report.sheets import session\n"
        "assert not {'reportlab', 'PIL'} & set(sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
