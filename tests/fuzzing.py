"""Damaged sessions and wrong command lines, many of them, drawn from a seed, and what no run of any may do.

Run it as `python tests/fuzzing.py [CASES [FIRST_SEED]]`, for 2,000 cases if not told: some minutes. It prints every
broken promise with the seed that breaks it, and exits with 1 where there is one. The promise: a run ends soon, with
exit 0, 1 or 2; where it is 2 it says so in plain lines, and what it has changed if anything; there is no traceback
and no warning; no file is changed or added that was not asked for, and one that is replaced is kept.
"""

from __future__ import annotations

import csv
import datetime
import hashlib
import io
import random
import shutil
import signal
import sys
import tempfile
import traceback
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

from openpyxl import Workbook  # type: ignore[import-untyped]
from typer.testing import CliRunner

from consist.cli import app

__all__ = ["broken_promise", "main"]

ROOT = Path(__file__).resolve().parents[1]
SECONDS = 20
"""No run may take longer."""
LONGEST_LINE = 600
"""A line that tells of a problem is no longer."""
TABLES = {
    "guests.csv": (
        "car,kind,weight_g,body_length_mm,coupler_mount,max_swing_deg,owner",
        "VV 1,box 40,24.5,76,body,14,Ida",
        "VV 2,,,80,truck,,",
    ),
    "pieces.csv": ("piece,weight_g,length_mm,on_hand", "nut,1.2,6,20", "strip,7,19,8"),
}
ODD_CELLS = (
    "", " ", "0", "-1", "-0.0", "1e308", "1e-308", "nan", "inf", "-inf", "1,5", "1.5 %", "5 lb", "3 1/2", "1/0",
    "9" * 400, "=1+1", "@now", "#", "# 7", "#7 Turn", "\ufeff", "\x00", "\x07", "\u202e", "\uffff", "e\u0301",
    "\U0001f682", "'", '"', '""', "yes", "no", "x", "TRUE", "HO", "None", "2026-03-04", "a,b", "a;b", "a\tb",
    "a\nb", "../x", "C:\\x", "--help", "<b>", "{{x}}", "\u0661\u0662", "\u00bd", "\u22125", "1_000", "0x10",
    "1e3", "+5", "5.", ".5", "5 g", "5oz", "2in", "lots", "x" * 5000,
)  # fmt: skip
ODD_VALUES = (
    "0", "-1", "1e400", "nan", "-inf", '""', '"x"', "[]", "[[]]", "{}", "true", "1979-05-27", "[1, 2]", '["a"]',
    '"\\u0000"', '"Puddlefold"', '"Nowhere"', '"8:61"', '"25:00"', "1e9", "1e-9", "9" * 30, '"../../x"', '"N"',
    '"87.1"', '"in"', "{ a = 1 }", '"H0e"', '"0"', '"nem-302"', "{ base_oz = 1, per_mm_g = 0.5 }",
    "{ ratio = 87.1, gauge_mm = 9, coupler_height_mm = 9.9 }",
    "{ ratio = 29, gauge_mm = 45, coupler_height_mm = 30 }",
)  # fmt: skip
OPTIONS = (
    "--json", "--units", "oz", "g", "kg", "--train", "Creamery 5", "Nope", "", "--seconds", "0.1", "0", "-1",
    "nan", "1e9", "--seed", "7", "--free-blocks", "--keep-given", "--minutes", "20", "--per-car", "4",
    "--no-pages", "--chart", "plan", "engines", "profile", "--frobnicate", "--help", "--", "--csv", "--scale",
    "HO", "ZZ", "0", "British N", "H0e", "--standard", "nem-302", "base_oz = 1, per_mm_g = 0.5", "--length", "7 in",
    "--sure", "--map", "car=car", "weight_g=", "weight_g=kind", "--curve", "11in", "0mm", "--grade", "90", "--past",
    "2in", "--at", "Puddlefold", "--off", "71", "--clean", "--undo", "--no-ranges", "--kind", "trains", "--yes",
)  # fmt: skip


