"""The same work done by this tree and by an older commit, in turn on one machine; prints times and their ratio.

Run it as `python tests/benchmarks/bench_against.py [COMMIT]` from a checkout with its history. The older commit is
laid out in a folder of its own, with a virtual environment of its own. Asserts nothing.
"""

from __future__ import annotations

import random
import statistics
import subprocess
import sys
import tempfile
import venv
from dataclasses import dataclass
from pathlib import Path

__all__ = ["main"]

HERE = Path(__file__).resolve().parents[2]
OLD = "2bb321f"
ROUNDS = 3


@dataclass(frozen=True)
class Work:
    """What is timed: Python that prints seconds, and the ratio of old to new that is wanted."""

    name: str
    code: str
    wanted: float


_TIMED = """
import sys, time, consist
{setup}
def once():
    session = consist.load({folder!r})
    {work}
once()
started = time.perf_counter()
once()
print(time.perf_counter() - started)
"""


def _timed(folder: Path, work: str, setup: str = "") -> str:
    return _TIMED.format(folder=str(folder), work=work, setup=setup)


_REPORT = """
import subprocess, sys, tempfile, time
folder = tempfile.mkdtemp()
options = ["--output", folder + "/page.html"] + {paper} * ["--pdf", folder + "/page.pdf"]
started = time.perf_counter()
subprocess.run([sys.executable, "-m", "consist", "report", {session!r}, *options], stdout=subprocess.DEVNULL)
print(time.perf_counter() - started)
"""


def _works(folder: Path) -> list[Work]:
    club, forty = HERE / "sample_sessions" / "club_night", folder / "forty"
    _write_forty(forty)
    guests = (  # older commits have it elsewhere
        "try: from consist.screening import screen_guests\n"
        "except ImportError: from consist.checking.doorkeeping import screen_guests"
    )
    return [
        Work("club night, nine trains: load and check, second call", _timed(club, "consist.check(session)"), 5.0),
        Work("40 trains of 40 cars: load and check, second call", _timed(forty, "consist.check(session)"), 6.0),
        Work("club night: its guests, second call", _timed(club, "screen_guests(session)", guests), 3.0),
        Work("club night: report, as a command", _REPORT.format(session=str(club), paper=0), 2.5),
        Work("club night: report with paper", _REPORT.format(session=str(club), paper=1), 2.5),
    ]


def _write_forty(folder: Path) -> None:
    """Forty trains of forty cars over the hill of the sample layout."""
    folder.mkdir()
    draw = random.Random(1)
    cars, rows, trains = [], [], []
    for k in range(40):
        for spot in range(1, 41):
            name = f"C {40 * k + spot}"
            cars.append(f"{name},{draw.randrange(55, 190)},{draw.randrange(110, 230)}")
            rows.append(f"T{k},{spot},{name}")
        trains.append(
            f'[[train]]\nname = "T{k}"\nroute = ["Westing", "Nettlefoot", "Highkiln"]\nengines = ["E{k}"]\n'
        )
    engines = [f"E{k},{'ABCD'[k % 4]},{400 + 20 * (k % 7)},{110 + 9 * (k % 5)}" for k in range(40)]
    tables = {
        "cars.csv": ["car,weight_g,body_length_mm", *cars],
        "engines.csv": ["engine,class,weight_g,pull_g", *engines],
        "trains.csv": ["train,spot,car", *rows],
    }
    for name, lines in tables.items():
        (folder / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
    layout = (HERE / "layouts" / "nettlefoot_hill.toml").as_posix()
    head = f'title = "Forty trains"\nlayout = "{layout}"\n'
    (folder / "session.toml").write_text("\n".join([head, *trains]), encoding="utf-8")


def _lay_out(commit: str, folder: Path) -> Path:
    """The older commit in a folder, installed for a Python of its own; that Python."""
    tree, environment = folder / "tree", folder / "environment"
    subprocess.run(["git", "-C", HERE, "worktree", "add", "--quiet", "--detach", tree, commit], check=True)
    venv.create(environment, with_pip=True)
    python = environment / "bin" / "python"
    subprocess.run([python, "-m", "pip", "install", "--quiet", "-e", tree], check=True)
    return python


def _seconds(python: Path, code: str, folder: Path) -> float:
    ran = subprocess.run([python, "-c", code], capture_output=True, text=True, cwd=folder, check=True)
    return float(ran.stdout)


def main(commit: str = OLD) -> None:
    """Print every ratio."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        try:
            old = _lay_out(commit, folder)
            for work in _works(folder):
                pairs = [
                    (_seconds(old, work.code, folder), _seconds(Path(sys.executable), work.code, folder))
                    for _ in range(ROUNDS)
                ]
                before, after = (statistics.median(side) for side in zip(*pairs, strict=True))
                ratio = statistics.median(one / other for one, other in pairs)
                print(f"{work.name}:")
                print(
                    f"  {before:.2f} s before, {after:.2f} s now: {ratio:.1f} times as fast (wanted {work.wanted:g})"
                )
        finally:
            subprocess.run(["git", "-C", HERE, "worktree", "prune"], check=False)


if __name__ == "__main__":
    main(*sys.argv[1:2])
