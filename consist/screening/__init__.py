"""Screening: guests at the door, each car with an answer, its reasons and the trains it may ride."""

from __future__ import annotations

from consist.screening.results import (
    ANSWERS,
    Answer,
    GuestResult,
    KeepOut,
    Reason,
    Screening,
    TooLong,
    TrainRide,
    spots_words,
)
from consist.screening.screen import rides_in, screen_guests, screen_seconds, screened

__all__ = [
    "ANSWERS", "Answer", "GuestResult", "KeepOut", "Reason", "Screening", "TooLong", "TrainRide", "rides_in",
    "screen_guests", "screen_seconds", "screened", "spots_words",
]  # fmt: skip
