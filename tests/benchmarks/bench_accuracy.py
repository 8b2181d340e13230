"""How near full runs of random sessions come to the plain model at every millimetre. Prints the worst, never asserts.

Run it as `python tests/benchmarks/bench_accuracy.py [SESSIONS [FIRST_SEED]]`, for 300 sessions if not told. A session
takes the plain model about half a second.
"""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parents[2])]

# the path has to be set before the package and the tests' own helpers are found
from against_plain import FIGURES, Difference, differences  # noqa: E402
from many_sessions import random_session  # noqa: E402

__all__ = ["main"]

DEFAULTS = ("300", "0")
PROMISED = 0.005


def main() -> None:
    """Print the worst difference of each figure, and how many peaks are off by more than promised."""
    count, first = (int(text) for text in (*sys.argv[1:3], *DEFAULTS[len(sys.argv) - 1 :]))
    seen: dict[str, list[Difference]] = {name: [] for name in FIGURES}
    for seed in range(first, first + count):
        for one in differences(random_session(seed)):
            seen[one.figure].append(one)
    print(f"{count} sessions, the plain model at every millimetre and joint:")
    for name, found in seen.items():
        worst = max(found)
        over = sum(one.share > PROMISED for one in found)
        print(
            f"  {name:10} {100.0 * worst.share:.4f} % at worst of {len(found)} peaks, {over} over "
            f"{100.0 * PROMISED:g} % (session {worst.seed}, leg {worst.leg}, number {worst.number}: "
            f"{worst.found:.6g} for {worst.expected:.6g})"
        )


if __name__ == "__main__":
    main()
