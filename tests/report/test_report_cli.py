"""The commands from outside: what goes to which stream, exit statuses, terminals, pipes and broken pipes."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest
from typer.testing import CliRunner

import consist
from consist.cli import app, main

__all__: list[str] = []

ROOT = Path(consist.__file__).parents[1]

LAYOUT = """
name = "Trial Loop"
scale = "HO"
units = "in"
[[line]]
from = "Low Yard, out"
to = "Hill Top, in"
track = [
  { length = 60 },
  { radius = 30, turn = "left", angle = 90, grade = 2.0 },
  { length = 60, grade = 1.0 },
]
"""
SESSION = """
title = "Trial"
layout = "layout.toml"
[[train]]
name = "Hill Turn"
route = ["Low Yard", "Hill Top"]
engines = ["31"]
[[train]]
name = "Empty Turn"
route = ["Hill Top", "Low Yard"]
engines = ["32"]
"""
CARS = "car,weight_oz,body_length_in\nQLM 1,3.75,5.5\nQLM 2,3.75,5.5\nQLM 3,3.75,5.5\n"
TRAINS = "train,spot,car\nHill Turn,1,QLM 1\nHill Turn,2,QLM 2\nEmpty Turn,1,QLM 3\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A session whose trains have power enough."""
    files = {"layout.toml": LAYOUT, "session.toml": SESSION, "cars.csv": CARS, "trains.csv": TRAINS}
    files["engines.csv"] = "engine,class,weight_oz,pull_oz\n31,Heavy,14,3\n32,Heavy,14,3\n"
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


@pytest.fixture
def weak(folder: Path) -> Path:
    """The same with engines that cannot pull their cars."""
    (folder / "engines.csv").write_text("engine,class,weight_oz,pull_oz\n31,Light,4,0.1\n32,Light,4,0.1\n")
    return folder


class Ran:
    """What a command left behind."""

    def __init__(self, status: int, out: str, err: str) -> None:
        self.status, self.out, self.err = status, out, err


def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, *args: str | Path) -> Ran:
    """Run the command in this process."""
    monkeypatch.setattr(sys, "argv", ["consist", *map(str, args)])
    with pytest.raises(SystemExit) as ended:
        main()
    captured = capsys.readouterr()
    return Ran(int(ended.value.code or 0), captured.out, captured.err)


