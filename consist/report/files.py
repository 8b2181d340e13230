"""A session's report written to files, and what is to be done before the first train leaves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Literal

from consist.errors import refuse
from consist.frames import Columns, Framed

if TYPE_CHECKING:
    from consist.evening import Overview, SessionCheck
    from consist.report.sheets.tasks import Task
    from consist.session import Session
    from consist.side_by_side import Progress
    from consist.wording import UnitsName

__all__ = ["Report", "TaskList", "list_tasks", "name_ending", "write_report"]

TASKS: Mapping[str, Columns] = {"tasks": Columns("tasks", "by who train level what cars gain more")}


@dataclass(frozen=True)
class TaskList(Framed):
    """What is to be done before the first train leaves, what matters most first. As a frame: its `tasks`."""

    _tables: ClassVar = TASKS
    tasks: tuple[Task, ...]


@dataclass(frozen=True)
class Report(TaskList):
    """A report: what was written, the evening that it tells, and what is to be done. As a frame: its `tasks`."""

    evening: Overview
    files: tuple[Path, ...]


def list_tasks(session: Session, checked: SessionCheck, units: UnitsName | None = None) -> TaskList:
    """What a check alone asks to be done; `units`, `oz` or `g`, are otherwise those of the layout.

    >>> import consist
    >>> session = consist.load("sample_sessions/sunday_shelf")
    >>> tasks = consist.list_tasks(session, consist.check(session))
    >>> tasks.to_frame()[["who", "train", "level"]].head(2)
         who           train level
    0   yard  Quarry Mixed 3  care
    1  bench  Quarry Mixed 3  care
    """
    from consist.report.sheets.session import checked as only_checked
    from consist.report.sheets.tasks import tasks_of
    from consist.wording import units_for

    return TaskList(tasks_of(only_checked(session, checked), units_for(session.layout.unit, units)))


def write_report(
    session: Session | str | Path,
    output: str | Path | None = None,
    *,
    pdf: str | Path | None = None,
    paper: Literal["a4", "letter"] = "a4",
    units: UnitsName | None = None,
    progress: Progress | None = None,
    ranges: bool = True,
) -> Report:
    """Write a session's whole report: `output` is a page for a screen, .html, and `pdf` one for paper.

    `units`, `oz` or `g`, are otherwise those of the layout; `ranges` is as `check` has it. Raises `InputError` where
    the session, or a name for a file, cannot be used; nothing is written then.

    >>> import consist, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     report = consist.write_report("sample_sessions/sunday_shelf", f"{folder}/evening.html")
    ...     report.files[0].stat().st_size > 100_000
    True
    >>> report.evening.check.on_hold
    ()
    """
    from consist.intake import check_output, same_file, write_whole
    from consist.session import Session, load

    asked = ((output, "--output", (".html", ".htm")), (pdf, "--pdf", (".pdf",)))
    targets = [(Path(name), option, endings) for name, option, endings in asked if name is not None]
    if not targets:
        raise refuse("--output", "found neither it nor --pdf; name the file to write, such as --output session.html")
    home = session.folder if isinstance(session, Session) else Path(session)
    for path, option, endings in targets:
        name_ending(path, option, *endings)
        check_output(path, *([home] if home else []))
    if len(targets) > 1 and same_file(targets[0][0], targets[1][0]):
        raise refuse("--pdf", "found the same file as for --output; name another")
    from consist.evening import overview
    from consist.report.sheets.tasks import tasks_of
    from consist.report.whole_report import WholeReport
    from consist.wording import units_for

    loaded = session if isinstance(session, Session) else load(session)
    show = units_for(loaded.layout.unit, units)
    evening = overview(loaded.told_in("in" if show.inches else "mm"), progress=progress, ranges=ranges)
    whole = WholeReport(evening, show)
    written = {path: whole.as_pdf(paper) if option == "--pdf" else whole.as_html() for path, option, _ in targets}
    for path, content in written.items():
        write_whole(path, content)
    return Report(tasks_of(evening, show), evening, tuple(written))


def name_ending(path: Path, option: str, *endings: str) -> str:
    """The ending of a file's name in small letters. Raises `InputError` where it is none of `endings`."""
    ending = path.suffix.lower()
    if ending not in endings:
        expected = endings[0] if len(endings) == 1 else f"{', '.join(endings[:-1])} or {endings[-1]}"
        raise refuse(option, f"found {str(path)!r}, expected a name that ends in {expected}; mend it")
    return ending
