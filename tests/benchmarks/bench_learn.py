"""How long it takes to learn from 2,000 runs of a fleet of 300 cars, trains alike or all unlike; asserts nothing.

python tests/benchmarks/bench_learn.py
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from made_up_railroads import Railroad  # noqa: E402

from consist.intake import RUNS, read_runs  # noqa: E402
from consist.intake.runs import COLUMNS, _cells, _line  # noqa: E402
from consist.learning.lessons import learned  # noqa: E402

RUNS_LOGGED, FLEET, RIDING = 2000, 300, 20
TARGET_S = 3.0


def main() -> None:
    """Print the figures."""
    chance = np.random.default_rng(1)
    unlike = Railroad(fleet=FLEET).runs(RUNS_LOGGED, chance, riding=RIDING)
    alike = [unlike[number % 100] for number in range(RUNS_LOGGED)]
    for name, runs in (("100 trains again and again", alike), ("no train twice the same", unlike)):
        with tempfile.TemporaryDirectory() as folder:
            (Path(folder) / RUNS).write_bytes(b"".join([_line(COLUMNS), *(_line(_cells(run)) for run in runs)]))
            started = time.perf_counter()
            read = read_runs(Path(folder))
            reading = time.perf_counter() - started
            told = learned(read)
            took = time.perf_counter() - started
        print(
            f"{name}: {took:.2f} s ({took / TARGET_S:.2f} of {TARGET_S:g}), {reading:.2f} s of it reading; "
            f"{told.off} off"
        )


if __name__ == "__main__":
    main()
