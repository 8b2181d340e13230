"""Results as pandas frames, and as tables in a notebook.

A result names its tables: where the rows of each stand, and their columns. A row has what its own part of the result
says, and beside it what the parts around it say, such as the train that a car is in.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

from consist.errors import UnknownNameError

if TYPE_CHECKING:
    from pandas import DataFrame

__all__ = ["Columns", "Framed"]


class Columns(NamedTuple):
    """A table: the path to its rows, such as `trains.cars`, and its columns, each a path or `name=path`."""

    rows: str
    columns: str


class Framed:
    """A result that holds rows."""

    _tables: ClassVar[Mapping[str, Columns]]

    def to_frame(self, table: str | None = None) -> DataFrame:
        """A table of the result, the first of its tables where none is named.

        Weights are in grams, lengths in millimetres, times in minutes of the fast clock. Names stand in one cell with
        commas between. Raises `UnknownNameError` for a table that is none.

        >>> import consist
        >>> checked = consist.check(consist.load("sample_sessions/sunday_shelf"))
        >>> checked.to_frame("cars")[["train", "car", "spot"]].head(2)
                train      car  spot
        0  Creamery 5  PQF 201     1
        1  Creamery 5  PQF 202     2
        """
        from pandas import DataFrame

        wanted = next(iter(self._tables)) if table is None else table
        if wanted not in self._tables:
            raise UnknownNameError("table", wanted, self._tables)
        rows, columns = self._tables[wanted]
        # a column without a name of its own is named by its path
        named = (column.partition("=") for column in columns.split())
        paths = {name.replace(".", "_"): path or name for name, _, path in named}
        found = [[_cell(_at(chain, path)) for path in paths.values()] for chain in _chains(self, rows)]
        return DataFrame(found, columns=list(paths))

    def _repr_html_(self) -> str:
        html: str = self.to_frame().to_html(max_rows=60, na_rep="")
        return html


def _chains(result: object, path: str) -> Iterator[tuple[object, ...]]:
    """Each row with the parts of the result around it, innermost first."""
    first, _, rest = path.partition(".")
    rows = getattr(result, first)
    for row in rows if isinstance(rows, tuple) else (rows,):
        for within in _chains(row, rest) if rest else ((row,),):
            yield (*within, result)


def _at(chain: tuple[object, ...], path: str) -> Any:
    """What the innermost part that knows it says."""
    first, *rest = path.split(".")
    value = getattr(next(part for part in chain if hasattr(part, first)), first)
    for name in rest:
        if value is not None:
            value = value[int(name)] if name.isdigit() else getattr(value, name)
    return value


def _cell(value: Any) -> Any:
    if isinstance(value, Mapping):
        return ", ".join(f"{count} {name}" for name, count in value.items())
    return ", ".join(map(str, value)) if isinstance(value, tuple | list) else value
