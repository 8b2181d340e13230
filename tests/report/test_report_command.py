"""`consist report` and `consist picture` from outside: files, exit statuses, and what is said of wrong input."""

from __future__ import annotations

import os
import subprocess
import sys
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image
from pypdf import PdfReader
from typer.testing import CliRunner, Result

import consist
from consist.cli import app

__all__: list[str] = []

ROOT = Path(consist.__file__).parents[1]
HOSTILE = "<script>alert(1)</script>"
LAYOUT = """
name = "Trial & Error"
scale = "HO"
units = "in"
[[line]]
from = "Low <Yard>, out"
to = "Hill Top, in"
track = [ { length = 40 }, { radius = 24, turn = "left", angle = 90, grade = 2.0 }, { length = 30, grade = 1.0 } ]
"""
SESSION = f"""
title = "Trial {HOSTILE}"
layout = "layout.toml"
[[train]]
name = "Hill {HOSTILE}"
route = ["Low <Yard>", "Hill Top"]
engines = ["31"]
[[train]]
name = "Empty Turn"
route = ["Hill Top", "Low <Yard>"]
"""
CARS = "car,weight_oz,body_length_in,kind\n=1+1,3.75,5.5,box\n$x^2$,0.4,5.5,flat\n" + f"{HOSTILE},3.75,5.5,tank\n"
ENGINES = "engine,class,weight_oz,pull_oz\n31,Heavy,14,0.1\n"
TRAINS = f"train,spot,car\nHill {HOSTILE},1,$x^2$\nHill {HOSTILE},2,=1+1\nHill {HOSTILE},3,{HOSTILE}\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A session with a train of hostile names, on hold for want of pull, and one without cars and engines."""
    place = tmp_path / "evening"
    place.mkdir()
    files = {"layout.toml": LAYOUT, "session.toml": SESSION, "cars.csv": CARS, "trains.csv": TRAINS}
    files["engines.csv"] = ENGINES
    for name, text in files.items():
        (place / name).write_text(text, encoding="utf-8")
    return place


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def test_a_report_is_one_page_and_one_print(folder: Path, tmp_path: Path) -> None:
    page, print_ = tmp_path / "evening.html", tmp_path / "evening.pdf"
    done = run("report", folder, "--output", page, "--pdf", print_, "--paper", "letter")
    assert done.exit_code == 1, done.output
    written, _, then = done.output.partition("\nNext: ")
    assert written == f"Written: {page}\nWritten: {print_}\n"
    assert then.startswith("consist ")
    text = page.read_text(encoding="utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert HOSTILE not in text
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text
    pages = PdfReader(BytesIO(print_.read_bytes())).pages
    assert HOSTILE in "".join(each.extract_text() for each in pages)
    assert sorted(each.name for each in tmp_path.iterdir()) == ["evening", "evening.html", "evening.pdf"]


def test_a_report_of_trains_that_may_go_exits_with_0(folder: Path, tmp_path: Path) -> None:
    (folder / "engines.csv").write_text(ENGINES.replace("0.1", "3"), encoding="utf-8")
    assert run("report", folder, "--output", tmp_path / "evening.html").exit_code == 0


def test_the_same_session_gives_the_same_bytes_in_another_process(folder: Path, tmp_path: Path) -> None:
    names = [tmp_path / f"evening{ending}" for ending in (".html", ".pdf")]
    subprocess.run(
        [sys.executable, "-m", "consist", "report", folder, "--output", names[0], "--pdf", names[1]],
        env={**os.environ, "PYTHONHASHSEED": "7", "PYTHONPATH": str(ROOT)},
        cwd=tmp_path,
        check=False,
        capture_output=True,
        timeout=120,
    )
    elsewhere = [name.read_bytes() for name in names]
    run("report", folder, "--output", names[0], "--pdf", names[1])
    assert [name.read_bytes() for name in names] == elsewhere


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "--output: found neither it nor --pdf; name the file to write, such as --output session.html"),
        (("--output", "x.txt"), "--output: found 'x.txt', expected a name that ends in .html or .htm; mend it"),
        (
            ("--output", "x.html", "--pdf", "x.html"),
            "--pdf: found 'x.html', expected a name that ends in .pdf; mend it",
        ),
        (
            ("--output", "nowhere/x.html"),
            "nowhere/x.html: the file cannot be written: its folder is missing; make the folder first or "
            "name another",
        ),
    ],
)
def test_a_wrong_name_is_told_before_any_work(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    done = run("report", folder, *arguments)
    assert (done.exit_code, done.stdout, done.stderr) == (2, "", said + "\n")
    assert [each.name for each in tmp_path.iterdir()] == ["evening"]


def test_input_that_cannot_be_used_leaves_the_old_report(folder: Path, tmp_path: Path) -> None:
    page = tmp_path / "evening.html"
    page.write_text("as it was", encoding="utf-8")
    (folder / "cars.csv").write_text("car,weight_oz\n,heavy\n", encoding="utf-8")
    done = run("report", folder, "--output", page)
    assert done.exit_code == 2
    assert "cars.csv" in done.stderr
    assert "Traceback" not in done.output
    assert page.read_text(encoding="utf-8") == "as it was"


@pytest.mark.parametrize("chart", ["train", "then", "plan", "profile", "side-use", "drawbar", "engines"])
def test_each_picture_is_written_with_whose_it_is(folder: Path, tmp_path: Path, chart: str) -> None:
    file = tmp_path / "picture.svg"
    done = run("picture", folder, "--train", f"Hill {HOSTILE}", "--chart", chart, "--output", file)
    if chart == "then" and done.exit_code == 2:
        assert "there is nothing of the kind to draw of this train; choose from train, plan" in done.stderr
        assert not file.exists()
        return
    assert (done.exit_code, done.output) == (0, f"Written: {file}\n")
    words = "".join(ElementTree.fromstring(file.read_bytes()).itertext())
    assert ("Trial" if chart == "engines" else f"Hill {HOSTILE}") in words
    assert b"<script" not in file.read_bytes()


def test_a_picture_is_of_the_kind_that_its_name_ends_in(folder: Path, tmp_path: Path) -> None:
    for ending in ("png", "pdf"):
        file = tmp_path / f"picture.{ending.upper()}"
        assert run("picture", folder, "--train", f"Hill {HOSTILE}", "--output", file).exit_code == 0
        if ending == "png":
            with Image.open(file) as image:
                assert (image.format, image.width) == ("PNG", 1020)
        else:
            assert len(PdfReader(file).pages) == 1


def test_a_train_without_cars_has_no_picture_of_their_side_use(folder: Path, tmp_path: Path) -> None:
    done = run("picture", folder, "--train", "Empty Turn", "--output", tmp_path / "x.svg")
    assert done.exit_code == 2
    assert done.stderr.startswith("--chart: there is nothing of the kind to draw of this train; choose from ")
    assert list(tmp_path.iterdir()) == [folder]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--output", "x.svg"), "--train: found none; name the train to draw, such as --train 'Local 5', or ask"),
        (
            ("--output", "x.svg", "--train", "Empty Trun"),
            "--train: no train is called 'Empty Trun'; did you mean 'Empty Turn'?",
        ),
        (
            ("--output", "x.gif", "--train", "Empty Turn"),
            "--output: found 'x.gif', expected a name that ends in .svg,",
        ),
    ],
)
def test_what_is_wrong_with_a_picture_is_one_line(folder: Path, arguments: tuple[str, ...], said: str) -> None:
    done = run("picture", folder, *arguments)
    assert done.exit_code == 2
    assert done.stderr.startswith(said)
    assert done.stderr.count("\n") == 1


def test_units_are_those_asked_for(folder: Path, tmp_path: Path) -> None:
    shown = {}
    for units in ("oz", "g"):
        file = tmp_path / f"{units}.svg"
        done = run(
            "picture", folder, "--train", f"Hill {HOSTILE}", "--chart", "drawbar", "--units", units, "--output", file
        )
        assert done.exit_code == 0
        shown[units] = "".join(ElementTree.fromstring(file.read_bytes()).itertext())
    assert "drawbar force, oz" in shown["oz"]
    assert "drawbar force, g" in shown["g"]
