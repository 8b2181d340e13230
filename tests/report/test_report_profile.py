"""Track drawn in text: what rises is drawn rising, left is left, and everything is at its column."""

from __future__ import annotations

import builders
from rich.cells import cell_len

from consist.report.terminal.track import Mark, Sharpness, draw, name_rows
from consist.scales import SCALES
from consist.track import Centreline, Piece
from consist.wording import Units

__all__: list[str] = []

WIDTH = 80
ROWS = 8
HO = Sharpness(easy_mm=900.0, sharp_mm=600.0)
EIGHTHS = " ▁▂▃▄▅▆▇█"


def drawn(*pieces: Piece, mark: Mark | None = None) -> list[str]:
    """The drawing of pieces between a place A at the start and a place B at the end."""
    track = Centreline(pieces)
    places = (("A", 0.0), ("B", track.length_mm))
    return [line.plain for line in draw(track, places, Units("g"), HO, WIDTH, ROWS, mark)]


def columns(lines: list[str]) -> list[str]:
    """The drawing without the figures at its side, each line to the full width."""
    start = next(line for line in lines if "┴0 m" in line).index("┴")
    return [line[start:].ljust(WIDTH - start) for line in lines]


def heights(lines: list[str]) -> list[int]:
    """The height of the ground in each column, in eighths of a row."""
    rows = columns(lines)[:ROWS]
    return [sum(EIGHTHS.index(row[k]) for row in rows) for k in range(len(rows[0]))]


def row_of(lines: list[str], name: str) -> str:
    """The row with that name at its side."""
    number = next(k for k, line in enumerate(lines) if line.strip().startswith(name))
    return columns(lines)[number]


def test_a_steady_climb_is_drawn_from_the_lowest_to_the_highest() -> None:
    lines = drawn(builders.straight(5000.0, 2.0))
    ground = heights(lines)
    assert ground == sorted(ground)
    assert (ground[0], ground[-1]) == (1, 64)
    assert lines[0].split()[0] == "100"  # 2 % of 5000 mm
    assert lines[ROWS - 1].split()[0] == "0"


def test_a_summit_stands_where_it_is() -> None:
    ground = heights(drawn(builders.straight(2000.0, 2.0), builders.straight(6000.0, -1.0)))
    summit = ground.index(max(ground))
    assert abs((summit + 0.5) / len(ground) - 0.25) < 1.0 / len(ground)
    assert ground[-1] < ground[0]  # 40 mm up and 60 mm down
    assert ground[-1] == min(ground) <= 2  # drawn at the middle of its column, a little before the end


def test_level_track_takes_one_row() -> None:
    lines = drawn(builders.straight(3000.0))
    assert lines[0].startswith("level ▁")
    assert lines[1].strip() == "left"


def test_curves_stand_in_the_row_of_their_side_at_their_sharpness() -> None:
    lines = drawn(
        builders.straight(1000.0),
        builders.curve(1000.0, 57.3, "left"),
        builders.curve(700.0, 81.85, "right"),
        builders.curve(500.0, 114.6, "left"),
    )  # four stretches of a metre each
    left, right = row_of(lines, "left"), row_of(lines, "right")
    quarter = len(left) / 4
    middles = [int((k + 0.5) * quarter) for k in range(4)]
    assert [left[k] for k in middles] == [" ", "▁", " ", "█"]
    assert [right[k] for k in middles] == [" ", " ", "▄", " "]


def test_the_mark_points_down_at_its_column() -> None:
    for share in (0.1, 0.5, 0.93):
        lines = drawn(builders.straight(5000.0, 1.0), mark=Mark(5000.0 * share, "here"))
        row = columns(lines)[0]
        assert "here" in row
        assert row.index("▼") == int(share * len(row))


def test_a_mark_before_the_start_points_at_the_start() -> None:
    assert columns(drawn(builders.straight(5000.0, 1.0), mark=Mark(-300.0, "here")))[0].startswith("▼ here")


def test_the_scale_counts_metres() -> None:
    rule = next(row for row in columns(drawn(builders.straight(10000.0))) if "┴0 m" in row)
    assert abs(rule.index("┴5") - len(rule) / 2) <= 1


def test_places_crowded_together_all_keep_their_names() -> None:
    names = [("Westing", 0), ("Dock", 2), ("Gorse Junction", 3), ("東鉱鉄道 Yard", 30), ("Hill Top", 59)]
    rows = name_rows(names, 60)
    for name, _ in names:
        assert any(name in row for row in rows)
    assert all(cell_len(row) <= 60 for row in rows)
    assert [k for k, character in enumerate(rows[0]) if character == "|"] == [0, 2, 3, 30, 59]


def test_no_two_names_run_together() -> None:
    names = [(f"P{k}", 3 * k) for k in range(15)]
    words = [word for row in name_rows(names, 60)[1:] for word in row.split() if word != "|"]
    assert sorted(words) == sorted(name for name, _ in names)


def test_a_curve_of_just_the_radius_named_is_not_sharper() -> None:
    """The legend says 36 in and over, and down to 24 in: in every scale a curve of just that is within."""
    for scale in SCALES.values():
        sharpness = Sharpness.of(scale)
        for radius_mm, level in ((sharpness.easy_mm, 1), (sharpness.sharp_mm, 2)):
            assert sharpness.level(1.0 / radius_mm) == sharpness.level(1.0000001 / radius_mm) == level
            assert sharpness.level(1.0 / (radius_mm - 0.1)) == level + 1
