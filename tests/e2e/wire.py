"""A line between a phone and the running server: every byte on it is counted, and it can break anywhere."""

from __future__ import annotations

import contextlib
import socket
import threading
from dataclasses import dataclass, field
from typing import Final
from urllib.parse import urlsplit

CHUNK: Final = 65_536
WHERE: Final = ("before", "within", "after")
"""Before the server hears of it; within what is sent; after it is done, before the phone hears."""
WORKING: Final = """navigator.serviceWorker.ready.then(() => new Promise((go) => {
    if (navigator.serviceWorker.controller) go();
    else navigator.serviceWorker.addEventListener("controllerchange", () => go());
}))"""
"""For `evaluate`: until a worker serves the page."""


@dataclass
class Wire:
    """Listens on a port of its own and passes on to the server at `to`; use as a context.

    `down` breaks it for good; `plan` holds where each post to come breaks, "" for one that goes through; `drops` tells
    where it broke.
    """

    to: str
    down: bool = False
    plan: list[str] = field(default_factory=list)
    drops: list[str] = field(default_factory=list)
    received: int = 0
    sent: int = 0

    def __enter__(self) -> Wire:
        self._door = socket.create_server(("127.0.0.1", 0))
        self._open: set[socket.socket] = set()
        self._lock = threading.Lock()
        threading.Thread(target=self._listen, daemon=True).start()
        return self

    def __exit__(self, *_told: object) -> None:
        self._door.close()
        self.cut()

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self._door.getsockname()[1]}"

    def cut(self) -> None:
        """Break what is open now."""
        for one in list(self._open):
            with contextlib.suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)

    def breaks(self) -> None:
        """No signal from now on."""
        self.down = True
        self.cut()

    def _listen(self) -> None:
        server_at = urlsplit(self.to)
        while True:
            try:
                phone, _ = self._door.accept()
            except OSError:
                return
            try:
                if self.down:
                    raise ConnectionRefusedError
                server = socket.create_connection((server_at.hostname or "", server_at.port or 80))
            except OSError:
                phone.close()
                continue
            call = _Call(self, phone, server)
            self._open |= {phone, server}
            threading.Thread(target=call.run, daemon=True).start()

    def ended(self, *ends: socket.socket) -> None:
        self._open -= set(ends)

    def breaking(self) -> str:
        """Where this post breaks, "" if it goes through."""
        with self._lock:
            where = self.plan.pop(0) if self.plan else ""
            if where:
                self.drops.append(where)
            return where


@dataclass
class _Call:
    """One connection, one thread each way; whoever ends ends the other."""

    wire: Wire
    phone: socket.socket
    server: socket.socket
    deaf: bool = False

    def run(self) -> None:
        back = threading.Thread(target=self.down, daemon=True)
        back.start()
        self.up()
        back.join()
        self.wire.ended(self.phone, self.server)
        self.phone.close()
        self.server.close()

    def up(self) -> None:
        with contextlib.suppress(OSError):
            while data := self.phone.recv(CHUNK):
                where = self.wire.breaking() if data.startswith(b"POST ") else ""
                if where == "before":
                    break
                self.deaf = where == "after"
                self.server.sendall(data[: len(data) // 2] if where == "within" else data)
                self.wire.sent += len(data)
                if where == "within":
                    break
        self._end()

    def down(self) -> None:
        with contextlib.suppress(OSError):
            while data := self.server.recv(CHUNK):
                if self.deaf:
                    break
                self.wire.received += len(data)
                self.phone.sendall(data)
        self._end()

    def _end(self) -> None:
        for one in (self.phone, self.server):
            with contextlib.suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)