def environment(**more: str) -> dict[str, str]:
    """This process's environment with the project on the path."""
    kept = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "FORCE_COLOR", "COLUMNS")}
    return {**kept, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1", **more}


def spawn(*args: str | Path, env: Mapping[str, str] | None = None) -> subprocess.CompletedProcess[bytes]:
    """Run the command in a process of its own."""
    command = [sys.executable, "-m", "consist", *map(str, args)]
    return subprocess.run(command, capture_output=True, env=dict(env or environment()), timeout=120, check=False)


def test_go_and_care_end_in_0(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ran = run(capsys, monkeypatch, "check", folder)
    assert ran.status == 0
    assert "Hill Turn" in ran.out
    assert ran.out.count("STANDING ORDER") == 2
    assert "HOLD" not in ran.out.split("\n\n")[1]
    assert ran.err == ""


def test_a_train_on_hold_ends_in_1(
    weak: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ran = run(capsys, monkeypatch, "check", weak, "--no-pages")
    assert ran.status == 1
    assert "HOLD Hill Turn: power-short." in ran.out
    assert "STANDING ORDER" not in ran.out


def test_only_the_train_asked_for_counts(
    weak: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (weak / "engines.csv").write_text("engine,class,weight_oz,pull_oz\n31,Light,4,0.1\n32,Heavy,14,3\n")
    ran = run(capsys, monkeypatch, "check", weak, "--train", "Empty Turn", "--json")
    assert ran.status == 0
    assert [train["train"] for train in json.loads(ran.out)["trains"]] == ["Empty Turn"]


def test_json_is_one_object_of_all_trains(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ran = run(capsys, monkeypatch, "check", folder, "--json")
    whole = json.loads(ran.out)
    assert (whole["schema"], whole["session"], whole["layout"]) == (1, "Trial", "Trial Loop")
    assert [train["train"] for train in whole["trains"]] == ["Hill Turn", "Empty Turn"]


def test_units_follow_the_layout_or_the_option(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "7.5 oz of cars" in run(capsys, monkeypatch, "check", folder).out
    assert "213 g of cars" in run(capsys, monkeypatch, "check", folder, "--units", "g").out  # 7.5 × 28.35


def test_an_unknown_train_names_the_nearest(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ran = run(capsys, monkeypatch, "check", folder, "--train", "Hil Turn")
    assert ran.status == 2
    assert ran.out == ""
    assert ran.err.count("\n") == 1
    assert "'Hil Turn'" in ran.err
    assert "did you mean 'Hill Turn'?" in ran.err


def test_unusable_input_gives_a_line_a_problem_and_2(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = ("car,weight_oz,body_length_in", "QLM 1,heavy,5.5", "QLM 2,3,long", "QLM 3,3,5")
    (folder / "cars.csv").write_text("\n".join(rows))
    ran = run(capsys, monkeypatch, "check", folder)
    assert ran.status == 2
    assert ran.out == ""
    lines = ran.err.splitlines()
    assert len(lines) >= 2
    assert all(line.startswith("cars.csv, row ") for line in lines)
    assert "Traceback" not in ran.err


@pytest.mark.parametrize("command", ["check", "layout"])
def test_a_path_that_is_not_there_ends_in_2(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ran = run(capsys, monkeypatch, command, tmp_path / "nowhere")
    assert ran.status == 2
    assert ran.out == ""
    assert ran.err.count("\n") == 1


@pytest.mark.parametrize(
    "args", [["check"], ["chek", "x"], ["check", "x", "--unit", "oz"], ["check", "x", "--units", "kg"]]
)
def test_wrong_use_ends_in_2(
    args: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ran = run(capsys, monkeypatch, *args)
    assert ran.status == 2
    assert ran.out == ""
    assert ran.err.count("\n") == 1


def test_layout_as_page_and_as_json(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    page = run(capsys, monkeypatch, "layout", folder / "layout.toml")
    assert page.status == 0
    assert "30 in left" in page.out
    assert "762 mm left" in run(capsys, monkeypatch, "layout", folder / "layout.toml", "--units", "g").out
    whole = json.loads(run(capsys, monkeypatch, "layout", folder / "layout.toml", "--json").out)
    assert whole["lines"][0]["sharpest_radius_mm"] == pytest.approx(762.0)


def test_new_writes_what_check_can_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    made = tmp_path / "my evening"
    ran = run(capsys, monkeypatch, "new", made, "--scale", "N")
    assert ran.status == 0
    assert all(str(path) in ran.out for path in made.iterdir())
    assert f"consist check '{made}'" in ran.out
    assert run(capsys, monkeypatch, "check", made).status == 0
    again = run(capsys, monkeypatch, "new", made)
    assert again.status == 2
    assert again.out == ""


def test_interrupted_work_ends_in_130(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("consist.load", interrupted, raising=False)
    ran = run(capsys, monkeypatch, "check", folder)
    assert ran.status == 130
    assert ran.out == ""
    assert "Traceback" not in ran.err


def test_help_is_in_plain_words_loads_nothing_heavy_and_keeps_to_80_columns() -> None:
    heavy = ("numpy", "pandas", "networkx", "scipy", "openpyxl", "rich.progress", "markupsafe", "reportlab", "PIL")
    listed = CliRunner().invoke(app, ["--help"]).stdout
    commands = re.findall(r"^  ([a-z]+) {2,}\S", listed.split("Commands:")[1], re.MULTILINE)
    assert {"check", "order", "power", "rating", "bench", "screen", "report", "picture", "strip"} <= set(commands)
    for command in commands:
        told = next(line for line in listed.splitlines() if line.split()[:1] == [command])
        assert "..." not in told
    code = (
        "import sys\nfrom consist.cli import main\n"
        f"for args in (['--help'], ['--version'], *([command, '--help'] for command in {commands!r})):\n"
        "    sys.argv = ['consist', *args]\n"
        "    try:\n        main()\n    except SystemExit as end:\n        assert not end.code, args\n"
        f"    print(args, [name for name in {heavy!r} if name in sys.modules], file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=environment(), timeout=60, check=True
    )
    assert len(done.stderr.splitlines()) == len(commands) + 2
    assert all(line.endswith(" []") for line in done.stderr.splitlines()), done.stderr
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_output_is_utf_8_whatever_the_locale_and_plain_when_piped(folder: Path) -> None:
    hostile = environment(LC_ALL="C", PYTHONIOENCODING="ascii", PYTHONUTF8="0", FORCE_COLOR="1", COLUMNS="200")
    done = spawn("check", folder, env=hostile)
    text = done.stdout.decode("utf-8")
    assert done.returncode == 0
    assert "══ Trial ═" in text
    assert b"\x1b" not in done.stdout
    pages, _, to_copy = text.partition("\nNext: ")  # a command to copy stands on one line, however long
    assert max(map(len, pages.splitlines())) <= 80
    assert to_copy.count("\n") == 1
    assert done.stderr == b""
    assert spawn("check", folder).stdout == done.stdout


def test_a_reader_that_leaves_early_is_no_error(folder: Path) -> None:
    command = [sys.executable, "-m", "consist", "check", str(folder)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment())
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    err = process.stderr.read()
    process.stderr.close()
    assert process.wait(timeout=60) == 0
    assert err == b""


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs a device that is always full")
def test_a_full_disk_ends_in_2_with_one_line(folder: Path) -> None:
    command = [sys.executable, "-m", "consist", "check", str(folder)]
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            command, stdout=full, stderr=subprocess.PIPE, env=environment(), timeout=60, check=False
        )
    assert done.returncode == 2
    assert done.stderr.count(b"\n") == 1
    assert b"Traceback" not in done.stderr


def on_a_terminal(folder: Path, columns: int, **more: str) -> str:
    """What the check writes to a terminal of that many columns."""
    fcntl, pty, struct, termios = (pytest.importorskip(name) for name in ("fcntl", "pty", "struct", "termios"))
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 50, columns, 0, 0))
    command = [sys.executable, "-m", "consist", "check", str(folder)]
    env = environment(TERM="xterm-256color", **more)
    process = subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, env=env, close_fds=True)
    os.close(theirs)
    seen = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # how Linux tells that the other side has closed
            break
        if not part:
            break
        seen += part
    os.close(ours)
    process.wait(timeout=60)
    return seen.decode("utf-8")


def test_a_terminal_gets_colour_unless_it_is_not_wanted(folder: Path) -> None:
    plain = spawn("check", folder).stdout.decode("utf-8")
    coloured = on_a_terminal(folder, 80)
    assert "\x1b[1m" in coloured
    stripped = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", coloured).replace("\r", "")
    assert [line.rstrip() for line in stripped.splitlines() if line.strip()] == [
        line for line in plain.splitlines() if line
    ]
    quiet = on_a_terminal(folder, 80, NO_COLOR="1")
    assert quiet.replace("\r", "") == plain


def test_a_wide_terminal_gets_wider_pages_up_to_100(folder: Path) -> None:
    lines = on_a_terminal(folder, 180, NO_COLOR="1").replace("\r", "").partition("\nNext: ")[0].splitlines()
    assert max(map(len, lines)) == 100


def test_sentences_are_in_the_units_asked_for(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a layout in inches: what is found says grams where grams are wanted, and the JSON stays itself."""
    (folder / "cars.csv").write_text(CARS.replace("QLM 2,3.75", "QLM 2,1.25"), encoding="utf-8")
    shown = {units: run(capsys, monkeypatch, "check", folder, "--units", units).out for units in ("oz", "g")}
    assert "QLM 2 in spot 2 weighs 1.25 oz" in " ".join(shown["oz"].split())
    assert "QLM 2 in spot 2 weighs 35.4 g" in " ".join(shown["g"].split())
    assert not re.search(r"\d oz\b|\d in\b(?! spot)", shown["g"])
    told = [run(capsys, monkeypatch, "check", folder, "--json", "--units", units).out for units in ("oz", "g")]
    assert told[0] == told[1]
