"""The plotting library kept from talking to the reader: about letters its font does not have, or its own folders."""

from __future__ import annotations

import logging
import warnings
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["hush_library", "without_warnings"]


def hush_library() -> None:
    """Keep the library's log of its fonts and folders to itself, unless somebody has asked for it."""
    log = logging.getLogger("matplotlib")
    if log.level == logging.NOTSET:
        log.setLevel(logging.ERROR)


@contextmanager
def without_warnings() -> Iterator[None]:
    """No warnings while something is drawn: a name in letters that the font lacks is no fault of the reader."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield
