"""The running product for a test: web, worker and beat as child processes on the test's own database."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import quote

import redis
from django.conf import settings
from django.db import connection
from playwright.sync_api import BrowserContext

from framing.common.models import User
from tests.factories import people

CHECKOUT = Path(__file__).resolve().parents[2]
PATIENCE_S = 60.0


def wait_for(what: str, ready: object, *, patience_s: float = PATIENCE_S, pause_s: float = 0.05) -> None:
    """Poll until `ready()` is true; fail with words when patience ends."""
    assert callable(ready)
    end = time.monotonic() + patience_s
    while not ready():
        if time.monotonic() > end:
            raise AssertionError(f"waited {patience_s:.0f} s in vain for {what}")
        time.sleep(pause_s)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def test_database_url() -> str:
    """The address of the database that pytest-django made, for other processes."""
    values = connection.settings_dict
    host = str(values["HOST"])
    if host.startswith("/"):
        return f"postgres://{values['USER']}@/{quote(host)}/{values['NAME']}"
    login = f"{values['USER']}:{quote(str(values['PASSWORD']))}" if values["PASSWORD"] else values["USER"]
    return f"postgres://{login}@{host}:{values['PORT'] or 5432}/{values['NAME']}"


def own_broker() -> str:
    """The broker's address with a database for each process that runs tests: workers take no other's work."""
    number = os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw")
    url = str(settings.REDIS_URL)
    return f"{url}?db={number}" if url.startswith("unix://") else f"{url.rstrip('/')}/{number}"


SESSIONS = "stack"


class Nursery:
    """The process that the parts of the product are forked from; `folder` takes their logs, papers, mails.

    It begins with the first part that is asked for, and its parts share one environment.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.port = free_port()
        self._process: subprocess.Popen[str] | None = None

    def environment(self) -> dict[str, str]:
        return (
            os.environ
            | {
                "DJANGO_SETTINGS_MODULE": "framing.config.settings.dev",
                "DATABASE_URL": f"{test_database_url()}?application_name={SESSIONS}",
                "REDIS_URL": own_broker(),
                "SECRET_KEY": settings.SECRET_KEY,  # sessions and the cookies of links that a test makes are good there
                "LINK_KEY": settings.LINK_KEY,
                "SPANYARD_STORAGE": str(self.folder / "papers"),
                "SPANYARD_PUBLIC_URL": f"http://127.0.0.1:{self.port}",
                "EMAIL_URL": f"filemail:///{self.folder / 'mails'}",  # its first slash is not yet the path's
            }
        )

    def fork(self, module: str, arguments: list[str], log: Path) -> int:
        """Start a part; return its number, which is its group's too."""
        if self._process is None:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "tests.e2e.nursery"],
                cwd=CHECKOUT,
                env=self.environment(),
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                text=True,
                start_new_session=True,
            )
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        wish = {"module": module, "arguments": arguments, "log": str(log)}
        self._process.stdin.write(f"{json.dumps(wish)}\n")
        self._process.stdin.flush()
        return int(self._process.stdout.readline())

    def close(self) -> None:
        if self._process is not None:
            self._process.communicate()


@dataclass
class Stack:
    """Processes of one test, which begins with an empty folder and an empty broker."""

    nursery: Nursery
    groups: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        shutil.rmtree(self.nursery.folder, ignore_errors=True)
        self.nursery.folder.mkdir()
        self.flush_broker()

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.nursery.port}"

    @property
    def papers(self) -> Path:
        return self.nursery.folder / "papers"

    @property
    def mails(self) -> Path:
        return self.nursery.folder / "mails"

    def sign_in(self, context: BrowserContext, user: User) -> None:
        """Give a browser the session that typing the password would; the paths of people's work type it."""
        session = people.client_of(user).cookies[settings.SESSION_COOKIE_NAME].value
        context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": self.url}])

    def start(self, name: str) -> None:
        celery = ["-A", "framing.config", name]
        module, arguments = {
            "web": ("gunicorn", ["framing.config.wsgi", "--bind", self.url.removeprefix("http://"),
                                 "--workers", "1", "--threads", "4"]),
            "worker": ("celery", [*celery, "--concurrency", "1"]),
            "beat": ("celery", [*celery, "--pidfile=", "--schedule", str(self.nursery.folder / "beat")]),
        }[name]  # fmt: skip
        self.groups[name] = self.nursery.fork(module, arguments, self.nursery.folder / f"{name}.log")
        if name == "web":
            wait_for("the web process", self.web_answers)

    def web_answers(self) -> bool:
        try:
            with urllib.request.urlopen(f"{self.url}/health/ready", timeout=2) as answer:  # noqa: S310  # our own
                return bool(answer.status == 200)
        except OSError:
            return False

    def kill(self, name: str) -> None:
        """kill -9, children included, as a machine that loses power would."""
        group = self.groups.pop(name)
        with contextlib.suppress(ProcessLookupError):
            os.killpg(group, signal.SIGKILL)
        wait_for(f"the end of {name}", lambda: not _lives(group), pause_s=0.005)

    def kill_all(self) -> None:
        """End the test's processes, and what they still had under way in the database."""
        for name in list(self.groups):
            self.kill(name)
        wait_for("the database to give up their work", self._no_sessions, pause_s=0.01)

    def _no_sessions(self) -> bool:
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE datname = current_database() AND application_name = %s",
                [SESSIONS],
            )
            return not cursor.fetchall()

    def flush_broker(self) -> None:
        client = redis.Redis.from_url(own_broker())
        client.flushdb()
        client.close()


def _lives(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True
