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

from typing import TYPE_CHECKING

from consist.errors import ConsistError, InputError, Problem, UnknownNameError
from consist.lazy_front import lazy_front

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
    "UnknownNameError",
    "check",
    "load",
]

__version__ = "0.1.0"

_FROM = {
    "Session": "consist.session",
    "SessionCheck": "consist.checking",
    "TrainCheck": "consist.checking",
    "check": "consist.checking",
    "load": "consist.session",
}

__getattr__ = lazy_front(__name__, _FROM)
