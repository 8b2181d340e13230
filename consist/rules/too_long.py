"""Trains longer than the track they are to stand on.

Basis: the layout's `standing`, the longest track at a place on which a train stands clear.
"""

from __future__ import annotations

from consist.lengths import longer
from consist.rules.case import Case
from consist.rules.finding import Finding

__all__ = ["too_long"]


def too_long(case: Case) -> list[Finding]:
    """Of care for each stop of the route that the train does not stand clear at; lengths in millimetres."""
    findings = []
    for number, stop in enumerate(case.train.route.stops):
        standing = case.session.layout.places[stop].standing_mm
        length = max(
            leg.vehicles.total_length_mm for leg in case.trip.legs if leg.leg.start <= number <= leg.leg.finish
        )
        if standing is not None and longer(length, standing):
            own, room = case.lengths(length, standing)
            findings.append(
                Finding(
                    code="too-long",
                    level="care",
                    say=(
                        f"The train is {own} long and {stop} has {room} of standing track; take off "
                        f"{case.length(length - standing)}, or plan how it clears there."
                    ),
                    place=stop,
                    value=length,
                    limit=standing,
                )
            )
    return findings
