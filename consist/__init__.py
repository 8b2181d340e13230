"""`consist`: will tonight's model trains stay on the track, and have they the power they need?

For model trains only, never for full-size or ride-on railways.

>>> import consist
>>> session = consist.load("sample_sessions/sunday_shelf")
>>> result = consist.check(session)
>>> result.train("Creamery 5").verdict
'go'
>>> result.to_frame()[["train", "verdict", "engines_needed"]]
            train verdict  engines_needed
0      Creamery 5      go               1
1  Quarry Mixed 3    care               1
2  Coal Empties 2    care               1

Every command is one of these calls, and every figure is the one that its `--json` prints, typed. Results are frozen,
show as tables in a notebook, and give pandas frames by `to_frame`. Input that cannot be used raises `InputError`,
whose `problems` say what to mend, and a name that is none `UnknownNameError`; both are a `ConsistError`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.errors import ConsistError, InputError, Problem, UnknownNameError
from consist.lazy_front import lazy_front

if TYPE_CHECKING:
    from consist.bench.listing import plan_bench
    from consist.bench.measuring import Measured, measure
    from consist.bench.results import BenchList
    from consist.evening import SessionCheck, SessionOrders, TrainCheck, check, find_order
    from consist.learning import Learned, learn, log_run, undo_run
    from consist.power.plan import plan_power
    from consist.power.rating import LayoutRatings, rate_lines
    from consist.power.results import PowerPlan
    from consist.report.files import Report, TaskList, list_tasks, write_report
    from consist.screening import Screening, screen_guests
    from consist.session import Session, load
    from consist.sheet import load_sheet
    from consist.trailing import Trailing, plan_trailing

__all__ = [
    "BenchList", "ConsistError", "InputError", "LayoutRatings", "Learned", "Measured", "PowerPlan", "Problem",
    "Report", "Screening", "Session", "SessionCheck", "SessionOrders", "TaskList", "Trailing", "TrainCheck",
    "UnknownNameError", "check", "find_order", "learn", "list_tasks", "load", "load_sheet", "log_run", "measure",
    "plan_bench", "plan_power", "plan_trailing", "rate_lines", "screen_guests", "undo_run", "write_report",
]  # fmt: skip

__version__ = "0.1.0"

_ROOMS = {
    "bench.listing": ("plan_bench",),
    "bench.measuring": ("Measured", "measure"),
    "bench.results": ("BenchList",),
    "evening": ("SessionCheck", "SessionOrders", "TrainCheck", "check", "find_order"),
    "learning": ("Learned", "learn", "log_run", "undo_run"),
    "power.plan": ("plan_power",),
    "power.rating": ("LayoutRatings", "rate_lines"),
    "power.results": ("PowerPlan",),
    "report.files": ("Report", "TaskList", "list_tasks", "write_report"),
    "screening": ("Screening", "screen_guests"),
    "session": ("Session", "load"),
    "sheet": ("load_sheet",),
    "trailing": ("Trailing", "plan_trailing"),
}
__getattr__ = lazy_front(__name__, {name: f"consist.{room}" for room, names in _ROOMS.items() for name in names})


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
