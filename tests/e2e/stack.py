"""The running product for a test: web, worker and beat as child processes on the test's own database."""

from __future__ import annotations

import os
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


@dataclass
class Stack:
    """Processes of one test; `folder` takes their logs, papers and beat's schedule."""

    folder: Path
    port: int = field(default_factory=free_port)
    processes: dict[str, subprocess.Popen[bytes]] = field(default_factory=dict)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def papers(self) -> Path:
        return self.folder / "papers"

    def environment(self) -> dict[str, str]:
        return os.environ | {
            "DJANGO_SETTINGS_MODULE": "framing.config.settings.dev",
            "DATABASE_URL": test_database_url(),
            "REDIS_URL": own_broker(),
            "SPANYARD_STORAGE": str(self.papers),
            "SPANYARD_PUBLIC_URL": self.url,
        }

    def start(self, name: str) -> None:
        python = [sys.executable, "-m"]
        commands = {
            "web": [*python, "gunicorn", "framing.config.wsgi", "--bind", f"127.0.0.1:{self.port}",
                    "--workers", "1", "--threads", "4"],
            "worker": [*python, "celery", "-A", "framing.config", "worker", "--concurrency", "1"],
            "beat": [*python, "celery", "-A", "framing.config", "beat", "--pidfile=",
                     "--schedule", str(self.folder / "beat")],
        }  # fmt: skip
        log = (self.folder / f"{name}.log").open("ab")
        self.processes[name] = subprocess.Popen(
            commands[name],
            cwd=CHECKOUT,
            env=self.environment(),
            stdout=log,
            stderr=log,
            start_new_session=True,
        )
        log.close()
        if name == "web":
            wait_for("the web process", self.web_answers)

    def web_answers(self) -> bool:
        try:
            with urllib.request.urlopen(f"{self.url}/health/ready", timeout=2) as answer:  # noqa: S310  # our own
                return bool(answer.status == 200)
        except OSError:
            return False

    def stop(self, name: str) -> None:
        """Ask a process to end; it ends its children."""
        process = self.processes.pop(name)
        process.terminate()
        try:
            process.wait(30)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()

    def kill(self, name: str) -> None:
        """kill -9, children included, as a machine that loses power would."""
        process = self.processes.pop(name)
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()

    def stop_all(self) -> None:
        for name in list(self.processes):
            self.stop(name)

    def flush_broker(self) -> None:
        client = redis.Redis.from_url(own_broker())
        client.flushdb()
        client.close()
