"""`consist`: will tonight's model trains stay on the track, and have they the power they need?

For model trains only, never for full-size or ride-on railways.

>>> import consist
>>> session = consist.load("sample_sessions/sunday_shelf")
>>> result = consist.check(session)
>>> [train.verdict in ("go", "care", "hold") for train in result.trains]
[True, True, True]

Every figure is the one that `consist check --json` prints, typed: see `consist.SessionCheck` and
`consist.TrainCheck`. Input that cannot be used raises `consist.InputError`, whose `problems` say what to mend.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from consist.errors import ConsistError, InputError, Problem

if TYPE_CHECKING:
    from consist.checking import SessionCheck, TrainCheck, check
    from consist.session import Session, load

__all__ = [
    "ConsistError",
    "InputError",
    "Problem",
    "Session",
    "SessionCheck",
    "TrainCheck",
    "check",
    "load",
]

__version__ = "0.1.0"

_FROM = {
    "SessionCheck": "consist.checking",
    "TrainCheck": "consist.checking",
    "check": "consist.checking",
    "Session": "consist.session",
    "load": "consist.session",
}


def __getattr__(name: str) -> Any:
    # NumPy and pandas are loaded with the first use, so that `consist --help` stays quick
    if name in _FROM:
        from importlib import import_module

        return getattr(import_module(_FROM[name]), name)
    raise AttributeError(f"module 'consist' has no attribute '{name}'")
