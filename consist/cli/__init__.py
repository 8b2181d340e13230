"""The commands: what is asked for is read, worked out and shown. Nothing is computed here.

NumPy, pandas and the rest are loaded inside the commands, so that `consist --help` answers at once.
"""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

from consist.cli import bench, desk, explain, importing, learning, measuring, report, session, track
from consist.cli.answering import answering, printed, settled
from consist.cli.commands import Command, Commands
from consist.cli.completion import begin, install

__all__ = ["COMMANDS", "app", "main"]

HELP = """Check before an operating session whether model trains stay on the track and have the power they need, and
which cars to move where they do not. For model trains only.

Begin with one of these:

\b
  consist check sample_sessions/sunday_shelf
      a sample session, checked
  consist check sample_sessions/visiting_cars.csv \\
    --scale HO --curve 24in --grade 2
      a table of cars over one hardest place, with no session at all
  consist new my_session
      files to fill in for your own
  consist explain
      its words, each explained
"""

app = typer.Typer(
    name="consist",
    cls=Commands,
    help=HELP,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(wanted: bool) -> None:
    if wanted:
        from consist import __version__

        printed(f"consist {__version__}\n")
        raise typer.Exit


@app.callback()
def _consist(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
    install_completion: Annotated[
        bool,
        typer.Option(
            "--install-completion",
            callback=install,
            is_eager=True,
            help="Set up this shell to complete commands and names.",
        ),
    ] = False,
) -> None:
    """Options that stand before the command."""


COMMANDS = (
    session.check, session.order, session.power, track.rating, track.layout, track.new, importing.import_,
    bench.target, bench.strip, bench.bench, measuring.measure, session.screen, session.trailing, report.report,
    report.picture, desk.desk, learning.log, learning.learn, explain.explain,
)  # fmt: skip
for command in COMMANDS:
    app.command(cls=Command)(answering()(command))


def main() -> None:
    """The entry point of `consist`; ends by `SystemExit` with the exit status."""
    # a stream that was closed from the start leads nowhere
    sys.stdout, sys.stderr = (stream or open(os.devnull, "w") for stream in (sys.stdout, sys.stderr))  # noqa: SIM115
    if "_CONSIST_COMPLETE" in os.environ:
        begin()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        with answering():
            app(prog_name="consist")
    except typer.Exit as ended:
        sys.exit(ended.exit_code)
    finally:
        settled(sys.stdout)
        settled(sys.stderr)
