"""A layout drawn whole: its places, figures and gaps are there, and its words stay words."""

import re
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from consist.errors import InputError
from consist.intake import read_layout
from consist.report.charts import Chart, layout_chart, pdf_file, svg_file
from consist.report.charts.drawing import Mark, Word
from consist.wording import units_for

LAYOUTS = Path(__file__).parents[2] / "layouts"


def draw(folder: Path, text: str) -> Chart:
    file = folder / "layout.toml"
    file.write_text(f'scale = "HO"\nunits = "in"\n{text}', encoding="utf-8")
    layout = read_layout(file)
    return layout_chart(layout, units_for(layout.unit, None))


def words(chart: Chart) -> list[str]:
    return [mark.text for mark in chart.sheet.marks if isinstance(mark, Word)]


def marks(chart: Chart, label: str) -> list[Mark]:
    return [mark for mark in chart.sheet.marks if isinstance(mark, Mark) and mark.label == label]


OVAL = """
[[line]]
from = "A, east"
to = "B, west"
track = [{ length = 40 }, { radius = 24, turn = "left", angle = 180, grade = 1.5 }]
[[line]]
from = "B, east"
to = "A, west"
track = [{ length = %s }, { radius = 24, turn = "left", angle = 180, grade = -1.5 }]
"""


@pytest.mark.parametrize("name", ["puddlefold", "nettlefoot_hill"])
def test_the_sample_layouts_are_drawn_whole_without_a_gap(name: str) -> None:
    layout = read_layout(LAYOUTS / f"{name}.toml")
    chart = layout_chart(layout, units_for(layout.unit, None))
    told = words(chart)
    assert {*layout.places} <= {*told}
    assert not marks(chart, "gap")
    assert len(marks(chart, "profile")) == len(layout.lines)
    assert all(0.0 <= mark.y <= chart.height for mark in chart.sheet.marks if isinstance(mark, Word))


def test_a_loop_that_misses_has_a_gap_as_long_as_it_misses(tmp_path: Path) -> None:
    closed, missed = draw(tmp_path, OVAL % 40), draw(tmp_path, OVAL % 52)
    assert not marks(closed, "gap")
    (gap,) = marks(missed, "gap")
    (scale,) = marks(missed, "scale")
    (bar,) = (float(np.ptp(line[:, 0])) for line in scale.lines)
    (feet,) = (float(said.split()[0]) for said in words(missed) if re.fullmatch(r"[\d.]+ ft", said))
    (gap_line,) = gap.lines
    assert np.hypot(*np.diff(gap_line, axis=0)[0]) * feet / bar == pytest.approx(1.0, rel=1e-6)
    assert any("does not close" in said for said in words(missed))


def test_grades_and_radii_are_told_by_number(tmp_path: Path) -> None:
    told = words(draw(tmp_path, OVAL % 40))
    assert {"radius 24 in", "1.5 %", "line 1", "line 2"} <= {*told}


def test_the_turns_of_a_helix_are_told_apart(tmp_path: Path) -> None:
    helix = '[[line]]\nfrom = "A, e"\nto = "B, w"\ntrack = [{ radius = 24, turn = "left", turns = 3, rise = 12 }]\n'
    chart = draw(tmp_path, helix)
    (track,) = (mark.lines[0] for mark in marks(chart, "track"))
    assert "radius 24 in, 3 turns" in words(chart)
    once, twice = (track[len(track) * k // 6] for k in (1, 3))
    assert np.hypot(*(once - twice)) > 2.0
    assert np.allclose(track[0], track[-1], atol=0.1)


def test_where_ends_are_not_on_two_sides_it_is_said_and_the_rest_is_drawn(tmp_path: Path) -> None:
    wye = '[place.W]\nthrough = [["a", "b"], ["b", "c"], ["a", "c"]]\n' + "".join(
        f'[[line]]\nfrom = "W, {end}"\nto = "To {end}, w"\ntrack = [{{ length = 40 }}]\n' for end in "abc"
    )
    told = words(draw(tmp_path, wye))
    assert any("The ends of W are not on two sides" in said for said in told)
    assert {"To a", "To b", "To c"} <= {*told}


def test_words_stay_words_and_the_bytes_are_the_same(tmp_path: Path) -> None:
    chart = draw(tmp_path, OVAL % 40)
    assert ">radius 24 in</text>" in svg_file(chart).decode()
    assert "radius 24 in" in PdfReader(BytesIO(pdf_file(chart))).pages[0].extract_text()
    assert pdf_file(chart) == pdf_file(draw(tmp_path, OVAL % 40))


def test_no_drawing_replaces_the_layout_or_has_another_ending(tmp_path: Path) -> None:
    from consist.cli.track import layout as command

    file = tmp_path / "layout.toml"
    file.write_text(f'scale = "HO"\nunits = "in"\n{OVAL % 40}', encoding="utf-8")
    before = file.read_bytes()
    for output in (file, tmp_path / "plan.txt"):
        with pytest.raises(InputError):
            command(file, output=output)
    assert file.read_bytes() == before
