"""A session and a layout to fill in, written for a scale from the templates."""

from __future__ import annotations

import contextlib
import os
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from string import Template

from consist.errors import InputError, Problem
from consist.intake.fields import declared, explained
from consist.intake.files import reason
from consist.intake.tables import KINDS
from consist.intake.writing import turn_to_write, write_whole
from consist.names import quoted, tidy
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH, Scale, known_scale, scale_hint
from consist.stock import StandardError, WeightStandard, weight_standard

__all__ = ["new_session"]

NEW_FILES = ("session.toml", "layout.toml", "cars.csv", "engines.csv", "trains.csv", "guests.csv")
IN_THE_WAY = (
    *NEW_FILES,
    *(f"{name}{kind}" for name in ("cars", "engines", "trains", "guests") for kind in KINDS[1:]),
)


def new_session(
    folder: Path, scale: str, units: str = "mm", standard: str | None = None, train: str = "Sample freight"
) -> list[Path]:
    """Write a session and its layout to fill in, every column and key explained; gives the files' paths.

    Its figures are in inches and ounces, or millimetres and grams; `train` names its one train. The sample as
    written passes a check. Raises `InputError`, with nothing written, where the scale or the standard is not known or
    they do not go together, the train's name will not do, a file of that name is there already, or the folder cannot
    be written to.
    """
    known = known_scale(scale)
    if known is None:
        raise InputError.of("scale", f"found {quoted(scale)}, expected a known scale; {scale_hint(scale)}")
    name = tidy(train)
    if not name or not name.isprintable() or name[0] in "#=" or any(mark in name for mark in '",;\\$'):
        told = f"found {quoted(train)}, expected a train's name; write it without quotes, commas and other marks"
        raise InputError.of("train", told)
    try:
        contents = _contents(known, units == "in", weight_standard(standard, known), name)
    except StandardError as error:
        raise InputError.of("standard", str(error)) from error
    try:
        _check_free(folder)
        with contextlib.ExitStack() as undo:
            if not folder.exists():
                folder.mkdir()
                undo.callback(_remove_empty, folder)
            with turn_to_write(folder / NEW_FILES[0]):
                _check_free(folder)
                _write(folder, contents)
            undo.pop_all()
    except (OSError, ValueError) as error:
        told = f"the session cannot be written: {reason(error, 'folder')}; choose a folder you may write to"
        raise InputError.of(folder, told) from error
    return [folder / name for name in contents]


def _write(folder: Path, contents: Mapping[str, str]) -> None:
    with contextlib.ExitStack() as undo:
        for name, text in contents.items():
            write_whole(folder / name, text)
            undo.callback((folder / name).unlink)
        undo.pop_all()


def _remove_empty(folder: Path) -> None:
    with contextlib.suppress(OSError):  # another run may be writing into it by now
        folder.rmdir()


def _contents(scale: Scale, inches: bool, standard: WeightStandard, train: str) -> dict[str, str]:
    templates = files("consist.intake") / "templates"
    samples = tomllib.loads((templates / "samples.toml").read_text(encoding="utf-8"))
    lengths = {name: scale.by_ratio(mm) for name, mm in samples["ho_mm"].items()}
    car_g = standard.target_g(lengths["body"], lengths["coupled"])
    mm, g = (MM_PER_INCH, GRAMS_PER_OUNCE) if inches else (1.0, 1.0)
    figures = {name: length / mm for name, length in lengths.items()}
    figures |= {name: share * car_g / g for name, share in samples["of_a_car"].items()}
    # Four figures, as a host would write a measured number.
    values = {name: f"{float(f'{figure:.4g}'):g}" for name, figure in figures.items()}
    values |= {"scale": scale.name, "standard": standard.name, "train": train, "units": "in" if inches else "mm"}
    texts = {name: (templates / name).read_text(encoding="utf-8") for name in NEW_FILES}
    explained_texts = {name: Template(text).safe_substitute(_explanations(inches)) for name, text in texts.items()}
    return {name: Template(text).substitute(values) for name, text in explained_texts.items()}


@cache
def _explanations(inches: bool) -> dict[str, str]:
    """What the templates say of columns and keys, by the name of the table, or of table and key."""
    said = {}
    for table in ("cars", "engines", "trains"):
        said[f"{table}_columns"] = explained(declared(table))
        said[f"{table}_header"] = ",".join([*each.columns][-1 if inches else 0] for each in declared(table))
    for table in ("house", "guest_practice", "spread"):
        said[f"{table}_keys"] = explained([each for each in declared(table) if each.kind != "table"], keys=True)
    for table in ("session", "house", "train", "layout", "place", "line"):
        said |= {f"{table}_{each.name}": "# " + each.help.replace("\n", "\n# ") for each in declared(table)}
    return said


def _check_free(folder: Path) -> None:
    names = sorted(os.listdir(folder)) if folder.is_dir() else []
    # a table is read whatever the case of its name
    there = [name for in_the_way in IN_THE_WAY for name in names if name.casefold() == in_the_way]
    if folder.exists() and not folder.is_dir():
        raise InputError.of(folder, "found a file, expected a folder; name another folder")
    if not folder.exists() and not folder.parent.is_dir():
        told = "the folder that would hold the session is missing; make it first or name another"
        raise InputError.of(folder.parent, told)
    if there:
        told = "the file is there already and is not overwritten; name another folder or move the file away"
        raise InputError(Problem(str(folder / name), "", told) for name in there)
