"""Curves written the hobby's own way come out as the pieces that geometry says."""

from math import atan, degrees, pi, radians, tan
from pathlib import Path

import pytest

from consist.errors import InputError
from consist.intake import read_layout
from consist.track import Piece


def read_piece(folder: Path, written: str, scale: str = "HO", units: str = "in") -> Piece:
    file = folder / "layout.toml"
    line = f'[[line]]\nfrom = "A, east"\nto = "B, west"\ntrack = [{{ {written} }}]\n'
    file.write_text(f'scale = "{scale}"\nunits = "{units}"\n{line}', encoding="utf-8")
    return read_layout(file).lines[0].pieces[0]


def test_sectional_track_turns_by_all_its_pieces(tmp_path: Path) -> None:
    piece = read_piece(tmp_path, 'radius = 18, turn = "left", pieces = 4, piece_deg = 22.5')
    assert piece == read_piece(tmp_path, 'radius = 18, turn = "left", angle = 90')
    assert piece.length_mm == pytest.approx(18 * 25.4 * pi / 2)


def test_a_helix_has_the_length_and_the_grade_of_its_turns_and_rise(tmp_path: Path) -> None:
    piece = read_piece(tmp_path, 'radius = 24, turn = "right", turns = 2.5, rise = 10')
    assert piece.turn == -1
    assert piece.length_mm == pytest.approx(2.5 * 2 * pi * 24 * 25.4)
    assert piece.grade * piece.length_mm == pytest.approx(254.0)


def test_a_rise_counts_the_easement_and_may_fall(tmp_path: Path) -> None:
    piece = read_piece(tmp_path, 'radius = 24, turn = "left", angle = 90, easement = 8, rise = -1')
    assert piece.grade == pytest.approx(-1 / (24 * pi / 2 + 8))
    assert read_piece(tmp_path, "length = 50, rise = 1").grade == pytest.approx(0.02)


# NMRA RP-12.3, closure radius of HO turnouts in inches, as quoted in a public discussion
@pytest.mark.parametrize(("number", "closure_in"), [(4, 15), (5, 26), (6, 43), (7, 49), (8, 67)])
def test_a_turnout_turns_by_its_frog_on_its_closure_radius(tmp_path: Path, number: int, closure_in: int) -> None:
    piece = read_piece(tmp_path, f'turnout = {number}, turn = "right"')
    assert piece.radius_mm == pytest.approx(closure_in * 25.4)
    assert piece.angle == pytest.approx(2 * atan(1 / (2 * number)))


def test_a_turnout_by_hand_and_in_another_scale(tmp_path: Path) -> None:
    piece = read_piece(tmp_path, 'turnout = 6, turn = "left"', scale="N", units="mm")
    assert degrees(piece.angle) == pytest.approx(9.527, abs=0.001)
    assert piece.radius_mm == pytest.approx(43 * 25.4 * 87.1 / 160, rel=1e-3)


@pytest.mark.parametrize("angle", [10, 45, 90, 150])
def test_flexible_track_fits_its_tangents(tmp_path: Path, angle: int) -> None:
    piece = read_piece(tmp_path, f'tangent = 20, turn = "left", angle = {angle}')
    assert piece.radius_mm is not None
    assert piece.radius_mm * tan(radians(angle) / 2) == pytest.approx(20 * 25.4)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ('radius = 18, turn = "left", pieces = 4', "piece_deg: found nothing"),
        ('radius = 18, turn = "left", piece_deg = 30', "pieces: found nothing"),
        ('radius = 18, turn = "left", angle = 90, turns = 1', "angle beside turns"),
        ('radius = 18, turn = "left", turns = 1, pieces = 2, piece_deg = 30', "turns and pieces"),
        ('radius = 18, turn = "left", turns = 1, rise = 4, grade = 2', "a rise and a grade"),
        ('radius = 18, turn = "left", turns = 1, rise = 40', "grade of 35.4 %"),
        ('turnout = 6, turn = "left", radius = 18', "beside another measure"),
        ('turnout = 5.5, turn = "left"', "expected one of 4, 5, 6, 7, 8"),
        ("turnout = 6", "turn: found nothing"),
        ('tangent = 6, turn = "left", angle = 180', "never meet"),
        ('tangent = 6, turn = "left", angle = 90, easement = 2', "tangent beside another"),
        ('tangent = 0.1, turn = "left", angle = 90', "tangent: found 0.1 in, expected more than half the gauge"),
        ('length = 6, turnout = 6, turn = "left"', "found a length on a curve"),
        ('turns = 1, turn = "left"', "radius: found nothing"),
    ],
)
def test_what_is_wrong_with_a_curve_is_said_in_one_line(tmp_path: Path, written: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        read_piece(tmp_path, written)
    assert len(caught.value.problems) == 1
    assert said in str(caught.value)
