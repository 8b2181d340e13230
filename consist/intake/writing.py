"""Files written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
from pathlib import Path

from consist.errors import InputError, Problem

__all__ = ["check_target", "write_whole"]


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
