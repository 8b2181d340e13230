"""Ctrl-C: every command ends within a second, in one line, and a search keeps the best it has found."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest

__all__: list[str] = []

ROOT = Path(__file__).parents[1]
CLUB = ROOT / "sample_sessions" / "club_night"
ON_POSIX = pytest.mark.skipif(sys.platform == "win32", reason="sends a signal")
SOON = 2.0
"""Seconds: a second, and as much for a machine that does other things too."""
NEVER_DONE = """
import sys, time
import consist
from consist.cli import main
sys.stderr.reconfigure(line_buffering=True)

def never_done(*_, **__):
    print("begun", file=sys.stderr, flush=True)
    while True:
        time.sleep(0.01)

consist.{call} = never_done
sys.argv = ["consist", *{arguments!r}]
main()
"""


def stopped(script: str, seconds: float = 0.3) -> tuple[int, str, str, float]:
    """What a process does that gets Ctrl-C when it has begun: its status, stdout, stderr, and how long it takes."""
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    pipe = subprocess.PIPE
    process = subprocess.Popen([sys.executable, "-c", script], stdout=pipe, stderr=pipe, text=True, env=env)
    assert process.stderr is not None
    assert process.stderr.readline().strip() == "begun"
    time.sleep(seconds)
    process.send_signal(signal.SIGINT)
    sent = time.monotonic()
    try:
        out, err = process.communicate(timeout=20)
    finally:
        process.kill()
    return process.returncode, out, err, time.monotonic() - sent


COMMANDS = {
    "check": ("check",),
    "screen_guests": ("screen", "--slips", "FILE.pdf"),
    "plan_trailing": ("trailing", "--pdf", "FILE.pdf"),
    "write_report": ("report", "--output", "FILE.html"),
    "plan_power": ("power",),
    "plan_bench": ("bench",),
}


@ON_POSIX
@pytest.mark.parametrize("call", COMMANDS)
def test_a_command_that_is_stopped_says_so_in_one_line_and_writes_nothing(call: str, tmp_path: Path) -> None:
    command, *options = COMMANDS[call]
    arguments = [command, str(CLUB), *(each.replace("FILE", str(tmp_path / "made")) for each in options)]
    status, out, err, took = stopped(NEVER_DONE.format(call=call, arguments=arguments))
    assert (status, out, err) == (130, "", "Stopped by Ctrl-C before its end.\n")
    assert took < SOON
    assert not list(tmp_path.iterdir())


SOLVING = """
import sys
import numpy as np
from consist.power.programme import Programme

programme, chance = Programme(), np.random.default_rng(1)
columns = [programme.column(1.0) for _ in range(60)]
for _ in range(20):
    factors = chance.integers(1, 1000, 60)
    programme.row({c: float(f) for c, f in zip(columns, factors)}, *(2 * [float(factors.sum() // 2)]))
print("begun", file=sys.stderr, flush=True)
try:
    programme.minimise({c: float(f) for c, f in zip(columns, chance.random(60))})
except KeyboardInterrupt:
    sys.exit(130)
print("solved")
"""


@ON_POSIX
def test_a_solver_at_work_is_stopped_too() -> None:
    status, out, _, took = stopped(SOLVING, seconds=0.7)
    assert (status, out) == (130, "")
    assert took < SOON


SLOW_CHECK = """
import sys, time
import consist
from consist.cli import main

check = consist.check

def slow(*given, **asked):
    time.sleep(1.5)
    return check(*given, **asked)

consist.check = slow
sys.argv = ["consist", "check", {session!r}, "--train", "Marlpit Turn", "--engines", "42"]
main()
"""


@ON_POSIX
def test_a_what_if_shows_that_the_train_is_checked_as_it_was() -> None:
    """On a terminal; a pipe gets nothing of it."""
    script = SLOW_CHECK.format(session=str(CLUB))
    ours, theirs = os.openpty()
    env = {**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm", "COLUMNS": "80"}
    run = [sys.executable, "-c", script]
    process = subprocess.Popen(run, stdout=subprocess.DEVNULL, stderr=theirs, env=env)
    os.close(theirs)
    seen = b""
    with suppress(OSError):  # how Linux tells that the other side has closed
        while part := os.read(ours, 65536):
            seen += part
    os.close(ours)
    process.wait(timeout=60)
    assert b"Checking as it was:" in seen
    piped = subprocess.run(run, capture_output=True, env=env, timeout=60, check=False)
    assert piped.stderr == b""
