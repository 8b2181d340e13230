"""What every command that writes a file spares, and how a command ends whose own answer cannot be written."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from consist.cli import app

__all__: list[str] = []

ROOT = Path(__file__).resolve().parents[2]
SHELF = ROOT / "sample_sessions" / "sunday_shelf"
OUTPUTS = {
    "picture": ("picture SESSION --train Creamery --output OUT", ".svg"),
    "screen": ("screen SESSION --slips OUT", ".pdf"),
    "trailing": ("trailing SESSION --pdf OUT", ".pdf"),
    "report": ("report SESSION --output OUT", ".html"),
    "report on paper": ("report SESSION --pdf OUT", ".pdf"),
    "rating": ("rating LAYOUT SESSION/engines.csv --csv OUT", ".csv"),
    "order": ("order SESSION --write OUT", ".csv"),
}


NO_ROOM = "the answer cannot be written (no space left on device); make room, or send it elsewhere"


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A session and its layout."""
    folder = tmp_path_factory.mktemp("outputs")
    shutil.copytree(SHELF, folder / "sessions" / "shelf")
    shutil.copytree(ROOT / "layouts", folder / "layouts")
    told = (folder / "sessions/shelf/session.toml").read_text(encoding="utf-8")
    (folder / "sessions/shelf/session.toml").write_text(told.replace("../../", f"{folder}/"), encoding="utf-8")
    return folder / "sessions" / "shelf"


@pytest.mark.parametrize("command", OUTPUTS)
@pytest.mark.parametrize("spared", ["cars.csv", "session.toml", "../../layouts/puddlefold.toml"])
def test_an_output_that_points_at_a_file_that_was_read_is_refused_before_the_work(
    session: Path, command: str, spared: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    line, ending = OUTPUTS[command]
    out = session.parent / f"out{ending}"
    out.unlink(missing_ok=True)
    out.symlink_to(session / spared)
    before = (session / spared).read_bytes()
    given = {"SESSION": session, "OUT": out, "LAYOUT": session.parents[1] / "layouts/puddlefold.toml"}
    args = [str(given.get(word, word)).replace("SESSION", str(session)) for word in line.split()]
    for work in ("check", "find_order", "screen_guests", "plan_trailing", "rate_lines", "load"):
        monkeypatch.setattr(f"consist.{work}", lambda *given: pytest.fail("the work came first"), raising=False)
    ran = CliRunner().invoke(app, args)
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert ran.stderr.count("\n") == 1
    assert ran.stderr.endswith("; name another file\n")
    assert (session / spared).read_bytes() == before


def test_a_report_is_not_written_twice_into_one_file(session: Path) -> None:
    page, paper = session.parent / "one.html", session.parent / "one.pdf"
    paper.symlink_to(page)
    ran = CliRunner().invoke(app, ["report", str(session), "--output", str(page), "--pdf", str(paper)])
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert ran.stderr == "--pdf: found the same file as for --output; name another\n"
    assert not page.exists()


@pytest.mark.parametrize(
    ("command", "status", "told"),
    [
        (f"check {SHELF} >&-", 0, ""),
        (f"check {SHELF} | true; exit ${{PIPESTATUS[0]}}", 0, ""),
        ("--help >/dev/full", 2, f"{NO_ROOM}\n"),
        ("check nowhere 2>&-", 2, ""),
        ("check nowhere 2>/dev/full", 2, ""),
        ("frobnicate >&- 2>/dev/full", 2, ""),
    ],
)  # fmt: skip
def test_an_answer_that_nobody_can_read_ends_in_a_line_at_most(command: str, status: int, told: str) -> None:
    ran = subprocess.run(["bash", "-c", f"{sys.executable} -m consist {command}"], capture_output=True, text=True)
    assert (ran.returncode, ran.stdout, ran.stderr) == (status, "", told)


def test_a_path_of_thousands_of_characters_is_told_in_short() -> None:
    for args in (["check", "x" * 5000], ["strip", "--scale", "HO", "--output", "x" * 5000 + ".pdf"]):
        ran = CliRunner().invoke(app, args)
        assert (ran.exit_code, ran.stdout) == (2, "")
        assert ran.stderr.count("\n") == 1
        assert len(ran.stderr) < 600
