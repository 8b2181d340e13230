"""How long a check takes and how much memory, as ratios that hold from machine to machine. Prints, never asserts.

Run it as `python tests/benchmarks/bench_check.py`.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parents[2])]

# the path has to be set before the package and the tests' own helpers are found
import plain  # noqa: E402
from builders import (  # noqa: E402
    World,
    car,
    curve,
    engine,
    plain_house,
    plain_pieces,
    plain_train,
    straight,
    world,
)

from consist.track import Piece  # noqa: E402
from consist.trains import prepared  # noqa: E402

__all__ = ["main"]

CARS = 100
ROUTE_MM = 100_000.0
TARGET_SECONDS, TARGET_MB, TARGET_RATIO = 0.2, 180.0, 2.2
SAMPLED_HEADS = 12
REPEATS = 5
BARE_IMPORT = "import numpy, pandas, networkx"
HEAVY = ("numpy", "pandas", "scipy", "networkx")


def _long_train() -> World:
    """A hundred cars of twenty sizes behind three engines, over 100 m of curves, S curves and grades."""
    pieces: list[Piece] = []
    grades = (0.0, 1.0, 2.0, -1.5, 0.5, -2.0)
    while sum(piece.length_mm for piece in pieces) < ROUTE_MM:
        k = len(pieces) // 4
        grade = grades[k % len(grades)]
        turn = "left" if k % 3 else "right"
        pieces += [
            straight(900.0 + 70.0 * (k % 5), grade),
            curve(610.0 + 40.0 * (k % 7), 45.0 + 15.0 * (k % 4), turn, grade_percent=grade, easement_mm=200.0),
            straight(400.0),
            curve(760.0, 30.0, "right", grade_percent=grade),
        ]
    over = sum(piece.length_mm for piece in pieces) - ROUTE_MM
    pieces = [straight(max(1.0, pieces[0].straight_mm - over)), *pieces[1:]]
    cars = [car(f"C{k}", 60.0 + 9.0 * (k % 13), 130.0 + 8.0 * (k % 20)) for k in range(CARS)]
    return world(pieces, cars, [engine(f"{k}", 450.0, 140.0) for k in range(3)])


def _seconds(of: World) -> float:
    started = time.perf_counter()
    # a session of its own, so that the train is prepared anew
    prepared(replace(of.session), of.train).run()
    return time.perf_counter() - started


def _peak_mb() -> float:
    """This process's own peak; the kernel's figure for children may be that of the parent before it was replaced."""
    status = Path("/proc/self/status")
    if status.exists():
        line = next(row for row in status.read_text().splitlines() if row.startswith("VmHWM"))
        return int(line.split()[1]) / 1024.0
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def _in_a_fresh_process() -> None:
    of = _long_train()
    first = _seconds(of)
    again = min(_seconds(of) for _ in range(REPEATS))
    print(f"{first} {again} {_peak_mb()}")


def _plain_seconds(of: World) -> float:
    """The plain model at each millimetre, scaled from a few heads spread over the route."""
    track, house = plain.Track(plain_pieces(of.train.route.pieces)), plain_house(of.session)
    stock = plain_train(of.train.engines, of.train.cars)
    started = time.perf_counter()
    for k in range(SAMPLED_HEADS):
        plain.figures(stock, track, house, (k + 0.37) / SAMPLED_HEADS * of.length_mm)
    return (time.perf_counter() - started) / SAMPLED_HEADS * of.length_mm


def _environment() -> dict[str, str]:
    path = os.pathsep.join([str(HERE.parents[2]), os.environ.get("PYTHONPATH", "")]).rstrip(os.pathsep)
    return {**os.environ, "PYTHONPATH": path}


def _fastest(*arguments: str) -> float:
    """The least time of a few runs of Python with those arguments; a first run fills the caches."""
    taken = []
    for _ in range(REPEATS + 1):
        started = time.perf_counter()
        subprocess.run([sys.executable, *arguments], env=_environment(), stdout=subprocess.DEVNULL, check=False)
        taken.append(time.perf_counter() - started)
    return min(taken[1:])


LAYOUT = """name = "Bench"
scale = "HO"
units = "mm"

[[line]]
from = "Left Yard, out"
to = "Right Yard, in"
track = [
  { length = 2000 },
  { radius = 700, turn = "left", angle = 120, grade = 1.5, easement = 250 },
  { length = 3000, grade = 1.5 },
  { radius = 650, turn = "right", angle = 90 },
  { length = 4000 },
]
"""
SESSION = """title = "Bench"
layout = "layout.toml"

