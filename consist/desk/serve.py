"""A desk opened on a session's folder and served until it is ended."""

from __future__ import annotations

import errno
import socket
from collections.abc import Callable
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

import uvicorn
from filelock import FileLock, Timeout

from consist.desk.access import Codes, hosts_of, own_address
from consist.desk.desk import Desk, Who
from consist.desk.journal import Journal, fingerprints
from consist.desk.save import save, session_tables, settle
from consist.desk.served import Served
from consist.desk.server import app_of
from consist.errors import ChangeError, InputError, refuse
from consist.intake import turn_to_write
from consist.session import load

__all__ = ["Opened", "desk_of", "opened"]

ANYWHERE, HERE = "0.0.0.0", "127.0.0.1"
LOCK = ".desk.lock"
GRACE_SECONDS = 2


class _Server(uvicorn.Server):
    """The server, which ends what listeners are told before it waits for them."""

    def __init__(self, served: Served, config: uvicorn.Config) -> None:
        super().__init__(config)
        self._served = served

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """What Ctrl-C does."""
        self._served.close()
        super().handle_exit(sig, frame)


@dataclass
class Opened:
    """A desk ready to be served: its links, what is to be told first, and `serve`, which lasts until Ctrl-C."""

    link: str
    guest_link: str | None
    reached_by: str
    notes: tuple[str, ...]
    serve: Callable[[], None]


def opened(folder: Path, stack: ExitStack, *, port: int = 0, lan: bool = False, guest_link: bool = False) -> Opened:
    """Open a session's folder at the desk; whatever it holds is let go with the `stack`.

    Raises `InputError` where the session or its journal cannot be read, where another desk is open on it, or where
    the port is taken.
    """
    load(folder)  # what is wrong with the session is told before anything is made
    home = folder if folder.is_dir() else folder.parent
    _only_one(home, stack)
    desk, journal, notes = desk_of(home)
    stack.callback(journal.close)
    listening = stack.enter_context(_socket(ANYWHERE if lan else HERE, port))
    at = int(listening.getsockname()[1])
    address = own_address() if lan else None
    codes = Codes()
    if guest_link:
        codes.guests = Codes().desk

    def saving(who: Who) -> None:
        save(home, desk, journal, who)

    served = Served(desk, codes, saving)
    app = app_of(served, hosts_of(at, address))
    server = _Server(
        served,
        uvicorn.Config(
            app, log_level="critical", access_log=False, server_header=False, timeout_keep_alive=10,
            timeout_graceful_shutdown=GRACE_SECONDS, lifespan="off",
        )
    )  # fmt: skip
    base = f"http://{address or HERE}:{at}/"
    if lan:
        reached = "Everybody in this machine's network who has the link can reach it, and nobody without."
        if address is None:
            reached = "This machine is in no network, so only its own browser can reach it."
    else:
        reached = "Only this machine can reach it; --lan opens it to phones in the same network."

    def serve() -> None:
        with suppress(KeyboardInterrupt):  # how a desk is ended
            server.run(sockets=[listening])

    guests = None if codes.guests is None else f"{base}?code={codes.guests}"
    return Opened(f"{base}?code={codes.desk}", guests, reached, tuple(notes), serve)


def desk_of(home: Path) -> tuple[Desk, Journal, list[str]]:
    """The desk as it was left: the session with what its journal has."""
    journal = Journal.of(home)
    # what a desk ended in the middle of a save left half written goes with this turn
    with turn_to_write(home / "session.toml"):
        notes = settle(home, journal)
    session, tables = load(home), fingerprints(home, session_tables(home))
    fresh = not journal.tables
    if not fresh and tables != journal.tables:
        changed = sorted(name for name in {*tables, *journal.tables} if tables.get(name) != journal.tables.get(name))
        notes.append(f"Changed by another program since the desk was last open: {', '.join(changed)}.")
    try:
        desk = Desk(session, journal.entries, first=journal.first, ticked=journal.ticked, keep=journal.keep)
    except ChangeError as error:
        journal.set_aside(f"holds changes that these tables no longer allow ({error})")
        desk, fresh = Desk(session, keep=journal.keep), True
    if fresh:
        journal.begin(tables)
    elif tables != journal.tables:
        journal.move_to(tables)
    return desk, journal, [*journal.notes, *notes]


def _only_one(home: Path, stack: ExitStack) -> None:
    """Raise `InputError` where another desk is open on the session."""
    lock = FileLock(home / LOCK, timeout=0)
    try:
        lock.acquire()
    except Timeout:
        told = "another desk is open on this session; use its link, or end it first"
        raise InputError.of(home, told) from None
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        told = f"the desk cannot keep its journal here: {why}; allow it to be written"
        raise InputError.of(home, told) from error
    stack.callback(lock.release)


def _socket(host: str, port: int) -> socket.socket:
    try:
        return socket.create_server((host, port), backlog=256)
    except OverflowError:
        raise refuse("--port", f"found {port}, expected a port from 0 to 65535") from None
    except OSError as error:
        if error.errno == errno.EADDRINUSE:
            told = f"found port {port} taken by another program; name another, or 0 for any that is free"
        else:
            told = f"port {port} cannot be used ({(error.strerror or str(error)).lower()}); name another"
        raise refuse("--port", told) from None
