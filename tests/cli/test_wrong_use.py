"""Wrong use is told in one line that names what is right, and `consist` alone says where to begin."""

from __future__ import annotations

import pytest
from builders import SAMPLES
from typer.testing import CliRunner

from consist.cli import app

__all__: list[str] = []


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("chek x", "did you mean 'check'?"),
        ("zzz", "'consist --help' lists them"),
        ("check x --trian y", "did you mean '--train'?"),
        ("check x --qqqq", "'consist check --help' lists them"),
        ("--versoin", "did you mean '--version'?"),
        ("check x --units ounces", "'oz', 'g'; did you mean 'oz'?"),
        ("check x --units inches", "'oz', 'g'; choose one"),
        ("picture x --output a.svg --chart side", "did you mean 'side-use'?"),
        ("screen x --paper lettr", "did you mean 'letter'?"),
        ("order x --seconds soon", "--seconds: found 'soon', expected a number"),
        ("order x --seed -1", "--seed: found '-1', expected 0 or more"),
        ("check", "consist check: found no SESSION"),
        ("target --scale N", "consist target: found no --length"),
        ("check x --train Quarry Mixed 3", "put a name with blanks in quotes"),
        ("check sample_sessions/sunday_shelf --train Quarry-Mixd", "did you mean 'Quarry Mixed 3'?"),
        ("check x --train", "--train"),
    ],
)
def test_wrong_use_names_what_is_right_in_one_line(line: str, told: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(SAMPLES.parent)
    ran = CliRunner().invoke(app, line.split())
    assert (ran.exit_code, ran.stdout, ran.stderr.count("\n")) == (2, "", 1)
    assert told in ran.stderr


def test_consist_alone_says_where_to_begin() -> None:
    ran = CliRunner().invoke(app, [])
    assert ran.exit_code == 2
    begin = ran.stderr.split("Begin with one of these:\n\n")[1].split("\n\n")[0].splitlines()
    assert [line.split()[1] for line in begin if line.startswith("    consist")] == [
        "check",
        "check",
        "new",
        "explain",
    ]
    assert max(map(len, ran.stderr.splitlines())) <= 80
