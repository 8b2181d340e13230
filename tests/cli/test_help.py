"""Every command's help opens with what it answers and two examples, and every example runs."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from builders import SAMPLES
from typer.testing import CliRunner

from consist.cli import COMMANDS, app

__all__: list[str] = []

NAMES = [command.__name__ for command in COMMANDS]


def examples(*asked: str) -> list[str]:
    told = re.sub(r" \\\n +", " ", CliRunner().invoke(app, [*asked, "--help"]).stdout)
    return [line.strip().partition("   ")[0] for line in told.splitlines() if line.lstrip().startswith("consist ")]


@pytest.mark.parametrize("name", NAMES)
def test_help_opens_with_an_answer_and_two_examples(name: str) -> None:
    paragraphs = CliRunner().invoke(app, [name, "--help"]).stdout.split("\n\n")
    assert paragraphs[1].endswith(".")
    assert paragraphs[2].startswith(f"  consist {name} ")
    assert [example.split()[:2] for example in examples(name)] == [["consist", name]] * 2


@pytest.mark.parametrize("name", ["", *NAMES])
def test_every_example_runs(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for folder in ("sample_sessions", "layouts"):
        shutil.copytree(SAMPLES.parent / folder, tmp_path / folder)
    monkeypatch.chdir(tmp_path)
    # a desk is served until it is ended
    monkeypatch.setattr("uvicorn.Server.run", lambda self, sockets=None: None)
    monkeypatch.setattr("webbrowser.open", lambda url: True)
    told = examples(*filter(None, [name]))
    assert len(told) >= 2
    for example in told:
        ran = CliRunner().invoke(app, shlex.split(example)[1:])
        assert ran.exit_code in (0, 1), (example, ran.stderr)
        if name == "new":
            shutil.rmtree("my_session")


def test_options_stand_in_groups() -> None:
    told = CliRunner().invoke(app, ["order", "--help"]).stdout
    groups = {part.split(":\n")[0]: re.findall(r"^  (--[a-z-]+)", part, re.MULTILINE) for part in told.split("\n\n")}
    assert groups["What if (no file is changed)"] == ["--without", "--add", "--cars", "--engines", "--weigh"]
    assert groups["What is printed"] == ["--units", "--json", "--json-keys"]
    assert groups["Files written"] == ["--write"]
    assert groups["Options"][:2] == ["--train", "--free-blocks"]
