"""The printed strip read back from its PDF, mark by mark, against the formula."""

from __future__ import annotations

import json
import re
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream
from typer.testing import CliRunner

from consist.cli import app
from consist.report.lettering import width_of
from consist.report.strip import PAPERS, strip_pdf, strips_for
from consist.scales import SCALES

__all__: list[str] = []

POINTS_PER_MM = 72.0 / 25.4  # PDF 1.7: a unit of user space is 1/72 in
GRAMS_PER_OUNCE = 28.349523125
NEAR_MM = 0.01  # a tenth of what a good printer can place

# NMRA RP-20.1: ounces, and ounces an inch of body length. NEM 302: grams a mm over buffers.
RP_20_1 = {"HO": (1.0, 0.5), "N": (0.5, 0.15), "O": (5.0, 1.0)}
NEM_302 = {"HO": 0.40, "N": 0.17, "O": 1.00}
PAPER_POINTS = {"a4": (297.0 * POINTS_PER_MM, 210.0 * POINTS_PER_MM), "letter": (792.0, 612.0)}

SMALL, TEXT = 5.5, 8.0  # points, of what is near enough and of targets
NEAR, FIGURE = re.compile(r"[\d.]+–[\d.]+"), re.compile(r"[\d.]+")

Line = tuple[float, float, float, float]  # mm, from the lower left corner


def lines(page: int, pdf: bytes) -> list[Line]:
    """Every straight line drawn on a page, from the operators of its content alone."""
    reader = PdfReader(BytesIO(pdf))
    content = ContentStream(reader.pages[page].get_contents(), reader)
    found: list[Line] = []
    at = (0.0, 0.0)
    for operands, operator in content.operations:
        if operator == b"cm":
            assert [float(value) for value in operands] == [1, 0, 0, 1, 0, 0]
        elif operator == b"m":
            at = (float(operands[0]), float(operands[1]))
        elif operator == b"l":
            to = (float(operands[0]), float(operands[1]))
            x1, y1, x2, y2 = (value / POINTS_PER_MM for value in (*at, *to))
            found.append((x1, y1, x2, y2))
    return found


def upright(found: list[Line]) -> list[Line]:
    """Lines that stand, each from its lower end to its upper one."""
    return [(x1, min(y1, y2), x2, max(y1, y2)) for x1, y1, x2, y2 in found if abs(x1 - x2) < 1e-6 < abs(y1 - y2)]


def first_band(pdf: bytes) -> tuple[float, float, float, float, list[Line]]:
    """The zero line, the right end, upper and lower edge of the first strip on the first page, and its marks."""
    found = lines(0, pdf)
    tall = [line for line in upright(found) if line[3] - line[1] > 30.0]
    top = max(line[3] for line in tall)
    sides = sorted(line[0] for line in tall if abs(line[3] - top) < NEAR_MM)
    assert len(sides) == 3, "left end, zero line, right end"
    foot = min(line[1] for line in tall if abs(line[3] - top) < NEAR_MM)
    marks = [line for line in upright(found) if line[3] - line[1] < 10.0 and foot - NEAR_MM < line[1] < top]
    return sides[1], sides[2], top, foot, marks


def formula(standard: str, scale: str) -> tuple[float, float]:
    """Base in grams and grams a mm, from the published tables."""
    if standard == "nem-302":
        return 0.0, NEM_302[scale]
    base_oz, per_in_oz = RP_20_1[scale]
    return base_oz * GRAMS_PER_OUNCE, per_in_oz * GRAMS_PER_OUNCE / 25.4


