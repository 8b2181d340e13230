"""The README says what the program does now."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

from typer.testing import CliRunner

from consist.cli import COMMANDS, app

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
NAMES = [command.__name__ for command in COMMANDS]


def test_the_excerpt_is_what_the_program_prints() -> None:
    section = README.split("## What it prints")[1].split("\n\nThe exit status")[0]
    excerpt = [line[4:].rstrip() for line in section.splitlines() if line.startswith("    ")]
    assert len(excerpt) > 8
    printed = CliRunner().invoke(app, ["check", str(ROOT / "sample_sessions/sunday_shelf")]).stdout
    lines = {line.rstrip() for line in printed.splitlines()}
    assert [line for line in excerpt if line and line not in lines] == []


def test_every_command_and_option_that_is_named_exists() -> None:
    """And every command is named."""
    helped = {name: CliRunner().invoke(app, [name, "--help"]).stdout for name in NAMES}
    assert all(f"`consist {name} " in README or f" consist {name} " in README for name in NAMES)
    options = set(re.findall(r"--[a-z][a-z-]+", README.split("## What it prints")[1]))
    assert len(options) > 20
    assert {option for option in options if not any(option in told for told in helped.values())} == set()


def test_the_example_of_the_api_runs() -> None:
    results = doctest.testfile(str(ROOT / "README.md"), module_relative=False)
    assert results.attempted > 0
    assert results.failed == 0
