"""`pieces.csv` read, and each thing wrong with it told in a line."""

from __future__ import annotations

from pathlib import Path

import pytest

from consist.errors import InputError
from consist.intake import KNOWN_PIECES, PieceKind, pieces_at_hand, read_pieces

__all__: list[str] = []


def written(folder: Path, text: str) -> Path:
    path = folder / "pieces.csv"
    path.write_text(text, encoding="utf-8", newline="")
    return path


def test_pieces_are_read_in_their_units(tmp_path: Path) -> None:
    path = written(
        tmp_path,
        "\ufeffpiece;weight_g;weight_oz;length_in;on_hand\r\nnut;2,9;;0,5;40\r\nbar;;0,5;2;0\r\nshot;1;;;\r\n",
    )
    assert read_pieces(path) == (
        PieceKind("nut", 2.9, 12.7, 40),
        PieceKind("bar", 14.1747615625, 50.8, 0),
        PieceKind("shot", 1.0, None, None),
    )


def test_a_piece_with_no_weight_and_all_else_is_told_at_once(tmp_path: Path) -> None:
    path = written(tmp_path, "piece,weight_g,on_hand\nnut,,5\nbolt,2,-1\nbar,3,2.5\nnut,4,1\nslug,heavy,x\n")
    with pytest.raises(InputError) as told:
        read_pieces(path)
    lines = str(told.value).splitlines()
    assert [line.split(": ")[0] for line in sorted(lines)] == [
        "pieces.csv, row 2, weight",
        "pieces.csv, row 3, on_hand",
        "pieces.csv, row 4, on_hand",
        "pieces.csv, row 5, piece",
        "pieces.csv, row 6, on_hand",
        "pieces.csv, row 6, weight_g",
    ]
    assert "no weight for the piece 'nut'" in str(told.value)


@pytest.mark.parametrize("text", ["piece,weight\nnut,3\n", "name,weight_g\nnut,3\n", "piece,weight_g\n"])
def test_a_table_that_cannot_be_used_is_one_line(tmp_path: Path, text: str) -> None:
    with pytest.raises(InputError) as told:
        read_pieces(written(tmp_path, text))
    assert len(told.value.problems) == 1


def test_without_a_table_the_known_pieces_are_at_hand(tmp_path: Path) -> None:
    assert pieces_at_hand(tmp_path) == KNOWN_PIECES
    written(tmp_path, "piece,weight_g\nnut,3\n")
    assert pieces_at_hand(tmp_path) == (PieceKind("nut", 3.0),)
    (tmp_path / "pieces.xlsx").write_bytes(b"")
    with pytest.raises(InputError, match="expected one of them"):
        pieces_at_hand(tmp_path)
