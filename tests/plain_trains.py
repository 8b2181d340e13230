"""Trains and track on which the plain model is tried by itself."""

from __future__ import annotations

from dataclasses import replace

from plain import House, Piece, Track, Vehicle

__all__ = [
    "CURVE",
    "CURVE_MM",
    "HELPER",
    "HILLS",
    "HOUSE",
    "LEAD",
    "LEVEL",
    "TRAINS",
    "WITHOUT_DRAG",
    "box",
    "scattered",
]

HOUSE = House()
CURVE_MM = 0.0004 * 5729.58 * 304.8 / 87.1
"""What a curve of 1 mm radius would add in HO, as a share of weight: 0.0004 a degree of the full-size radius."""
WITHOUT_DRAG = House(flange_drag=0.0)
LEVEL = Track([Piece(length_mm=3000.0)])
CURVE = Track([Piece(radius_mm=600.0, turn="left", angle_deg=300.0)])
HILLS = Track(
    [
        Piece(length_mm=200.0, grade_percent=1.0),
        Piece(radius_mm=520.0, turn="left", angle_deg=70.0, grade_percent=3.0, easement_mm=180.0),
        Piece(radius_mm=450.0, turn="right", angle_deg=50.0, grade_percent=-3.5),
        Piece(length_mm=90.0, grade_percent=0.5),
        Piece(radius_mm=640.0, turn="right", angle_deg=60.0, grade_percent=-4.0, easement_mm=300.0),
    ]
)
BOX = Vehicle(150.0, 100.0, 100.0, rolling=0.014)
CARS = [
    Vehicle(
        130.0 + 14.0 * k,
        90.0 + 9.0 * k,
        55.0 + 31.0 * (k % 3),
        "truck" if k == 2 else "body",
        rolling=0.01 + 0.002 * k,
    )
    for k in range(6)
]
LEAD = Vehicle(210.0, 140.0, 420.0, engine=True, pull_g=95.0)
SECOND = Vehicle(180.0, 120.0, 300.0, engine=True, pull_g=60.0)
HELPER = Vehicle(200.0, 130.0, 350.0, engine=True, pull_g=80.0)
TRAINS = {
    "no engine": CARS,
    "two ahead": [LEAD, SECOND, *CARS],
    "a helper": [LEAD, *CARS, HELPER],
    "two and two": [LEAD, SECOND, *CARS, HELPER, SECOND],
    "a helper alone": [*CARS, HELPER],
    "one in the middle": [LEAD, *CARS[:3], SECOND, *CARS[3:]],
}


def box(**changes: object) -> Vehicle:
    """A boxcar of 150 mm and 100 g, or one that differs in what is given."""
    return replace(BOX, **changes)  # type: ignore[arg-type]


def scattered(track: Track, count: int = 60) -> list[float]:
    """Positions of the head all along a track, scattered by the golden ratio so that no truck is just on a joint."""
    return [track.length_mm * ((k * 0.6180339887 + 0.0137) % 1.0) for k in range(count)]
