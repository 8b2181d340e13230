"""How figures and names are said: one way for each weight, length, share and place, in the units asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = [
    "NONE", "Units", "UnitsName", "at", "between", "clock", "engines_words", "in_words", "length_words",
    "lengths_apart", "limit_percent", "percent", "units_for", "weight_words",
]  # fmt: skip

NONE = "–"
"""What stands where there is no figure."""
UnitsName = Literal["oz", "g"]
INCHES_PER_FOOT = 12
MM_PER_METRE = 1000.0
FEW_GRAMS, MANY_GRAMS = 10.0, 100.0  # below these a tenth of a gram is shown in a table, and in a sentence
FINEST, FINEST_MM = 0.01, 0.1
"""No weight, no length in inches and none in mm is shown below these: scales, rules and hands are not finer. Common
practice, no source."""
DAY_MINUTES = 24 * 60
ALIKE = 1e-9
"""A share that differs from a limit by less is at it: that is noise of the arithmetic."""
MOST_PLACES = 6


@dataclass(frozen=True)
class Units:
    """How figures are shown. Everything is given in grams (or gram-force) and millimetres.

    >>> Units("oz").weight(106.3), Units("g").weight(106.3), Units("g").weight(0.004)
    ('3.75 oz', '106 g', 'less than 0.01 g')
    >>> Units("oz").distance(4343.4), Units("g").distance(4343.4)
    ('14 ft 3 in', '4.34 m')
    """

    name: UnitsName

    @property
    def inches(self) -> bool:
        """Whether lengths are shown in inches and feet."""
        return self.name == "oz"

    @property
    def length_unit(self) -> str:
        """The unit of short lengths, for a heading."""
        return "in" if self.inches else "mm"

    @property
    def far_unit(self) -> tuple[str, float]:
        """The unit of long distances and its length in mm, for a scale under a drawing."""
        return ("ft", INCHES_PER_FOOT * MM_PER_INCH) if self.inches else ("m", MM_PER_METRE)

    def weight_figure(self, grams: float) -> str:
        """A car's weight or a pull without its unit."""
        if self.inches:
            return f"{grams / GRAMS_PER_OUNCE:z.2f}"
        return f"{grams:z.1f}" if abs(grams) < FEW_GRAMS else f"{grams:z.0f}"

    def weight(self, grams: float) -> str:
        """A car's weight or a pull: a tenth of a gram counts in the small scales, and bench scales show it."""
        figure = self.weight_figure(grams)
        if not self.inches and abs(grams) < MANY_GRAMS:
            figure = _trimmed(grams, 2 if round(grams, 1) == 0.0 else 1)
        return _told(grams, figure, self.name)

    def train_weight_figure(self, grams: float) -> str:
        """The weight of many cars without its unit."""
        return f"{grams / GRAMS_PER_OUNCE:z.1f}" if self.inches else f"{grams:z.0f}"

    def train_weight(self, grams: float) -> str:
        """The weight of many cars."""
        return f"{self.train_weight_figure(grams)} {self.name}"

    def length_figure(self, mm: float) -> str:
        """A car's length without its unit."""
        return f"{mm / MM_PER_INCH:z.1f}" if self.inches else f"{mm:z.0f}"

    def length(self, mm: float) -> str:
        """A short length: a car, a height."""
        return f"{self.length_figure(mm)} {self.length_unit}"

    def radius(self, mm: float) -> str:
        """The radius of a curve, a whole figure without its point."""
        return f"{self.length_figure(mm).removesuffix('.0')} {self.length_unit}"

    def distance(self, mm: float) -> str:
        """A long length: a train, a distance along the route."""
        if not self.inches:
            return f"{mm:z.0f} mm" if abs(mm) < MM_PER_METRE else f"{mm / MM_PER_METRE:z.2f} m"
        feet, inches = divmod(round(abs(mm) / MM_PER_INCH), INCHES_PER_FOOT)
        told = [f"{feet} ft"] if feet else []
        told += [f"{inches} in"] if inches or not feet else []
        return ("-" if mm < 0.0 and (feet or inches) else "") + " ".join(told)


def units_for(layout_unit: str, wanted: UnitsName | None = None) -> Units:
    """The units to show: those wanted, else ounces where the layout is in inches.

    >>> units_for("mm").name, units_for("mm", "oz").name
    ('g', 'oz')
    """
    return Units(wanted or ("oz" if layout_unit == "in" else "g"))


def weight_words(grams: float, unit: str) -> str:
    """A weight in words: ounces where the layout is in inches, else grams.

    >>> weight_words(28.349523125, "in"), weight_words(28.0, "mm"), weight_words(9e-15, "mm")
    ('1.00 oz', '28 g', 'less than 0.01 g')
    """
    return units_for(unit).weight(grams)