def expected(base: float, per_mm: float, step: float, long_mm: float) -> list[float]:
    """Where every whole step of weight stands from the zero line."""
    places, number = [], 0
    while (place := (number * step - base) / per_mm) <= long_mm + NEAR_MM:
        if place >= -NEAR_MM:
            places.append(place)
        number += 1
    return places


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("standard", ["nmra-rp-20.1", "nem-302"])
@pytest.mark.parametrize("scale", ["HO", "N", "O"])
def test_every_mark_stands_where_the_formula_puts_it(paper: str, standard: str, scale: str) -> None:
    zero, right, top, foot, marks = first_band(strip_pdf([scale], standard, paper))
    base_g, per_mm_g = formula(standard, scale)
    ounces = sorted(x - zero for x, _, _, y in marks if abs(y - top) < NEAR_MM)
    wanted = expected(base_g / GRAMS_PER_OUNCE, per_mm_g / GRAMS_PER_OUNCE, 0.05, right - zero)
    assert ounces == pytest.approx(wanted, abs=NEAR_MM)
    grams = sorted(x - zero for x, y, _, _ in marks if abs(y - foot) < NEAR_MM)
    wanted_g = expected(base_g, per_mm_g, (grams[1] - grams[0]) * per_mm_g, right - zero)
    assert (grams[1] - grams[0]) * per_mm_g <= 2.0 + NEAR_MM
    assert grams == pytest.approx(wanted_g, abs=NEAR_MM)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_bar_is_100_mm_and_the_paper_lies_on_its_long_side(paper: str) -> None:
    pdf = strip_pdf(["N"], "nmra-rp-20.1", paper)
    level = [line for line in lines(0, pdf) if abs(line[1] - line[3]) < 1e-6]
    highest = max(level, key=lambda line: line[1])
    assert abs(highest[2] - highest[0]) == pytest.approx(100.0, abs=NEAR_MM)
    reader = PdfReader(BytesIO(pdf))
    box = reader.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(PAPER_POINTS[paper], abs=0.1)
    assert "this bar is 100 mm; if it is not, print at 100 %" in reader.pages[0].extract_text()


@pytest.mark.parametrize(("paper", "pages_wide"), [("a4", 297.0), ("letter", 279.4)])
@pytest.mark.parametrize("standard", ["nmra-rp-20.1", "nem-302"])
def test_all_that_is_drawn_lies_on_the_paper(paper: str, pages_wide: float, standard: str) -> None:
    pdf = strip_pdf(["O", "S", "HO", "TT", "N"], standard, paper)
    high = PAPER_POINTS[paper][1] / POINTS_PER_MM
    for page in range(len(PdfReader(BytesIO(pdf)).pages)):
        for x1, y1, x2, y2 in lines(page, pdf):
            assert 5.0 < x1 < pages_wide - 5.0
            assert 5.0 < x2 < pages_wide - 5.0
            assert min(y1, y2) > 5.0
            assert max(y1, y2) < high - 5.0


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(("scale", "ratio"), [("O", 48.0), ("HO", 87.1), ("N", 160.0)])
def test_parts_follow_each_other_without_a_gap_as_far_as_an_85_ft_car(paper: str, scale: str, ratio: float) -> None:
    parts = strips_for([scale], "nmra-rp-20.1")[0].parts(PAPERS[paper])
    assert parts[0][0] == 0.0
    assert all(one[1] == other[0] for one, other in pairwise(parts))
    assert parts[-1][1] >= 85 * 304.8 / ratio


def test_a_second_part_goes_on_where_the_first_ended() -> None:
    pdf = strip_pdf(["HO"], "nmra-rp-20.1", "a4")
    tall = [line for line in upright(lines(0, pdf)) if line[3] - line[1] > 30.0]
    top = sorted({round(line[3], 3) for line in tall})[0]
    left, right = sorted(line[0] for line in tall if abs(line[3] - top) < NEAR_MM)
    start = strips_for(["HO"], "nmra-rp-20.1")[0].parts(PAPERS["a4"])[1][0]
    marks = [line for line in upright(lines(0, pdf)) if line[3] - line[1] < 10.0 and abs(line[3] - top) < NEAR_MM]
    found = sorted(x - left + start for x, *_ in marks)
    wanted = [place for place in expected(1.0, 0.5 / 25.4, 0.05, start + right - left) if place >= start - NEAR_MM]
    assert found == pytest.approx(wanted, abs=NEAR_MM)


def test_the_strip_says_scale_standard_and_length() -> None:
    def text(standard: str) -> str:
        return PdfReader(BytesIO(strip_pdf(["HO"], standard))).pages[0].extract_text()

    assert "NMRA RP-20.1" in text("nmra-rp-20.1")
    assert "counts body length" in text("nmra-rp-20.1")
    assert "counts length over buffers or couplers" in text("nem-302")
    assert "passenger cars" in text("amra")


def test_the_same_strip_has_the_same_bytes() -> None:
    assert strip_pdf(["HO", "N"], "nem-302") == strip_pdf(["HO", "N"], "nem-302")


