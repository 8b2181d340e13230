"""A package's front whose names are loaded with their first use.

So a command loads only the rooms it needs, and `consist --help` none of them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any

__all__ = ["lazy_front"]


def lazy_front(package: str, modules: Mapping[str, str]) -> Callable[[str], Any]:
    """A `__getattr__` for a package, from the names of its front and the modules that hold them.

    >>> lazy_front("consist", {"Scale": "consist.scales"})("Scale").__name__
    'Scale'
    """

    def load(name: str) -> Any:
        if name in modules:
            return getattr(import_module(modules[name]), name)
        raise AttributeError(f"module {package!r} has no attribute {name!r}")

    return load