def length_words(mm: float, unit: str) -> str:
    """A length in words, in the layout's unit.

    >>> length_words(609.6, "in"), length_words(250.0, "mm"), length_words(87.5, "mm")
    ('24 in', '250 mm', '87.5 mm')
    >>> length_words(0.06, "in"), length_words(-0.0, "mm")
    ('less than 0.01 in', '0 mm')
    """
    if unit != "in":
        return _told(mm, _trimmed(mm, 1), "mm", FINEST_MM)
    inches = mm / MM_PER_INCH
    return _told(inches, _trimmed(inches, 0 if abs(inches) >= 100 else 1 if abs(inches) >= 10 else 2), "in")


def lengths_apart(mm: float, other_mm: float, unit: str) -> tuple[str, str]:
    """Two lengths in words, finer than `length_words` has them where that tells no difference between the two.

    >>> lengths_apart(610.0, 609.6, "in"), lengths_apart(762.0, 609.6, "in")
    (('24.016 in', '24 in'), ('30 in', '24 in'))
    """
    one, other = length_words(mm, unit), length_words(other_mm, unit)
    if one == other:
        size, places = (MM_PER_INCH, 3) if unit == "in" else (1.0, 2)
        one, other = (f"{_trimmed(length / size, places)} {unit}" for length in (mm, other_mm))
    return one, other


def _told(value: float, figure: str, unit: str, finest: float = FINEST) -> str:
    """A figure with its unit; what is there, but too little to show, is told to be less than the finest."""
    return f"less than {finest:g} {unit}" if value > 0.0 and float(figure) == 0.0 else f"{figure} {unit}"


def _trimmed(value: float, places: int) -> str:
    """So many places after the point at most."""
    figure = f"{value:z.{places}f}"
    return figure.rstrip("0").rstrip(".") if places else figure


def at(place: str) -> str:
    """Where something happens: at a place, or between two.

    >>> at("Gorse Junction"), at("between Gorse Junction and Hilltop")
    ('at Gorse Junction', 'between Gorse Junction and Hilltop')
    """
    return place if place.startswith("between ") else f"at {place}"


def clock(minutes: float | None) -> str:
    """A time of the fast clock, or a dash.

    >>> clock(640), clock(1450), clock(None)
    ('10:40', '0:10', '–')
    """
    if minutes is None:
        return NONE
    hours, past = divmod(int(minutes) % DAY_MINUTES, 60)
    return f"{hours}:{past:02d}"


def percent(share: float | None, *limits: float) -> str:
    """A share in whole per cents, or in as many places as tell on which side of a limit it is; 100 % is always one.

    >>> percent(0.734), percent(0.997), percent(1.001), percent(None)
    ('73 %', '99.7 %', '100.1 %', '–')
    >>> percent(0.668, 2 / 3), limit_percent(2 / 3, 0.668)
    ('66.8 %', '66.7 %')
    """
    return NONE if share is None else f"{100.0 * share:z.{_places(share, (*limits, 1.0))}f} %"


def limit_percent(limit: float, *shares: float) -> str:
    """A limit in per cent, in as many places as tell it from each share told beside it.

    >>> limit_percent(2 / 3), limit_percent(2 / 3, 0.66668)
    ('67 %', '66.667 %')
    """
    return f"{100.0 * limit:.{max((_places(share, (limit,)) for share in shares), default=0)}f} %"


def engines_words(number: int | None, engine_class: str, owned: int) -> str:
    """So many engines of a class, and how many are owned where that is fewer; `number` None for none that would do.

    >>> engines_words(2, "Heavy", 4), engines_words(3, "Heavy", 2), engines_words(None, "Pug", 1)
    ('2 Heavy', '3 Heavy (2 owned)', 'no number of Pug')
    """
    if number is None:
        return f"no number of {engine_class}"
    return f"{number} {engine_class}" + (f" ({owned} owned)" if owned < number else "")


def in_words(names: Sequence[str], last: str = "and") -> str:
    """Names as a sentence lists them.

    >>> in_words(["31", "32", "40"])
    '31, 32 and 40'
    """
    return f"{', '.join(names[:-1])} {last} {names[-1]}" if len(names) > 1 else "".join(names)


def between(least: str, most: str) -> str:
    """The least and the most of some figures, in one unit; one alone where they are told alike.

    >>> between("24 mm", "48 mm"), between("3 g", "3 g"), between("0.02", "0.03")
    ('24 to 48 mm', '3 g', '0.02 to 0.03')
    """
    unit = f" {most.partition(' ')[2]}"
    return most if least == most else f"{least.removesuffix(unit)} to {most}"


def _places(share: float, limits: Sequence[float]) -> int:
    """The fewest decimal places of a per cent at which it compares with every limit as the share itself does."""
    sides = [0 if abs(share - limit) <= ALIKE else 1 if share > limit else -1 for limit in limits]
    for places in range(MOST_PLACES):
        told = [round(100.0 * share, places) - round(100.0 * limit, places) for limit in limits]
        if all(side * apart > 0.0 or side == apart == 0.0 for side, apart in zip(sides, told, strict=True)):
            return places
    return MOST_PLACES
