"""Files written whole or not at all, by one writer of a folder at a time, and never over what a command reads."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
import shutil
from collections.abc import Iterator
from pathlib import Path

from consist.errors import InputError
from consist.intake.files import Reading, reason, unless_refused
from consist.intake.rows import own_files, table_files
from consist.intake.table_map import SESSION_FILE, TABLES, maps_of
from consist.intake.tables import KINDS
from consist.intake.toml import read_toml
from consist.names import plain

__all__ = ["check_output", "same_file", "session_files", "turn_to_write", "write_whole"]

LOCK = ".consist.lock"
PART = re.compile(r"\.consist-[0-9a-f]{12}\.part")
"""What a file is called while it is being written."""
LONGEST_WAIT = 30.0
"""Seconds to wait for another writer; none takes a tenth of that."""


def write_whole(
    path: Path, data: bytes | str, *, like: Path | None = None, refused: str = "the file cannot be written"
) -> None:
    """Write `data` to `path` so that a reader sees the old file or the new one, never a part.

    Text is written as UTF-8 as it stands. The file keeps the owner and the mode that it had, or has those of `like`.
    Raises `InputError` where the folder is missing or cannot be written to; nothing is left behind then.
    """
    target = _target(path)
    model = target if like is None else like
    part = target.with_name(f".consist-{secrets.token_hex(6)}.part")
    with turn_to_write(path):
        try:
            with open(part, "xb") as file:
                if model.exists():
                    _take_after(part, model)
                file.write(data.encode("utf-8") if isinstance(data, str) else data)
                file.flush()
                os.fsync(file.fileno())
            os.replace(part, target)
        except OSError as error:
            told = f"{refused}: {reason(error)}; choose a folder you may write to, or make room"
            raise InputError.of(path, told) from error
        finally:
            with contextlib.suppress(OSError):
                part.unlink()


def _take_after(part: Path, model: Path) -> None:
    """Give a new file the owner, the mode and whatever else is noted of another, as far as the system lets."""
    was = model.stat()
    for owner in (was.st_uid, -1):
        with contextlib.suppress(OSError, AttributeError):
            os.chown(part, owner, was.st_gid)
            break
    shutil.copystat(model, part)


@contextlib.contextmanager
def turn_to_write(*paths: Path) -> Iterator[None]:
    """Be the only run of `consist` that writes beside `paths`, and beside what they point at.

    What writers that were ended in mid-write left there is removed. Raises `InputError` where another run does not
    come to its end.
    """
    folders = {folder for path in paths for folder in (os.path.realpath(path.parent), _target_folder(path))}
    with contextlib.ExitStack() as turns:
        for folder in sorted(folders):  # in one order everywhere, so that two runs never wait for each other
            turns.enter_context(_turn(Path(folder)))
        yield


def _target_folder(path: Path) -> str:
    return os.path.dirname(os.path.realpath(path))


@contextlib.contextmanager
def _turn(folder: Path) -> Iterator[None]:
    from filelock import FileLock, Timeout

    path = folder / LOCK
    # Everyone who may write in the folder may take the lock.
    lock = FileLock(path, LONGEST_WAIT, mode=0o666, is_singleton=True, fallback_to_soft=False)
    taken = not lock.is_locked and folder.is_dir()
    try:
        if taken:
            lock.acquire()
    except Timeout:
        told = "another run of consist has been writing here for long; end it or wait, then run the command again"
        raise InputError.of(folder, told) from None
    except OSError:
        # Some network folders know no locks. Whether the folder can be written to shows with the file itself.
        taken = False
    try:
        if taken:
            _remove_leftovers(folder)
        yield
    finally:
        if taken:
            # While it is still held: a run that waits for it sees that it is gone, and takes a new one.
            with contextlib.suppress(OSError):
                path.unlink()
            lock.release()


def _remove_leftovers(folder: Path) -> None:
    """Remove files half written: whoever wrote them has ended, since this run alone writes here now."""
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        left = [entry for entry in entries if PART.fullmatch(entry.name) and entry.is_file(follow_symlinks=False)]
        for entry in left:
            os.unlink(entry)


def check_output(path: Path, *read: Path, but: str = "") -> None:
    """Raise `InputError` where a command that reads `read` may not write to `path`, so that long work need not come
    first. A folder among `read` stands for its session, with its layout; `but` names the table that may be replaced.
    """
    target = _target(path)
    homes = [each.parent if each.name == SESSION_FILE else each for each in read]
    files = [file for each in homes for file in (session_files(each) if os.path.isdir(each) else [each])]
    name, ending = target.stem.casefold(), target.suffix.casefold()
    own = [file for home in homes if but and os.path.isdir(home) for file in own_files(home, but, maps_of(home))]
    if target.exists() and any(target.samefile(file) for file in own):
        return
    in_use = target.exists() or (target.parent / SESSION_FILE).exists()
    if name in TABLES and name != but and ending in KINDS and in_use:
        raise _unwritable(path, f"it is a table of {name}; name another file")
    for file in files:
        if same_file(target, file):
            raise _unwritable(path, f"it is {plain(file.name)}, which this command reads; name another file")


def same_file(one: Path, other: Path) -> bool:
    """Whether two paths name one file, by whatever links, or would where the case of letters does not count."""
    with contextlib.suppress(OSError, ValueError):
        if one.samefile(other):
            return True
    return os.path.realpath(one).casefold() == os.path.realpath(other).casefold()


def session_files(folder: Path) -> list[Path]:
    """The files that a session's folder is read from, its layout among them."""
    head = unless_refused(read_toml, folder / SESSION_FILE, Reading(SESSION_FILE)) or {}
    layout = head.get("layout")
    named = [folder / layout.strip()] if isinstance(layout, str) else []
    maps = maps_of(folder)
    tables = (file for name in TABLES for file in {*own_files(folder, name, maps), *table_files(folder, name)})
    return [folder / SESSION_FILE, *named, *tables]


def _target(path: Path) -> Path:
    """The file that writing to `path` would make or replace: a link stays, what it points at is replaced.

    Raises `InputError` where its folder is missing, or it is anything but a plain file that may be written to.
    """
    try:
        target = Path(os.path.realpath(path))
        if not target.parent.is_dir():
            raise _unwritable(path, "its folder is missing; make the folder first or name another")
        if target.is_dir():
            raise _unwritable(path, "it is a folder; name a file")
        if target.is_symlink():
            raise _unwritable(path, "it is a link that points at itself; name a file")
        if not target.exists():
            return target
        if not target.is_file():
            raise _unwritable(path, "it is not a plain file; name a file kept on disk")
        # Whoever may write everywhere has not therefore been asked to.
        if not os.access(target, os.W_OK) or not target.stat().st_mode & 0o222:
            raise _unwritable(path, "it may only be read; name another or change its permissions")
    except (OSError, ValueError) as error:
        raise _unwritable(path, f"{reason(error)}; name another file") from error
    return target


def _unwritable(path: Path, why: str) -> InputError:
    return InputError.of(path, f"the file cannot be written: {why}")