def test_the_command_writes_the_file_and_a_bad_name_leaves_nothing(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["strip", "--scale", "HO", "--scale", "N", "--output", str(tmp_path / "s.pdf")])
    assert done.exit_code == 0
    assert (tmp_path / "s.pdf").read_bytes() == strip_pdf(["HO", "N"], "nmra-rp-20.1")
    for args, words in (
        (["--scale", "HQ", "--output", str(tmp_path / "t.pdf")], "'HO'"),
        (["--scale", "HO", "--standard", "nem-303", "--output", str(tmp_path / "t.pdf")], "nem-302"),
        (["--scale", "HO", "--output", str(tmp_path / "t.txt")], ".pdf"),
        (["--scale", "HO", "--output", str(tmp_path / "gone/t.pdf")], "folder is missing"),
    ):
        refused = CliRunner().invoke(app, ["strip", *args])
        assert refused.exit_code == 2
        assert words in refused.stderr
        assert len(refused.stderr.splitlines()) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["s.pdf"]


def words_at(pdf: bytes, page: int = 0) -> list[tuple[float, float, float, str]]:
    """Every text of a page: where it begins in mm from the lower left corner, its size in points, what it says."""
    found: list[tuple[float, float, float, str]] = []

    def met(text: str, at: list[float], own: list[float], font: object, size: float) -> None:
        if text.strip():
            found.append((own[4] / POINTS_PER_MM, own[5] / POINTS_PER_MM, size, text.strip()))

    PdfReader(BytesIO(pdf)).pages[page].extract_text(visitor_text=met)
    return found


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_what_is_near_enough_stands_beside_each_target(scale: str, paper: str) -> None:
    """A tenth either way: about 0.1 oz on an N car of 1 oz is common practice, a tenth elsewhere an assumption."""
    texts = words_at(strip_pdf([scale], None, paper))
    bands = [(x, y, text) for x, y, size, text in texts if size == SMALL and NEAR.fullmatch(text)]
    targets = [(x, y, float(text)) for x, y, size, text in texts if size == TEXT and FIGURE.fullmatch(text)]
    ends = 4 * sum(len(strip.parts(PAPERS[paper])) for strip in strips_for([scale], None))
    assert len(targets) - ends <= len(bands) <= len(targets), "at the ends of a part there may be no room"
    assert len(bands) > 0.7 * len(targets)
    for x, y, text in bands:
        middle = x + width_of(text, size=SMALL) / POINTS_PER_MM / 2.0
        beside = [
            target
            for at, foot, target in targets
            if abs(foot - y) < 3.5
            and abs(at + width_of(f"{target:g}", size=TEXT) / POINTS_PER_MM / 2.0 - middle) < 0.2
        ]
        assert len(beside) == 1, text
        low, high = map(float, text.split("–"))
        assert low == pytest.approx(0.9 * beside[0], abs=0.6 if high >= 100 else 0.06 if high >= 10 else 0.006)
        assert high == pytest.approx(1.1 * beside[0], abs=0.6 if high >= 100 else 0.06 if high >= 10 else 0.006)


@pytest.mark.parametrize("scale", SCALES)
def test_no_two_figures_run_together(scale: str) -> None:
    for standard in (None, "nem-302") if scale not in ("OO", "British N") else (None,):
        rows: dict[float, list[tuple[float, float]]] = {}
        for x, y, size, text in words_at(strip_pdf([scale], standard)):
            if size == TEXT or NEAR.fullmatch(text):
                rows.setdefault(round(y, 1), []).append((x, x + width_of(text, size=size) / POINTS_PER_MM))
        for row in rows.values():
            assert all(right < left for (_, right), (left, _) in pairwise(sorted(row)))


def test_a_strip_by_figures_that_are_lent_says_so_on_paper_and_on_screen(tmp_path: Path) -> None:
    said = "NMRA RP-20.1 has no figures for scale On30; its figures for On3 are taken."
    ran = CliRunner().invoke(app, ["strip", "--scale", "On30", "--output", str(tmp_path / "s.pdf")])
    text = PdfReader(tmp_path / "s.pdf").pages[0].extract_text()
    assert (ran.exit_code, ran.stdout.count(said), text.count(said)) == (0, 1, 1)
    asked = ["strip", "--scale", "On30", "--output", str(tmp_path / "s.pdf"), "--json"]
    assert json.loads(CliRunner().invoke(app, asked).stdout)["strips"][0]["note"] == said
    assert said not in PdfReader(BytesIO(strip_pdf(["On3"], None))).pages[0].extract_text()


@pytest.mark.parametrize(("scale", "ratio"), [("O", "1:48"), ("0", "1:45")])
def test_the_strips_of_o_and_0_say_their_ratio(scale: str, ratio: str) -> None:
    assert f"{scale} scale ({ratio})" in PdfReader(BytesIO(strip_pdf([scale], "nem-302"))).pages[0].extract_text()
