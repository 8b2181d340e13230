"""The command that serves the desk."""

from __future__ import annotations

import sys
from contextlib import ExitStack
from pathlib import Path
from typing import Annotated

import typer

from consist.cli.answering import printed
from consist.cli.options import argument, flag

__all__ = ["desk"]


def desk(
    session: Annotated[Path, argument("SESSION", "The session's folder.")],
    port: Annotated[int, typer.Option(help="The port to answer at; 0 for any that is free.")] = 8370,
    lan: Annotated[bool, flag("--lan", "Let phones and machines in the same network reach it, too.")] = False,
    guest_link: Annotated[bool, flag("--guest-link", "Print a second link, by which one can only look.")] = False,
    no_browser: Annotated[bool, flag("--no-browser", "Open no browser on this machine.")] = False,
) -> None:
    """Open a page to change the evening from while it goes on.

    \b
    consist desk sample_sessions/club_night
    consist desk sample_sessions/sunday_shelf --lan --guest-link

    Move cars, swap engines, tick what is done, and see at once what each train makes of it; several people at a time.
    The session's tables stay as they are until somebody says Save. Ctrl-C ends it, and nothing is lost by that.

    Exits with 0, or with 2 where the session or the port cannot be used.
    """
    from consist.desk.serve import opened

    with ExitStack() as stack:
        at = opened(session, stack, port=port, lan=lan, guest_link=guest_link)
        for note in at.notes:
            print(note, file=sys.stderr)
        printed(f"The desk is open. {at.reached_by}\n\n  {at.link}\n")
        if at.guest_link is not None:
            printed(f"\nTo look only:\n\n  {at.guest_link}\n")
        if lan:
            printed("\n" + _square(at.link))
        printed("\nCtrl-C ends it; what was done is kept.\n")
        sys.stdout.flush()
        if not no_browser:
            _open(at.link)
        at.serve()
    printed("The desk is closed.\n")


def _square(link: str) -> str:
    """The link as a QR code (ISO/IEC 18004), in half blocks, for a phone."""
    import io

    import segno

    out = io.StringIO()
    segno.make(link, micro=False).terminal(out, compact=True)
    return out.getvalue()


def _open(link: str) -> None:
    """Open the link in a browser, without waiting for it."""
    import threading
    import webbrowser

    threading.Thread(target=webbrowser.open, args=(link,), daemon=True).start()
