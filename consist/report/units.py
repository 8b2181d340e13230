"""Weights and lengths as the reader wants them: ounces and inches, or grams and millimetres."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = ["Units", "UnitsName", "units_for"]

UnitsName = Literal["oz", "g"]
INCHES_PER_FOOT = 12
MM_PER_METRE = 1000.0
FEW_GRAMS = 10.0  # below this a tenth of a gram is shown


@dataclass(frozen=True)
class Units:
    """How figures are shown. Everything is given in grams (or gram-force) and millimetres.

    >>> Units("oz").weight(106.3), Units("g").weight(106.3)
    ('3.75 oz', '106 g')
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
            return _figure(grams / GRAMS_PER_OUNCE, 2)
        return _figure(grams, 1 if abs(grams) < FEW_GRAMS else 0)

    def weight(self, grams: float) -> str:
        """A car's weight or a pull."""
        return f"{self.weight_figure(grams)} {self.name}"

    def train_weight_figure(self, grams: float) -> str:
        """The weight of many cars without its unit."""
        return _figure(grams / GRAMS_PER_OUNCE, 1) if self.inches else _figure(grams, 0)

    def train_weight(self, grams: float) -> str:
        """The weight of many cars."""
        return f"{self.train_weight_figure(grams)} {self.name}"

    def length_figure(self, mm: float) -> str:
        """A car's length without its unit."""
        return _figure(mm / MM_PER_INCH, 1) if self.inches else _figure(mm, 0)

    def length(self, mm: float) -> str:
        """A short length: a car, a height."""
        return f"{self.length_figure(mm)} {self.length_unit}"

    def radius(self, mm: float) -> str:
        """The radius of a curve, a whole figure without its point."""
        figure = self.length_figure(mm).removesuffix(".0")
        return f"{figure} {self.length_unit}"

    def distance(self, mm: float) -> str:
        """A long length: a train, a distance along the route."""
        if not self.inches:
            return f"{_figure(mm, 0)} mm" if abs(mm) < MM_PER_METRE else f"{_figure(mm / MM_PER_METRE, 2)} m"
        sign = "-" if mm < 0.0 else ""
        feet, inches = divmod(round(abs(mm) / MM_PER_INCH), INCHES_PER_FOOT)
        if feet == 0:
            return f"{sign if inches else ''}{inches} in"
        return f"{sign}{feet} ft {inches} in" if inches else f"{sign}{feet} ft"


def units_for(layout_unit: str, wanted: UnitsName | None = None) -> Units:
    """The units to show: those wanted, else ounces where the layout is in inches.

    >>> units_for("mm").name, units_for("mm", "oz").name
    ('g', 'oz')
    """
    return Units(wanted or ("oz" if layout_unit == "in" else "g"))


def _figure(value: float, places: int) -> str:
    figure = f"{value:.{places}f}"
    return figure.removeprefix("-") if float(figure) == 0.0 else figure
