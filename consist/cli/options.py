"""The options that commands share, each with its help."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from consist.cli.answering import printed
from consist.wording import UnitsName

__all__ = [
    "SHEET",
    "SHOWN",
    "JsonKeysOption",
    "JsonOption",
    "LayoutArgument",
    "NoRangesOption",
    "PaperName",
    "SessionArgument",
    "UnitsOption",
    "argument",
    "flag",
    "on_paper",
    "option",
    "written",
]  # fmt: skip

PaperName = Literal["a4", "letter"]
SHOWN, WRITTEN = "What is printed", "Files written"
SHEET = "A table of cars over a hardest place"
"""Headings of options in the help."""


def option(metavar: str, help: str, *names: str, **more: Any) -> Any:
    """An option without a default to show; `metavar` stands for what is given to it."""
    return typer.Option(*names, help=help, metavar=metavar, show_default=False, **more)


def written(help: str, *names: str) -> Any:
    """An option that names a file to write."""
    return option("FILE", help, *names, rich_help_panel=WRITTEN)


def on_paper(help: str) -> Any:
    """The option of what a file is printed on."""
    return typer.Option(help=help, rich_help_panel=WRITTEN)


def flag(name: str, help: str, **more: Any) -> Any:
    """An option that is given or not, without a form that denies it."""
    return typer.Option(name, help=help, **more)


def argument(metavar: str, help: str) -> Any:
    """An argument that must be there."""
    return typer.Argument(help=help, metavar=metavar, show_default=False)


def _json_keys(context: typer.Context, wanted: bool) -> None:
    if wanted:
        from consist.report.json import json_reference

        printed(json_reference(context.info_name or ""))
        raise typer.Exit


SessionArgument = Annotated[Path, argument("SESSION", "The session's folder.")]
LayoutArgument = Annotated[Path, argument("LAYOUT", "The layout's file.")]
UNITS_HELP = "Show ounces and inches (oz) or grams and millimetres (g); the layout's own unit decides otherwise."
UnitsOption = Annotated[UnitsName | None, typer.Option(help=UNITS_HELP, show_default=False, rich_help_panel=SHOWN)]
NoRangesOption = Annotated[
    bool,
    flag("--no-ranges", "Leave out how far figures may be off by what was not measured.", rich_help_panel=SHOWN),
]
JsonOption = Annotated[bool, flag("--json", "Print one JSON object instead of pages.", rich_help_panel=SHOWN)]
JsonKeysOption = Annotated[
    bool,
    flag(
        "--json-keys",
        "Say what --json prints, and stop.",
        callback=_json_keys,
        is_eager=True,
        rich_help_panel=SHOWN,
    ),
]
