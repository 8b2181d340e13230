"""Checking: the rooms called in turn, from a session to the results that reports show."""

from __future__ import annotations

from consist.checking.check import Progress, check, check_train
from consist.checking.ordering import plan_train
from consist.checking.results import SessionCheck, Suggestion, TrainCheck

__all__ = ["Progress", "SessionCheck", "Suggestion", "TrainCheck", "check", "check_train", "plan_train"]
