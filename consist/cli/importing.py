"""The command that takes anybody's table into a session: it guesses, shows, asks, and writes how to read it."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from consist.cli.answering import complain, printed
from consist.cli.next_command import tell_next
from consist.cli.options import argument, flag, option

if TYPE_CHECKING:
    from consist.intake import Guessed

__all__ = ["import_"]

KindName = Literal["cars", "engines", "trains", "guests", "pieces"]
MOST_TOLD = 8
READ_ALONE = (".ods", ".xls")
"""Kinds of tables that nothing is written back into."""


def import_(
    table: Annotated[Path, argument("SHEET", "A table of your own, .csv, .xlsx, .ods or .xls.")],
    into: Annotated[Path, option("SESSION", "The session's folder.", "--into")],
    kind: Annotated[KindName | None, option("KIND", "What its rows are; guessed otherwise.", "--kind")] = None,
    sheet: Annotated[str, option("NAME", "The sheet of a workbook; found otherwise.")] = "",
    maps: Annotated[
        list[str] | None,
        option(
            "COLUMN=HEADING",
            "Take a column from that heading, from two as 'Mark + Number', from none where it is empty.",
            "--map",
        ),
    ] = None,
    copy: Annotated[
        Path | None, option("FILE.xlsx", "Write a copy of the sheet there and take that in.", "--copy")
    ] = None,
    yes: Annotated[bool, flag("--yes", "Write what is guessed without asking.")] = False,
) -> None:
    """Take a table of your own into a session as it is.

    \b
    consist import sample_sessions/club_night/guests.csv \\
      --into sample_sessions/sunday_shelf --yes
    consist import sample_sessions/club_night/cars.csv \\
      --into sample_sessions/sunday_shelf --map note=kind

    Shows what each column is taken for, and writes it into session.toml. The table itself is never changed.

    Exits with 0, or with 2 where a file or an option cannot be used; nothing is written then.
    """
    from consist.intake import problems_of, proposed, taken_of, write_copy, write_map

    taken = taken_of(maps or (), kind)
    asking = not yes and sys.stdin.isatty() and sys.stdout.isatty()
    found, ratio = proposed(table, into, kind, taken, sheet)
    if asking:
        taken |= _asked(found)
        found, ratio = proposed(table, into, found.kind, taken, sheet)
    problems, notes = problems_of(table, found.kind, found.how, ratio)
    _show(table, found, notes)
    if table.suffix.lower() in READ_ALONE and copy is None:
        beside = table.with_suffix(".xlsx")
        printed("Nothing can be written back into this kind of file.\n")
        if asking and typer.confirm(f"Write a copy as {_clean(str(beside))} and take that in?", default=True):
            copy = beside
        elif not asking:
            printed(f"To take in a copy that can be written, add --copy '{_clean(str(beside))}'.\n")
    if found.lacking:
        complain(
            *(
                f"{table.name}: found no heading for {each}; give it as --map "
                f"'{each.split(' or ')[0] + ('_in' if '_length' in each else '')}=HEADING'"
                for each in found.lacking
            )
        )
    if not yes and not (asking and typer.confirm("\nWrite this into session.toml?", default=True)):
        printed("\nNothing is written. Run it again with --yes to write it; --map COLUMN=HEADING changes it.\n")
        return
    if copy is None:
        write_map(into, table, found.kind, found.how)
    else:
        with write_copy(table, found.how.sheet, copy):
            write_map(into, copy, found.kind, replace(found.how, sheet=""))
        printed(f"\nWritten: {_clean(str(copy))}, with what the cells show. Edit that from now on.")
    printed(f"\nWritten: [tables.{found.kind}] in {into / 'session.toml' if into.is_dir() else into}.\n")
    if problems:
        more = len(problems) - MOST_TOLD
        lines = [*map(str, problems[:MOST_TOLD]), *([f"and {more} more"] if more > 0 else [])]
        printed("\nTo mend in the table before it can be used:\n" + "".join(f"  {_clean(line)}\n" for line in lines))
    tell_next("check", into)


def _asked(found: Guessed) -> dict[str, str]:
    """What somebody answers about columns in doubt; what they keep is settled."""
    from consist.errors import InputError
    from consist.intake import taken_of

    def column(answer: str) -> str:
        try:
            (told,) = taken_of([f"{answer}="], found.kind) if answer.strip() != "-" else ("-",)
        except InputError as error:
            raise typer.BadParameter(error.problems[0].text) from None
        return told

    taken: dict[str, str] = {}
    for each in found.columns:
        if each.doubt:
            told = f"{each.column} from {_clean(' + '.join(each.headings))} ({_clean(', '.join(each.values))})"
            printed(f"{told}: {each.doubt}.\n")
            question = "Enter keeps it; or type another column, or - for none"
            answer = typer.prompt(question, default=each.column, value_proc=column)
            taken |= {each.column: "", **({} if answer == "-" else {answer: " + ".join(each.headings)})}
    return taken


def _show(table: Path, found: Guessed, notes: list[str]) -> None:
    names = "names" if found.how.header_rows == 1 else "name"
    where = f", sheet {found.how.sheet}" if found.how.sheet else ""
    printed(f"{_clean(table.name + where)}: {found.kind}; {found.how.heading_place} {names} the columns.\n\n")
    rows = [("column", "taken from", "its first values")]
    rows += [(each.column, " + ".join(each.headings), ", ".join(each.values)) for each in found.columns]
    wide = [min(max(len(_clean(row[at])) for row in rows), most) for at, most in ((0, 24), (1, 24))]
    doubts = ["", *(each.doubt for each in found.columns)]
    for row, doubt in zip(rows, doubts, strict=True):
        first, second, third = map(_clean, row)
        printed(f"  {first:{wide[0]}}  {second[:24]:{wide[1]}}  {third[: max(76 - sum(wide), 12)]}".rstrip() + "\n")
        if doubt:
            printed(f"    in doubt: {doubt}\n")
    if found.unread:
        printed(f"\nLeft unread: {_clean(', '.join(found.unread))}.\n")
    if found.passed:
        printed(f"Sheets passed over: {_clean(', '.join(found.passed))}.\n")
    if found.how.skip:
        printed(f"Rows left out: those that begin with {_clean(', '.join(found.how.skip))}.\n")
    for note in notes:
        printed(f"{_clean(note)}.\n")


def _clean(text: str) -> str:
    from consist.report.words import clean

    return clean(text)


import_.__name__ = "import"
