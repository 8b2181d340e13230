"""What was done at the desk, on disk before it is answered: a line an entry, so that no end of the process loses any.

The journal stands beside the session's tables. Its first line says of which state of the tables the entries are, by
their hashes. `Save` notes, before it touches a table, what each will be and where its old form is kept; so whoever
opens the journal next can tell a save that was done from one that was cut short, and takes the second back.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import IO, Any

from consist.desk.desk import Entry
from consist.desk.said import change_of, said_of
from consist.errors import ConsistError, InputError
from consist.intake import write_whole
from consist.names import plain

__all__ = ["NAME", "Journal", "Saving", "fingerprints"]

NAME = "desk.journal"
VERSION = 1
KEYS = {"revision": int, "key": str, "name": str, "at": str}


@dataclass(frozen=True)
class Saving:
    """A save begun: of each file its fingerprint before and after, and the file's name that keeps its old form."""

    files: Mapping[str, tuple[str | None, str, str | None]]


@dataclass
class Journal:
    """A journal open for more: what it held when it was opened, and what there was to tell of it."""

    path: Path
    tables: Mapping[str, str] = field(default_factory=dict)
    first: int = 0
    ticked: tuple[str, ...] = ()
    entries: list[Entry] = field(default_factory=list)
    saving: Saving | None = None
    notes: list[str] = field(default_factory=list)
    _file: IO[bytes] | None = None

    @classmethod
    def of(cls, folder: Path) -> Journal:
        """The journal of a session's folder, as far as it can be read; a new one where there is none.

        A journal of another version, or one whose end is damaged, is kept under another name and told in `notes`.
        """
        journal = cls(folder / NAME)
        try:
            content = journal.path.read_bytes()
        except FileNotFoundError:
            return journal
        except OSError as error:
            told = f"the desk's journal cannot be read: {(error.strerror or str(error)).lower()}"
            raise InputError.of(journal.path.name, f"{told}; allow it to be read, or move it away") from error
        journal._read(content)
        return journal

    def _read(self, content: bytes) -> None:
        *lines, rest = content.split(b"\n")
        whole = len(content) - len(rest)
        head = _object(lines[0]) if lines else None
        if head is None or head.get("consist desk") != VERSION:
            what = "is damaged" if head is None else f"is of another version, {plain(str(head.get('consist desk')))}"
            self.set_aside(f"{what}, and the desk begins anew")
            return
        with suppress(TypeError, ValueError, AttributeError):
            self.tables = {str(name): str(mark) for name, mark in head["tables"].items()}
            self.first = int(head["first"])
            self.ticked = tuple(map(str, head["ticked"]))
        good = len(lines[0]) + 1
        for line in lines[1:]:
            if not self._take(_object(line)):
                break
            good += len(line) + 1
        if good < len(content):
            lost = "last line" if good == whole else "end"
            kept = self._kept(content)
            self.notes.append(
                f"The {lost} of {NAME} is damaged: {len(self.entries)} entries before it are whole. It is kept as "
                f"{kept.name}."
            )
            write_whole(self.path, content[:good])

    def _take(self, told: Mapping[str, Any] | None) -> bool:
        """Whether a line could be read, which is then taken."""
        if told is None:
            return False
        try:
            if "saving" in told:
                self.saving = Saving({name: tuple(of) for name, of in told["saving"].items()})
                return True
            entry = _entry(told)
        except (ConsistError, KeyError, TypeError, ValueError, AttributeError):
            return False
        if entry.revision != self.first + len(self.entries) + 1:
            return False
        self.entries.append(entry)
        # whatever comes after a save that was given up stands on the tables as they were
        self.saving = None
        return True

    def set_aside(self, why: str) -> None:
        """Begin anew, and keep what there was under another name."""
        kept = self._kept(self.path.read_bytes())
        self.close()
        with suppress(OSError):
            self.path.unlink()
        self.tables, self.first, self.ticked, self.entries, self.saving = {}, 0, (), [], None
        self.notes.append(f"The {NAME} that was here {why}; it is kept as {kept.name}.")

    def _kept(self, content: bytes) -> Path:
        stamp = f"{datetime.now():%Y-%m-%dT%H-%M-%S}"
        names = (f"{NAME}.{stamp}{'' if number == 1 else f'-{number}'}" for number in range(1, 1000))
        path = next(path for path in map(self.path.with_name, names) if not os.path.lexists(path))
        write_whole(path, content)
        return path

    def begin(self, tables: Mapping[str, str], first: int = 0, ticked: Iterable[str] = ()) -> None:
        """Start the journal anew on tables as they now are, with nothing done since."""
        self.close()
        self.tables, self.first, self.ticked, self.entries = tables, first, tuple(sorted(ticked)), []
        write_whole(self.path, self._head())
        self.saving = None

    def _head(self) -> bytes:
        head = {"consist desk": VERSION, "tables": dict(self.tables)}
        return _line({**head, "first": self.first, "ticked": list(self.ticked)})

    def move_to(self, tables: Mapping[str, str]) -> None:
        """Write the journal again, its entries now on tables that another program has changed."""
        self.close()
        self.tables = tables
        write_whole(self.path, self._head() + b"".join(_line(_told(entry)) for entry in self.entries))

    def keep(self, entry: Entry) -> None:
        """Put an entry on disk. Raises `InputError` where that cannot be done."""
        self._append(_told(entry))
        self.entries.append(entry)

    def note_saving(self, saving: Saving) -> None:
        """Put on disk what a save is about to do."""
        self._append({"saving": {name: list(of) for name, of in saving.files.items()}})
        self.saving = saving

    def _append(self, told: Mapping[str, Any]) -> None:
        try:
            if self._file is None:
                self._file = open(self.path, "ab")  # noqa: SIM115
            start = self._file.seek(0, os.SEEK_END)
            try:
                self._file.write(_line(told))
                self._file.flush()
                os.fsync(self._file.fileno())
            except OSError:
                # no half line is left for the next to be written behind
                with suppress(OSError):
                    os.truncate(self.path, start)
                self.close()
                raise
        except OSError as error:
            told_why = (error.strerror or str(error)).lower()
            found = f"the desk's journal cannot be written: {told_why}; make room, or allow it, then do it again"
            raise InputError.of(self.path.name, found) from error

    def close(self) -> None:
        """Let go of the file."""
        if self._file is not None:
            with suppress(OSError):
                self._file.close()
            self._file = None