STOPS = (
    "stop = 'A'", "route = ['Puddlefold', { to = 'Upper Fold', pushed = true }]",
    "route = [{ to = 'Puddlefold', pushed = true }, 'Upper Fold', 'Puddlefold']",
    "route = ['Puddlefold', 'Upper Fold', { to = 'Puddlefold', pushed = 1 }]",
)  # fmt: skip
CURVES = (
    "{ radius = 300, turn = 'left', pieces = [8, 22.5] }", "{ radius = 300, turn = 'left', pieces = 0 }",
    "{ radius = 300, turn = 'left', turns = 3, rise = 240 }", "{ turnout = 6, turn = 'right' }",
    "{ turnout = 0.1, turn = 'right' }", "{ tangent = 200, angle = 30, turn = 'left' }",
    "{ tangent = 200, angle = 180, turn = 'left' }",
)  # fmt: skip
HARDEST = (
    "{ scale = 'HO', hardest = [{ name = 'Loop', radius_in = 24, grade_percent = 2.0, both = true }] }",
    "{ scale = 'N', hardest = [{ name = 'A', radius_mm = 5 }, { name = 'A', radius_mm = 500, turn_deg = 400 }] }",
    "{ hardest = [] }", "{ scale = 'HO', hardest = [{ radius_in = 24, grade_percent = 200 }] }",
)  # fmt: skip
RUNS = """date,train,leg,result,car,place,mm,doing,note,ran,predicted
2026-03-01,Creamery 5,,clean,,,,,,,
2026-03-02,Creamery 5,,off,PQF 201,"Puddlefold, Upper Fold",300,pulling,=1+1,,
"""


