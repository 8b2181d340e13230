"""What a shell completes: names of the session on the line, standards and scales; nothing where it cannot be read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import typer

__all__ = ["begin", "cars", "engines", "install", "new_weights", "scales", "standards", "trains"]


def trains(context: typer.Context) -> list[str]:
    """The trains of the session on the line."""
    import tomllib

    try:
        told = tomllib.loads((_session(context) / "session.toml").read_text(encoding="utf-8"))
        return [name for each in told["train"] if isinstance(name := each["name"], str)]
    except (OSError, ValueError, LookupError, TypeError):
        return []


def cars(context: typer.Context) -> list[str]:
    """The cars of the session on the line, guests' too."""
    return [*_column(context, "cars", "car"), *_column(context, "guests", "car")]


def new_weights(context: typer.Context) -> list[str]:
    """The session's own cars, each before its new weight."""
    return [f"{car}=" for car in _column(context, "cars", "car")]


def engines(context: typer.Context) -> list[str]:
    """The engines of the session on the line."""
    return _column(context, "engines", "engine")


def standards() -> list[str]:
    """The published weight standards."""
    from consist.stock import published_standards

    return list(published_standards())


def scales() -> list[str]:
    """The known scales."""
    from consist.scales import SCALES

    return list(SCALES)


def _session(context: typer.Context) -> Path:
    # an option that still wants its name ends the reading of the line, and the session is left over
    words = (word for word in context.args if not word.startswith("-"))
    return Path(context.params.get("session") or next(words, "."))


def _column(context: typer.Context, table: str, column: str) -> list[str]:
    import csv

    try:
        with open(_session(context) / f"{table}.csv", encoding="utf-8-sig", newline="") as file:
            return [row[column] for row in csv.DictReader(file) if row.get(column) and row[column][0] != "#"]
    except (OSError, ValueError, csv.Error):
        return []


def begin() -> None:
    """Teach the library the shells; what it tells bash has a backslash before what bash would part a name at."""
    import re

    from typer._click.shell_completion import CompletionItem, add_completion_class
    from typer._completion_classes import BashComplete, completion_init

    class Bash(BashComplete):
        def format_completion(self, item: CompletionItem) -> str:
            return re.sub(r"([^\w@%+=:,./-])", r"\\\1", str(item.value))

    completion_init()
    add_completion_class(Bash, "bash")


def install(context: typer.Context, param: Any, wanted: bool) -> None:
    """Set up completion for the shell in use, and stop."""
    if wanted and not context.resilient_parsing:
        from typer.completion import install_callback

        begin()
        install_callback(context, param, True)
