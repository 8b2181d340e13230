"""Screening: guests at the door, each car with an answer, its reasons and the trains it may ride.

Trains without engines need stand-ins, which this room cannot choose: commands call
`consist.checking.doorkeeping.screen_guests(session)`.
"""

from __future__ import annotations

from consist.screening.results import ANSWERS, Answer, GuestResult, KeepOut, Reason, Screening, TrainRide
from consist.screening.screen import screen
from consist.screening.words import spots_words

__all__ = ["ANSWERS", "Answer", "GuestResult", "KeepOut", "Reason", "Screening", "TrainRide", "screen", "spots_words"]