[[train]]
name = "Freight 1"
route = ["Left Yard", "Right Yard"]
engines = ["1"]

[[train]]
name = "Freight 2"
route = ["Right Yard", "Left Yard"]
engines = ["2"]
"""


def _write_session(folder: Path) -> None:
    """Two trains of twenty cars over 12 m."""
    cars = [f"C {k},{70 + 3 * (k % 17)},{125 + 5 * (k % 9)}" for k in range(40)]
    rows = [f"Freight {1 + k // 20},{1 + k % 20},C {k}" for k in range(40)]
    tables = {
        "cars.csv": ["car,weight_g,body_length_mm", *cars],
        "engines.csv": ["engine,class,weight_g,pull_g", "1,A,480,130", "2,A,470,125"],
        "trains.csv": ["train,spot,car", *rows],
    }
    for name, lines in tables.items():
        (folder / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
    (folder / "layout.toml").write_text(LAYOUT, encoding="utf-8")
    (folder / "session.toml").write_text(SESSION, encoding="utf-8")


def _bench_long_train() -> None:
    child = subprocess.run(
        [sys.executable, str(HERE), "--fresh"], env=_environment(), capture_output=True, text=True, check=True
    )
    first, again, megabytes = map(float, child.stdout.split())
    of = _long_train()
    print(f"{CARS} cars over {of.length_mm / 1000.0:.1f} m, tables and run:")
    print(f"  first time in a fresh process  {first:6.2f} s")
    print(f"  fastest of {REPEATS} after it         {again:6.2f} s   (target {TARGET_SECONDS} s)")
    print(f"  peak memory of the process     {megabytes:6.0f} MB  (target {TARGET_MB:.0f} MB)")
    plain_seconds = _plain_seconds(of)
    print(f"  plain model at each millimetre {plain_seconds:6.0f} s   (scaled from {SAMPLED_HEADS} heads)")
    print(f"  plain model over tables and run {plain_seconds / again:,.0f} to 1")


def _bench_command() -> None:
    with tempfile.TemporaryDirectory() as folder:
        _write_session(Path(folder))
        arguments = ("-m", "consist", "check", folder)
        tried = subprocess.run(
            [sys.executable, *arguments], env=_environment(), capture_output=True, text=True, check=False
        )
        if tried.returncode == 2:
            print(f"consist check could not read its session:\n{tried.stdout}{tried.stderr}")
            return
        check, bare = _fastest(*arguments), _fastest("-c", BARE_IMPORT)
    print("consist check of two trains of twenty cars, as a command:")
    print(f"  {check:.2f} s, {check / bare:.2f} times the bare import of numpy, pandas and networkx ({bare:.2f} s)")
    print(f"  (target {TARGET_RATIO:g} times)")


def _bench_ranges() -> None:
    """What ranges add to a check, as a command."""
    root = HERE.parents[2]
    with tempfile.TemporaryDirectory() as folder:
        _write_session(Path(folder))
        told = (("two trains", folder, 0.15), ("club night", str(root / "sample_sessions/club_night"), 0.5))
        print("ranges add to consist check, as a command:")
        for name, session, target in told:
            arguments = ("-m", "consist", "check", session)
            with_them, without = _fastest(*arguments), _fastest(*arguments, "--no-ranges")
            print(f"  {name}: {with_them - without:.2f} s to {without:.2f} s   (target {target} s)")


def _bench_help() -> None:
    shown = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "consist", "--help"],
        env=_environment(),
        capture_output=True,
        text=True,
        check=False,
    )
    names = {line.rsplit("|", 1)[-1].strip() for line in shown.stderr.splitlines() if "|" in line}
    loaded = [name for name in HEAVY if name in names]
    help_seconds, nothing = _fastest("-m", "consist", "--help"), _fastest("-c", "pass")
    print("consist --help:")
    print(f"  {help_seconds:.2f} s, a bare start of Python {nothing:.2f} s")
    print(f"  loads {', '.join(loaded) or 'none'} of {', '.join(HEAVY)}")


def main() -> None:
    """Print every figure."""
    _bench_long_train()
    _bench_command()
    _bench_ranges()
    _bench_help()


if __name__ == "__main__":
    if "--fresh" in sys.argv:
        _in_a_fresh_process()
    else:
        main()
