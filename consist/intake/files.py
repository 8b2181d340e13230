"""The user's files: their bytes, what the reading of one has found wrong, and files written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from dataclasses import dataclass, field
from pathlib import Path

from consist.errors import InputError, Problem

__all__ = ["Reading", "check_target", "file_bytes", "raise_problems", "write_whole"]


@dataclass
class Reading:
    """The reading of one file: `file` is its name as the user knows it.

    Readers add to it and go on, so that a user sees every problem of a file in one pass.
    """

    file: str
    problems: list[Problem] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def problem(self, place: str, text: str) -> None:
        """Add a problem at a row and column or a key; `place` is empty where the whole file is meant."""
        self.problems.append(Problem(self.file, place, text))

    def note(self, text: str) -> None:
        """Add one sentence about an oddity that stops nothing."""
        self.notes.append(f"{self.file} {text}")


def raise_problems(*readings: Reading) -> None:
    """Raise `InputError` with the problems of all readings, in their order, if there are any."""
    problems = [problem for reading in readings for problem in reading.problems]
    if problems:
        raise InputError(problems)


def file_bytes(path: Path, reading: Reading) -> bytes | None:
    """The file's bytes; None, with a problem added, where it is missing, not a file, empty or unreadable."""
    try:
        if path.is_dir():
            reading.problem("", "found a folder, expected a file; name the file itself")
            return None
        if not path.exists():
            reading.problem("", "the file is missing; check the name and the folder")
            return None
        if not path.is_file():
            reading.problem("", "found something that is not a plain file; name a file kept on disk")
            return None
        content = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not one a file can have"
        reading.problem("", f"the file cannot be read ({reason.lower()}); check its name and permissions")
        return None
    if not content.strip():
        reading.problem("", "the file is empty; fill it in, or remove it if it is not needed")
        return None
    return content


def write_whole(path: Path, data: bytes | str) -> None:
    """Write `data` to `path` so that a reader sees the old file or the new one, never a part.

    Text is written as UTF-8 as it stands. Raises `InputError` where the folder is missing or cannot be
    written to; nothing is left behind then.
    """
    content = data.encode("utf-8") if isinstance(data, str) else data
    target = check_target(path)
    part = target.with_name(f".{target.name[:100]}.{secrets.token_hex(6)}.part")
    try:
        _write_synced(part, content)
        if target.exists():
            shutil.copymode(target, part)
        os.replace(part, target)
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise InputError([_refused(path, f"{reason}; choose a folder you may write to, or make room")]) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink()


def check_target(path: Path) -> Path:
    """The file that writing to `path` would make or replace: a link stays, what it points at is replaced.

    Raises `InputError` where its folder is missing or it is a folder itself, so that long work need not come first.
    """
    target = Path(os.path.realpath(path))
    if not target.parent.is_dir():
        raise InputError([_refused(path, "its folder is missing; make the folder first or name another")])
    if target.is_dir():
        raise InputError([_refused(path, "it is a folder; name a file")])
    return target


def _refused(path: Path, reason: str) -> Problem:
    return Problem(str(path), "", f"the file cannot be written: {reason}")


def _write_synced(path: Path, content: bytes) -> None:
    with open(path, "xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
