"""The README says what the program does now."""

from __future__ import annotations

import doctest
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from consist.cli import app

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_excerpt_is_what_the_program_prints() -> None:
    section = README.split("## What it prints")[1].split("\n\nThe exit status")[0]
    excerpt = [line[4:].rstrip() for line in section.splitlines() if line.startswith("    ")]
    assert len(excerpt) > 50
    printed = CliRunner().invoke(app, ["check", str(ROOT / "sample_sessions/club_night")]).stdout
    lines = {line.rstrip() for line in printed.splitlines()}
    assert [line for line in excerpt if line and line not in lines] == []


def test_the_excerpt_of_a_better_order_is_what_the_program_prints() -> None:
    section = README.split("## A better order")[1].split("\n## ")[0]
    command, *excerpt = [line[4:].rstrip() for line in section.splitlines() if line.startswith("    ")]
    assert len(excerpt) > 5
    args = [str(ROOT / arg) if "/" in arg else arg for arg in shlex.split(command)]
    assert args[0] == "consist"
    lines = {line.rstrip() for line in CliRunner().invoke(app, args[1:]).stdout.splitlines()}
    assert [line for line in excerpt if line not in lines] == []


def test_the_excerpts_of_engines_for_the_evening_are_what_the_program_prints() -> None:
    section = README.split("## Engines for the evening")[1].split("\n## ")[0]
    shown = [line[4:].rstrip() for line in section.splitlines() if line.startswith("    ")]
    commands = [shlex.split(line) for line in shown if line.startswith("consist ")]
    assert [command[1] for command in commands] == ["power", "rating"]
    printed = ""
    for command in commands:
        printed += CliRunner().invoke(app, [str(ROOT / arg) if "/" in arg else arg for arg in command[1:]]).stdout
    lines = {line.rstrip() for line in printed.splitlines()}
    excerpt = [line for line in shown if not line.startswith("consist ")]
    assert len(excerpt) > 10
    assert [line for line in excerpt if line not in lines] == []


@pytest.mark.parametrize(("title", "least"), [("At the bench", 14), ("At the door", 12)])
def test_the_excerpts_of_bench_and_door_are_what_the_program_prints(title: str, least: int) -> None:
    section = README.split(f"## {title}\n")[1].split("\n## ")[0]
    shown = [line[4:].rstrip() for line in section.splitlines() if line.startswith("    ")]
    commands = [line for line in shown if line.startswith("consist ")]
    excerpt = [line for line in shown if line and line not in commands]
    assert len(excerpt) >= least
    lines: set[str] = set()
    for command in commands:
        args = [str(ROOT / arg) if "/" in arg else arg for arg in shlex.split(command)]
        lines |= {line.rstrip() for line in CliRunner().invoke(app, args[1:]).stdout.splitlines()}
    assert [line for line in excerpt if line not in lines] == []


def test_the_example_of_the_api_runs() -> None:
    results = doctest.testfile(str(ROOT / "README.md"), module_relative=False)
    assert results.attempted > 0
    assert results.failed == 0
