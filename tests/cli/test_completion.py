"""A shell is told commands, and names of the session on the line, and nothing where that cannot be read."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest
from builders import SAMPLES

__all__: list[str] = []


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("consist ch", ["check"]),
        ("consist check sunday_shelf --train Qu", ["Quarry\\ Mixed\\ 3"]),
        ("consist check sunday_shelf --without PQF\\ 7", ["PQF\\ 71"]),
        ("consist check sunday_shelf --engines 2", ["21", "22"]),
        ("consist bench sunday_shelf --done PQF\\ 71", ["PQF\\ 71="]),
        ("consist picture sunday_shelf --train Qu", ["Quarry\\ Mixed\\ 3"]),
        ("consist target --scale HOn", ["HOn3", "HOn30"]),
        ("consist target --standard am", ["amra"]),
        ("consist check nowhere --train Qu", []),
    ],
)
def test_names_are_completed(line: str, told: list[str]) -> None:
    words = line.replace("\\ ", "_").split()
    env = {**os.environ, "PYTHONPATH": str(SAMPLES.parent), "_CONSIST_COMPLETE": "complete_bash"}
    env |= {"COMP_WORDS": line, "COMP_CWORD": str(len(words) - 1)}
    ran = subprocess.run(
        [sys.executable, "-m", "consist"], env=env, cwd=SAMPLES, capture_output=True, text=True, check=False
    )
    assert (ran.stdout.split("\n") if ran.stdout.strip() else ["", ""])[:-1] == (told or [""])
    assert ran.stderr == ""
