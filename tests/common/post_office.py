"""A mail server for tests on a port of its own: it takes, refuses, or hangs up after the text came."""

from __future__ import annotations

import socketserver
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any


class PostOffice(socketserver.ThreadingTCPServer):
    """`moods` are used up one a mail: take, hang (no word after the text), later (451), never (550)."""

    daemon_threads = True
    allow_reuse_address = True

    def __init__(self, moods: list[str]) -> None:
        super().__init__(("127.0.0.1", 0), _Window)
        self.moods = moods
        self.taken: list[bytes] = []


class _Window(socketserver.StreamRequestHandler):
    server: PostOffice

    def say(self, words: str) -> None:
        self.wfile.write(words.encode() + b"\r\n")

    def handle(self) -> None:
        self.say("220 here")
        while line := self.rfile.readline():
            verb = line.split(maxsplit=1)[0].upper() if line.strip() else b""
            if verb == b"QUIT":
                self.say("221 bye")
                return
            if verb == b"RCPT" and self.server.moods[:1] in (["later"], ["never"]):
                code = "451 busy" if self.server.moods.pop(0) == "later" else "550 no such box"
                self.say(code)
            elif verb == b"DATA":
                self.say("354 go on")
                self.server.taken.append(self._text())
                if self.server.moods.pop(0) == "hang":
                    return
                self.say("250 taken")
            else:
                self.say("250 fine")

    def _text(self) -> bytes:
        lines = []
        while (line := self.rfile.readline()) not in (b".\r\n", b""):
            lines.append(line)
        return b"".join(lines)


@contextmanager
def post_office(settings: Any, *moods: str) -> Iterator[PostOffice]:
    """Run a mail server and let the application send through it."""
    with PostOffice(list(moods)) as office:
        threading.Thread(target=office.serve_forever, daemon=True).start()
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", office.server_address[1]
        yield office
        office.shutdown()
