"""The bytes of a file, or one clear line about why they cannot be had."""

from __future__ import annotations

from pathlib import Path

from consist.intake.reading import Reading

__all__ = ["file_bytes"]


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