def fingerprints(home: Path, files: Iterable[Path]) -> dict[str, str]:
    """What tells whether files are as they were: by their way from a folder, the hash of each that there is."""
    found = {}
    for path in files:
        with suppress(OSError):
            found[os.path.relpath(path, home)] = sha256(path.read_bytes()).hexdigest()
    return found


def _line(told: Mapping[str, Any]) -> bytes:
    return json.dumps(told, ensure_ascii=True, allow_nan=False, separators=(",", ":")).encode() + b"\n"


def _told(entry: Entry) -> dict[str, Any]:
    told: dict[str, Any] = {"revision": entry.revision, "key": entry.key, "name": entry.name, "at": entry.at}
    if entry.undoes is not None:
        return told | {"undoes": entry.undoes}
    if entry.task is not None:
        return told | {"task": entry.task, "done": entry.done}
    return told | {"changes": [said_of(change) for change in entry.changes]}


def _object(line: bytes) -> Mapping[str, Any] | None:
    with suppress(ValueError, RecursionError):
        told = json.loads(line)
        if isinstance(told, dict):
            return told
    return None


def _entry(told: Mapping[str, Any]) -> Entry:
    if not all(type(told[key]) is kind for key, kind in KEYS.items()):
        raise TypeError
    parts: dict[str, Any] = {
        "changes": tuple(map(change_of, told.get("changes", ()))),
        "undoes": None if told.get("undoes") is None else int(told["undoes"]),
        "task": None if told.get("task") is None else str(told["task"]),
        "done": bool(told.get("done", False)),
    }
    return Entry(told["revision"], told["key"], told["name"], told["at"], **parts)
