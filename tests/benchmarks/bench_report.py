"""How long a session's report takes, as a ratio to its check, and how large it is. Prints, never asserts.

Run it as `python tests/benchmarks/bench_report.py`.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

__all__ = ["main"]

ROOT = Path(__file__).resolve().parents[2]
SESSIONS = ("sunday_shelf", "club_night")
TARGET_RATIO, TARGET_MB = 4.0, 2.0
REPEATS = 3
BYTES_A_MB = 1_000_000


def _seconds(*arguments: str | Path) -> float:
    """The least time of a few runs of `consist` with those arguments, as whole processes."""
    taken = []
    for _ in range(REPEATS):
        started = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-m", "consist", *map(str, arguments)],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
        if done.returncode not in (0, 1):
            raise SystemExit(done.stderr)
        taken.append(time.perf_counter() - started)
    return min(taken)


def main() -> None:
    """Time the check, the page and the paper of each HO sample."""
    for name in SESSIONS:
        folder = ROOT / "sample_sessions" / name
        with tempfile.TemporaryDirectory() as place:
            page, paper = Path(place) / "session.html", Path(place) / "session.pdf"
            check = _seconds("check", folder)
            as_page = _seconds("report", folder, "--output", page)
            both = _seconds("report", folder, "--output", page, "--pdf", paper)
            sizes = [file.stat().st_size / BYTES_A_MB for file in (page, paper)]
        print(name)
        print(f"  check            {check:6.2f} s")
        print(
            f"  page             {as_page:6.2f} s, {as_page / check:.2f} times the check (target {TARGET_RATIO:.0f})"
        )
        print(f"  page and paper   {both:6.2f} s, {both / check:.2f} times the check")
        print(f"  page of {sizes[0]:.2f} MB (target {TARGET_MB:.0f}), paper of {sizes[1]:.2f} MB")


if __name__ == "__main__":
    main()