def _sessions(folder: Path) -> None:
    """A small session to be damaged, with every table there is, and its layout beside it."""
    sample = ROOT / "sample_sessions" / "sunday_shelf"
    shutil.copytree(sample, folder / "session")
    shutil.copy(ROOT / "layouts" / "puddlefold.toml", folder / "layout.toml")
    told = (folder / "session" / "session.toml").read_text(encoding="utf-8")
    told = told.replace("../../layouts/puddlefold.toml", "../layout.toml")
    (folder / "session" / "session.toml").write_text(told, encoding="utf-8")
    for name, lines in TABLES.items():
        (folder / "session" / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
    (folder / "out").mkdir()


def _mapped(folder: Path, draw: random.Random) -> None:
    """Sometimes read the cars of the session as somebody's own table."""
    path = folder / "session" / "session.toml"
    told = path.read_text(encoding="utf-8")
    columns = ("car", "weight_g", "body_length_mm")
    asked = [f'{column} = "{draw.choice((column, column, *columns))}"' for column in columns]
    asked.append(draw.choice(('skip = ["PQF 9"]', "header = 1", 'sheet = "Sheet"', "")))
    path.write_text("\n".join([told, "[tables.cars]", 'file = "cars.csv"', *asked, ""]), encoding="utf-8")


def _other_track(folder: Path, draw: random.Random) -> None:
    """Sometimes run over hardest places alone, or back, or through a curve written the hobby's own way."""
    path, layout = folder / "session" / "session.toml", folder / "layout.toml"
    told, kind = path.read_text(encoding="utf-8"), draw.randrange(3)
    if kind == 0:
        told = "\n".join(
            f"layout = {draw.choice(HARDEST)}" if line.startswith("layout") else line for line in told.splitlines()
        )
    elif kind == 1:
        told = "\n".join(draw.choice(STOPS) if line.startswith("route") else line for line in told.splitlines())
    else:
        lines = layout.read_text(encoding="utf-8").splitlines()
        at = draw.choice([number for number, line in enumerate(lines) if "radius" in line and "{" in line])
        lines[at] = f"  {draw.choice(CURVES)},"
        layout.write_text("\n".join(lines) + "\n", encoding="utf-8")
    path.write_text(told + "\n", encoding="utf-8")


def _damaged_rows(rows: list[list[str]], draw: random.Random) -> list[list[str]]:
    """A table with one thing wrong with it, or unusual."""
    kind, row = draw.randrange(9), draw.randrange(len(rows))
    column = draw.randrange(max(len(rows[row]), 1))
    if kind <= 2:
        rows[row][column : column + 1] = [draw.choice(ODD_CELLS)]
    elif kind == 3:
        del rows[row]
    elif kind == 4:
        rows.insert(row, [draw.choice(ODD_CELLS) for _ in range(draw.randrange(1, 12))])
    elif kind == 5:
        for each in rows:
            del each[column : column + 1]
    elif kind == 6:
        for each in rows:
            each.insert(column, draw.choice(ODD_CELLS) if draw.random() < 0.5 else "".join(each[column : column + 1]))
    elif kind == 7:
        rows.insert(row, list(rows[draw.randrange(len(rows))]))
    else:
        draw.shuffle(rows)
    return rows


def _damaged_lines(text: str, draw: random.Random) -> str:
    """A TOML file, likewise."""
    lines = text.splitlines()
    kind, at = draw.randrange(5), draw.randrange(len(lines))
    if kind <= 1:
        key, equals, _ = lines[at].partition("=")
        lines[at] = f"{key}= {draw.choice(ODD_VALUES)}" if equals else draw.choice(ODD_VALUES)
    elif kind == 2:
        del lines[at]
    elif kind == 3:
        lines.insert(at, lines[draw.randrange(len(lines))])
    else:
        words = lines[at].split(" ")
        words[draw.randrange(len(words))] = draw.choice(ODD_VALUES)
        lines[at] = " ".join(words)
    return "\n".join(lines) + "\n"


def _damaged_bytes(whole: bytes, draw: random.Random) -> bytes:
    """Any file, likewise."""
    kind, at = draw.randrange(5), draw.randrange(len(whole) or 1)
    if kind == 0:
        return whole[:at]
    if kind == 1:
        return whole[:at] + bytes([draw.randrange(256)]) + whole[at + 1 :]
    if kind == 2:
        return whole[:at] + draw.randbytes(draw.randrange(1, 40)) + whole[at:]
    if kind == 3:
        encoding = draw.choice(("utf-16", "utf-8-sig", "cp1252"))
        return whole.decode("utf-8", errors="replace").encode(encoding, errors="replace")
    return whole.replace(b"\n", draw.choice((b"\r\n", b"\r", b"\n\n", b"")))


def _as_workbook(rows: list[list[str]], draw: random.Random) -> bytes:
    """The rows as a workbook, one cell of it sometimes dressed up, odd or merged with those below."""
    book = Workbook()
    for row, cells in enumerate(rows, start=1):
        for column, cell in enumerate(cells, start=1):
            try:
                book.active.cell(row, column, float(cell) if cell.replace(".", "", 1).isdigit() else cell)
            except Exception:  # whatever a workbook cannot hold
                book.active.cell(row, column, "damaged")
    row, column = draw.randrange(1, len(rows) + 2), draw.randrange(1, 10)
    kind, cell = draw.randrange(5), book.active.cell(row, column)
    if kind == 0:
        cell.number_format = draw.choice(("0.0%", "d-mmm", "hh:mm", '"$"#,##0.00', "[h]:mm", '0" %"'))
    elif kind == 1:
        odd = (datetime.date(2026, 3, 4), datetime.time(10, 40), "=1+1", "#REF!", True, datetime.timedelta(hours=30))
        cell.value = draw.choice(odd)
    elif kind == 2:
        book.active.merge_cells(
            start_row=row, end_row=row + draw.randrange(4), start_column=column, end_column=column + draw.randrange(3)
        )
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def _is_text(path: Path) -> bool:
    whole = path.read_bytes()
    try:
        return path.suffix in (".toml", ".csv") and bool(whole.decode("utf-8").strip()) and b"\0" not in whole
    except UnicodeDecodeError:
        return False


def _damage(folder: Path, draw: random.Random) -> None:
    """Damage one file of the session, or its layout, or take it away."""
    path = draw.choice([*folder.glob("layout.toml"), *sorted((folder / "session").iterdir())])
    kind = draw.random()
    if kind < 0.04:
        path.unlink()
    elif kind < 0.08:
        path.rename(path.with_name(draw.choice((path.stem + ".ods", path.name.upper(), "guests.xlsx", "more.csv"))))
    elif kind < 0.25 or not _is_text(path):
        path.write_bytes(_damaged_bytes(path.read_bytes(), draw))
    elif path.suffix == ".toml":
        path.write_text(_damaged_lines(path.read_text(encoding="utf-8"), draw), encoding="utf-8")
    else:
        rows = list(csv.reader(path.read_text(encoding="utf-8").splitlines()))
        rows = _damaged_rows(rows, draw)
        if kind < 0.4:
            path.unlink()
            path.with_suffix(".xlsx").write_bytes(_as_workbook(rows, draw))
        else:
            text = io.StringIO()
            csv.writer(text, lineterminator="\n").writerows(rows)
            path.write_text(text.getvalue(), encoding="utf-8", errors="replace", newline="")


WHAT_IFS = (
    ["--without", "PQF 203"],
    ["--without", "21", "--weigh", "201=35g"],
    ["--without", "71", "--add", "71@2"],
    ["--cars", "PQF 9, 201, 71"],
    ["--engines", "22, 3", "--json"],
)


MAY_WRITE = {
    "import": ("session.toml",),
    "log": ("runs.csv",),
    "bench": ("cars.", "guests."),
    "measure": ("cars.", "engines."),
}
"""What the names of the files begin with that a command may change in a session's folder, or add."""


def _command(folder: Path, draw: random.Random) -> list[str]:
    """A command line, right or wrong; what it writes goes to the folder `out`, or is what `MAY_WRITE` says."""
    session, layout, out = str(folder / "session"), str(folder / "layout.toml"), folder / "out"
    engines, cars = (str(folder / "session" / f"{name}.csv") for name in ("engines", "cars"))
    place = ["--scale", "HO", "--curve", draw.choice(("24in", "457mm", "1", "")), "--grade", draw.choice("0258")]
    right: list[list[str]] = [
        ["check", session],
        ["check", session, "--json"],
        ["order", session, "--seconds", "0.1"],
        ["order", session, "--seconds", "0.1", "--free-blocks"],
        ["power", session],
        ["bench", session],
        ["screen", session],
        ["layout", layout],
        ["rating", layout, engines],
        ["rating", layout, engines, "--csv", str(out / "rating.csv")],
        ["report", session, "--output", str(out / "page.html"), "--pdf", str(out / "page.pdf")],
        [
            "picture",
            session,
            "--train",
            "Creamery 5",
            "--output",
            str(out / f"a{draw.choice(('.svg', '.png', '.pdf'))}"),
        ],
        ["picture", session, "--chart", "engines", "--output", str(out / "b.svg")],
        ["trailing", session],
        ["trailing", session, "--json"],
        ["import", str(folder / "session" / "cars.csv"), "--into", session],
        ["import", str(folder / "session" / "engines.csv"), "--into", session, "--map", "pull_g=pull_g"],
        ["rating", layout, engines, "--pdf", str(out / "rating.pdf")],
        ["order", session, "--seconds", "0.1", "--write", str(out / "orders.csv")],
        ["explain", draw.choice(("margin", "side-pull", "car", "HO", *OPTIONS))],
        *(["check", session, "--train", "Creamery 5", *changes] for changes in WHAT_IFS),
        ["check", cars, *place],
        ["check", draw.choice((engines, layout, str(folder / "session" / "guests.csv"))), *place],
        ["layout", layout, "--output", str(out / f"plan{draw.choice(('.svg', '.png', '.pdf'))}")],
        ["import", cars, "--into", session, "--yes"],
        ["import", cars, "--into", session, "--yes", "--copy", str(out / "copy.xlsx")],
        ["import", draw.choice((engines, layout)), "--into", session, "--yes", "--map", "weight_g=weight_g"],
        ["bench", session, "--done", f"PQF 201={draw.choice(('35 g', '1.2oz', '0', '4000 g', 'x'))}"],
        ["bench", session, "--done", "71=35g", "--done", "VV 2=30 g", "--sure"],
        ["log", session, "--train", "Creamery 5", "--clean", "--note", draw.choice(ODD_CELLS)],
        ["log", session, "--train", "Creamery 5", "--off", "201", "--at", "Puddlefold, Upper Fold", "--past", "9in"],
        ["log", session, "--undo"],
        ["learn", session],
        ["learn", session, "--json"],
        ["measure", session, "--car", "PQF 201", "--board", "900mm", "--lifted", "13mm, 14mm", "--write"],
        ["measure", session, "--engine", "21", "--pulled", draw.choice(("2oz, 2.1oz", "0oz", "x")), "--write"],
        ["measure", session, "--car", "71", "--length", draw.choice(("84mm", "3 1/4in", "0", "9 miles")), "--write"],
    ]
    weights = [4, 2, 2, 2, 2, 2, 3, 1, 1, 1, 1, 1, 1]
    asked = draw.choices(right, weights=weights + [1] * (len(right) - len(weights)))[0]
    if draw.random() < 0.2:
        at = draw.randrange(1, len(asked) + 1)
        asked[at:at] = [draw.choice(OPTIONS) for _ in range(draw.randrange(1, 3))]
    return asked


class _TooLongError(BaseException):
    """A run that has not ended; none of the package's own handlers may take it."""


@contextmanager
def _within(seconds: int) -> Iterator[None]:
    def ring(number: int, frame: FrameType | None) -> None:
        raise _TooLongError

    before = signal.signal(signal.SIGALRM, ring)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def _files(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.parent.name != "out"
    }


def _may_be(change: str, asked: list[str], before: dict[str, str], after: dict[str, str]) -> bool:
    """Whether a command may have changed or added a file, given with what it held or holds; what it was is kept."""
    name = Path(change).name.casefold()
    allowed = Path(change).parent.name == "session" and name.startswith(MAY_WRITE.get(asked[0], ("/",)))
    kept = asked[0] in ("import", "log") or change not in before or before[change] in after.values()
    return allowed and kept and (change in after or asked[0] == "log")


def broken_promise(seed: int) -> str | None:
    """What the run of one damaged session does that none may, in words; None for nothing."""
    draw = random.Random(seed)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _sessions(folder)
        if draw.random() < 0.15:
            _mapped(folder, draw)
        if draw.random() < 0.2:
            _other_track(folder, draw)
        if draw.random() < 0.2:
            (folder / "session" / "runs.csv").write_text(RUNS, encoding="utf-8")
        for _ in range(draw.choice((1, 1, 1, 2))):
            _damage(folder, draw)
        asked = _command(folder, draw)
        before = _files(folder)
        told = f"consist {' '.join(asked)}".replace(name, "")
        try:
            with _within(SECONDS), warnings.catch_warnings():
                warnings.simplefilter("error")
                ran = CliRunner().invoke(app, asked)
        except _TooLongError:
            return f"{told}: not ended after {SECONDS} s"
        after = _files(folder)
        if (wrong := _wrong(ran.exception)) is not None:
            return f"{told}: {wrong}"
        if ran.exit_code not in (0, 1, 2):
            return f"{told}: exit {ran.exit_code}"
        lines = ran.stderr.splitlines()
        if ran.exit_code == 2 and not ran.stderr.strip():
            return f"{told}: exit 2 without a word"
        if too_long := [line for line in lines if len(line) > LONGEST_LINE]:
            return f"{told}: a line of {len(too_long[0])} characters: {too_long[0][:200]}"
        if "Traceback" in ran.stderr or "Warning" in ran.stderr:
            return f"{told}: {ran.stderr[:300]}"
        changed = sorted({name for name, _ in set(before.items()) ^ set(after.items())})
        said = ran.exit_code == 0 or "Written:" in ran.output
        if not all(said and _may_be(each, asked, before, after) for each in changed):
            return f"{told}: exit {ran.exit_code}, changed {changed}"
    return None


def _wrong(error: BaseException | None) -> str | None:
    if error is None or isinstance(error, SystemExit):
        return None
    return "".join(traceback.format_exception(error)[-3:])


def main(cases: str = "2000", first: str = "0") -> int:
    """Try many seeds; print what is broken."""
    found = 0
    for seed in range(int(first), int(first) + int(cases)):
        broken = broken_promise(seed)
        if broken is not None:
            found += 1
            print(f"seed {seed}: {broken}\n")
    print(f"{cases} damaged sessions, {found} broken promises")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
