"""What may trail: the yard's card of how many usual cars may stand behind each car, route by route."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import inf

from consist.report.document import Para, Section, Sheet
from consist.report.sheets.cells import figures, table, words
from consist.report.sheets.parts import section, sheet
from consist.report.words import in_words, named
from consist.session import Session
from consist.stock import Car
from consist.track import BACKING
from consist.trailing import MOST_CARS, Trailing, TrailingLimit
from consist.wording import Units

__all__ = ["trailing_sheet"]

ANY = "any"
"""What stands for a number of cars where none are too many."""
Limits = tuple[int | None, int | None]


def _by_way_of(stops: Sequence[str]) -> str:
    """Stops as they are told, those backed to among them."""
    return " ".join([stops[0], *(stop if stop.startswith(BACKING) else f"to {stop}" for stop in stops[1:])])


def trailing_sheet(session: Session, told: Trailing, units: Units) -> Sheet:
    """The card: cars of like limits together, the strictest first."""
    routes: dict[tuple[TrailingLimit, ...], list[str]] = {}
    for route in told.routes:
        routes.setdefault(route.cars, []).append(_by_way_of(route.stops))
    return sheet(
        "trailing",
        f"What may trail in {told.session}",
        section("", Para(_basis(session, told.usual, units))),
        *(_route(names, limits, told.usual, units) for limits, names in routes.items()),
    )


def _basis(session: Session, usual: Car, units: Units) -> str:
    house = session.house
    return (
        f"How many usual cars may stand behind a car. The usual car is {units.length(usual.coupled_length_mm)} long "
        f"over its couplers and weighs {units.weight(usual.weight_g)}; one stands between the engine and the car. Up "
        f"to the number under go its margin is {house.care_margin:g} or more all the way; past the number under care "
        f"it is below {house.hold_margin:g}, and the train is on hold. {ANY.capitalize()}: no train that has room to "
        f"stand, of up to {MOST_CARS} cars, is too long behind it."
    )


def _route(names: Iterable[str], limits: Iterable[TrailingLimit], usual: Car, units: Units) -> Section:
    groups: dict[Limits, list[TrailingLimit]] = {}
    for limit in limits:
        groups.setdefault((limit.within_care, limit.within_hold), []).append(limit)
    free = groups.pop((None, None), [])
    strictest_first = sorted(groups.items(), key=lambda group: [inf if each is None else each for each in group[0]])

    def weight(count: float) -> str:
        return units.train_weight_figure(count * usual.weight_g)

    listed = table(
        "Cars with a limit",
        strictest_first,
        words("car", lambda one: _cars(one[1]), wide=True, whole=True),
        figures("go: cars", lambda one: one[0][0], none=ANY),
        figures(units.name, lambda one: one[0][0], weight, none=ANY),
        figures("care: cars", lambda one: one[0][1], none=ANY),
        figures(units.name, lambda one: one[0][1], weight, none=ANY),
    )
    others = "Any number may stand behind all others." if groups else "Any number may stand behind every car."
    first, *more = names
    alike = Para(f"The same from {in_words(more)}.") if more else None
    return section(first, alike, listed if groups else None, Para(others) if free else None)


def _cars(limits: Iterable[TrailingLimit]) -> str:
    """The cars, a loaded one said to be so; one of the same limits empty and loaded is told once."""
    loads: dict[str, list[bool]] = {}
    for limit in limits:
        loads.setdefault(limit.car, []).append(limit.loaded)
    return named(f"{car} loaded" if loaded == [True] else car for car, loaded in loads.items())
