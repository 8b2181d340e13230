"""How commands are helped and put right: help with headed groups of options, wrong use told in one line."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import typer
from typer.core import TyperCommand, TyperGroup

from consist.cli.answering import EXIT_UNUSABLE, complain
from consist.names import listed, near_hint, nearest, quoted

__all__ = ["Command", "Commands"]

EXPECTED = {"float_parsing": "a number", "int_parsing": "a whole number", "greater_than_equal": "{ge:g} or more"}
"""What was expected, by the kind of fault that is found in a value."""


class Command(TyperCommand):
    """A command whose help has its options under a heading a group."""

    def format_options(self, ctx: Any, formatter: Any) -> None:
        _write_groups(self, ctx, formatter)


class Commands(TyperGroup):
    """All commands: their list as help, and one line for a wrong use of any of them."""

    def format_options(self, ctx: Any, formatter: Any) -> None:
        _write_groups(self, ctx, formatter)
        self.format_commands(ctx, formatter)

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        if not args and not ctx.resilient_parsing:
            print(ctx.get_help(), file=sys.stderr)
            raise typer.Exit(EXIT_UNUSABLE)
        return super().parse_args(ctx, args)

    def make_context(self, *args: Any, **more: Any) -> Any:
        with _put_right():
            return super().make_context(*args, **more)

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        if args[0] not in self.commands and not ctx.resilient_parsing:
            hint = near_hint(args[0], self.commands) or "; 'consist --help' lists them"
            complain(f"consist: no command is called {quoted(args[0])}{hint}")
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: Any) -> Any:
        with _put_right():
            return super().invoke(ctx)


def _write_groups(command: Command | Commands, ctx: Any, formatter: Any) -> None:
    groups: dict[str, list[tuple[str, str]]] = {"Arguments": [], "Options": []}
    for parameter in command.get_params(ctx):
        told = parameter.get_help_record(ctx)
        if told is not None:
            usual = "Arguments" if parameter.param_type_name == "argument" else "Options"
            groups.setdefault(getattr(parameter, "rich_help_panel", None) or usual, []).append(told)
    for heading, rows in groups.items():
        if rows:
            with formatter.section(heading):
                formatter.write_dl(rows)


@contextmanager
def _put_right() -> Iterator[None]:
    """A wrong use ends in one line that names what is right, and exit 2."""
    try:
        yield
    except typer.TyperException as wrong:
        error: Any = wrong
        context = getattr(error, "ctx", None)
        asked = "consist" if context is None else context.command_path
        if isinstance(error, typer.BadParameter) and error.param is not None:
            name = error.param.get_error_hint().strip("'")
            if error.message:
                complain(f"{name}: {_fault(error)}")
            complain(f"{asked}: found no {name}; '{asked} --help' shows how it is used")
        if hasattr(error, "possibilities") and context is not None:
            known = [option for each in context.command.get_params(context) for option in each.opts]
            complain(f"{asked}: no option is called {quoted(error.option_name)}{_near_option(asked, error, known)}")
        if "extra argument" in error.message:
            more = error.message.partition("(s) ")[2].strip("()")
            complain(f"{asked}: found more than it takes: {quoted(more)}; put a name with blanks in quotes")
        complain(f"{asked}: {error.message}")


def _near_option(asked: str, error: Any, known: Sequence[str]) -> str:
    """The dashes that all options share make none of them alike."""
    near = nearest(error.option_name.strip("-"), [option.strip("-") for option in known])
    return f"; '{asked} --help' lists them" if near is None else f"; did you mean '--{near}'?"


def _fault(error: Any) -> str:
    """What is wrong with the value of an option, and what would be right."""
    found = error.__cause__.errors()[0] if hasattr(error.__cause__, "errors") else None
    if found is None:
        return str(error.message)
    if found["type"] in EXPECTED:
        return (
            f"found {quoted(str(found['input']))}, expected {EXPECTED[found['type']].format(**found.get('ctx', {}))}"
        )
    choices = error.param.type_descriptor.choices
    if not choices:
        return str(found["msg"])
    given = str(found["input"])
    alike = [choice for choice in choices if given[:1].casefold() == choice[0]]
    near = nearest(given, choices) or (alike[0] if len(alike) == 1 else None)
    hint = "choose one" if near is None else f"did you mean {quoted(near)}?"
    return f"found {quoted(given)}, expected one of {listed(choices)}; {hint}"
