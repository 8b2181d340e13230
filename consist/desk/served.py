"""A desk as its server holds it: its work one thing after another, what was made to be shown, and who listens."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from anyio import CapacityLimiter, to_thread

from consist.desk.access import Codes
from consist.desk.desk import Desk, Done, Who
from consist.desk.shown import mark_of, sheet_of, state_text

__all__ = ["Served"]

T = TypeVar("T")


@dataclass
class Served:
    """A desk with all that its server holds: the links' codes, who listens, and what was made to be shown."""

    desk: Desk
    codes: Codes
    save: Callable[[Who], None]
    listening: set[asyncio.Queue[str | None]] = field(default_factory=set)

    def __post_init__(self) -> None:
        self._one = CapacityLimiter(1)
        self._sheets: dict[str, str] = {}
        self._state: tuple[int, str] | None = None
        self._loop: asyncio.AbstractEventLoop | None = None
        self.closed = False
        self.desk.hearing.append(self._hear)

    async def do(self, work: Callable[[], T]) -> T:
        """Work with the desk, when those who asked before have had their turn."""
        self._loop = asyncio.get_running_loop()
        return await to_thread.run_sync(work, limiter=self._one)

    def _hear(self, done: Done) -> None:
        """Tell all who listen what was done; called in the thread that did it."""
        names = [one.train for one in done.trains]
        for name in names:
            self._sheets.pop(name, None)
        self._state = None
        self.publish(names, done.entry.key)

    def publish(self, names: list[str], key: str) -> None:
        """Send the state to all who listen, with the trains named."""
        text = f'{{"by":"{mark_of(key)}",{state_text(self.desk, names)[1:]}'
        if self._loop is not None:
            self._loop.call_soon_threadsafe(self._put, text)

    def _put(self, text: str) -> None:
        for queue in tuple(self.listening):
            try:
                queue.put_nowait(text)
            except asyncio.QueueFull:
                # one that does not take what it is sent would hold it all for ever
                self.listening.discard(queue)
                queue.get_nowait()
                queue.put_nowait(None)

    def close(self) -> None:
        """End what all who listen are told, since the desk closes."""
        self.closed = True
        for queue in tuple(self.listening):
            self.listening.discard(queue)
            while not queue.empty():
                queue.get_nowait()
            queue.put_nowait(None)

    def state(self) -> str:
        """The whole state, made once for all who ask."""
        if self._state is None or self._state[0] != self.desk.revision:
            self._state = self.desk.revision, state_text(self.desk)
        return self._state[1]

    def sheet(self, name: str) -> str:
        """A train's sheet, made once for all who ask."""
        train = self.desk.session.train(name)
        if train.name not in self._sheets:
            number = self.desk.session.trains.index(train) + 1
            self._sheets[train.name] = sheet_of(self.desk.session, train.name, number)
        return self._sheets[train.name]

    def all_anew(self, key: str) -> None:
        """Forget what was made to be shown, and tell all who listen the state of all trains."""
        self._sheets.clear()
        self._state = None
        self.publish([train.name for train in self.desk.session.trains], key)
