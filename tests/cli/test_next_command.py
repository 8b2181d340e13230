"""A command ends by telling the one command that helps next, which runs as it is told, and none with --json."""

from __future__ import annotations

import json
import shlex
import shutil
from pathlib import Path

import pytest
from builders import SAMPLES
from typer.testing import CliRunner

from consist.cli import app

__all__: list[str] = []

SHELF, NIGHT = "my sessions/sunday_shelf", "my sessions/club_night"


@pytest.fixture(autouse=True)
def samples(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(SAMPLES, tmp_path / "my sessions")
    shutil.copytree(SAMPLES.parent / "layouts", tmp_path / "layouts")
    monkeypatch.chdir(tmp_path)


def told_next(*args: str) -> str:
    """The last line, where it tells the next command."""
    last = CliRunner().invoke(app, args).stdout.rstrip("\n").splitlines()[-1]
    return last.partition(": ")[2] if last.startswith("Next") else ""


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (("check", SHELF), f"consist order '{SHELF}' --train 'Quarry Mixed 3'"),
        (("check", SHELF, "--train", "Creamery 5"), ""),
        (("check", SHELF, "--train", "Coal Empties 2"), f"consist bench '{SHELF}'"),
        (("check", SHELF, "--train", "Quarry Mixed 3", "--without", "PQF 71"), ""),
        (
            ("order", SHELF, "--train", "Quarry Mixed 3", "--seconds", "1"),
            f"consist order '{SHELF}' --train 'Quarry Mixed 3' --seconds 1.0 --write new_trains.csv",
        ),
        (
            ("order", SHELF, "--train", "Quarry Mixed 3", "--write", f"{SHELF}/trains.csv"),
            f"consist check '{SHELF}'",
        ),
        (("screen", NIGHT), f"consist screen '{NIGHT}' --slips slips.pdf"),
        (("trailing", SHELF), f"consist trailing '{SHELF}' --pdf card.pdf"),
        (("target", "--scale", "N", "--length", "4in"), "consist strip --scale N --output strip.pdf"),
    ],
)
def test_the_next_command_is_told_and_runs(args: tuple[str, ...], told: str) -> None:
    assert told_next(*args) == told
    if told:
        assert CliRunner().invoke(app, shlex.split(told)[1:]).exit_code in (0, 1)


def test_the_bench_tells_how_to_write_down_the_next_car() -> None:
    first = told_next("bench", SHELF)
    assert shlex.split(first)[:4] == ["consist", "bench", SHELF, "--done"]
    second = told_next(*shlex.split(first)[1:])
    assert second.startswith("consist bench")
    assert second != first


@pytest.mark.parametrize("command", ["check", "trailing", "power", "bench"])
def test_json_is_json_alone(command: str) -> None:
    ran = CliRunner().invoke(app, [command, SHELF, "--json"])
    assert json.loads(ran.stdout)
    assert "Next" not in ran.stderr
