"""What all tests share: the folder of the helpers on the path, and Hypothesis kept steady."""

from __future__ import annotations

import sys
from pathlib import Path

from hypothesis import HealthCheck, settings

__all__: list[str] = []

sys.path.insert(0, str(Path(__file__).parent))

_CHECKS = (HealthCheck.too_slow,)
# the same examples on every machine, so that a run tells of the change and not of the day
settings.register_profile("steady", max_examples=25, derandomize=True, deadline=None, suppress_health_check=_CHECKS)
settings.register_profile("searching", max_examples=400, deadline=None, suppress_health_check=_CHECKS)
settings.load_profile("steady")
