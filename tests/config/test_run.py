"""The script `./run`: what it refuses, and that it stops everything it started."""

import os
import shutil
import signal
import socket
import subprocess
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]
COPIED = ("framing", "quotes", "orders", "templates")
OWN_VARIABLES = ("DATABASE_URL", "REDIS_URL", "DJANGO_SETTINGS_MODULE", "SECRET_KEY", "LINK_KEY")


@pytest.fixture
def install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A second installation of this code, already set up, with data and services of its own."""
    stamp = CHECKOUT / ".data" / "stamp"
    if not stamp.exists():
        pytest.skip("this environment was not made by ./run")
    here = tmp_path / "install"
    (here / ".data").mkdir(parents=True)
    for name in COPIED:
        # with what is compiled, but for what another process is about to: web, worker and beat begin at once
        shutil.copytree(CHECKOUT / name, here / name, ignore=shutil.ignore_patterns("*.pyc.*"))
    for name in ("run", "manage.py", "requirements.lock"):
        shutil.copy(CHECKOUT / name, here / name)
    (here / ".venv").symlink_to(CHECKOUT / ".venv")
    shutil.copy(stamp, here / ".data" / "stamp")
    services = Path(f"/var/tmp/spanyard-run-{os.getpid()}-{tmp_path.name}")  # noqa: S108
    monkeypatch.setenv("SPANYARD_SERVICES_DIR", str(services))
    monkeypatch.setenv("SPANYARD_DEMO", "off")
    for name in OWN_VARIABLES:
        monkeypatch.delenv(name, raising=False)
    yield here
    for pid in processes_of(services):
        os.kill(pid, signal.SIGKILL)
    shutil.rmtree(services, ignore_errors=True)


def processes_of(services: Path) -> list[int]:
    """Return every process that was started with `services` in its environment, but this one."""
    found = []
    for environment in Path("/proc").glob("[0-9]*/environ"):
        try:
            variables = environment.read_bytes().split(b"\0")
        except OSError:
            continue  # ended meanwhile, or another user's
        if f"SPANYARD_SERVICES_DIR={services}".encode() in variables:
            found.append(int(environment.parent.name))
    return [pid for pid in found if pid != os.getpid()]


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def start(here: Path, port: int) -> subprocess.Popen[str]:
    """Start `./run` in a group of its own, as a terminal would, and wait until it says that it answers."""
    command = subprocess.Popen(
        [str(here / "run")],
        env={**os.environ, "PORT": str(port)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    )
    assert command.stdout is not None
    said = []
    for line in command.stdout:
        said.append(line)
        if "answers on" in line:
            return command
    command.stdout.close()
    command.wait()
    raise AssertionError("".join(said))


def run(here: Path, *arguments: str, **variables: str) -> subprocess.CompletedProcess[str]:
    command = [str(here / "run"), *arguments]
    return subprocess.run(
        command, env={**os.environ, **variables}, capture_output=True, text=True, check=False
    )


def test_help_names_every_verb() -> None:
    done = run(CHECKOUT, "help")
    assert done.returncode == 0
    for verb in ("test", "quote", "bench", "manage", "lock"):
        assert f"./run {verb}" in done.stdout


@pytest.mark.parametrize(
    "arguments",
    [("nonsense",), ("manage",), ("quote",), ("bench", "more"), ("lock", "more"), ("serve", "more")],
)
def test_bad_usage_is_told_with_exit_code_2(arguments: tuple[str, ...]) -> None:
    done = run(CHECKOUT, *arguments)
    assert done.returncode == 2
    assert done.stderr.startswith("run: ")
    assert "Usage:" in done.stderr
    assert done.stdout == ""


def test_a_port_that_is_no_number_is_bad_usage() -> None:
    assert run(CHECKOUT, PORT="eighty").returncode == 2
    assert run(CHECKOUT, PORT="70000").returncode == 2


def test_a_taken_port_is_named_and_nothing_is_left(install: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = run(install, PORT=str(port))
    assert done.returncode == 1
    assert f"port {port} is taken" in done.stderr
    assert processes_of(Path(os.environ["SPANYARD_SERVICES_DIR"])) == []


def test_start_answer_and_stop(install: Path) -> None:
    services, port = Path(os.environ["SPANYARD_SERVICES_DIR"]), free_port()
    with start(install, port) as command:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/account/login/") as page:
            assert page.status == 200
        assert run(install, PORT=str(free_port())).stderr.startswith("run: Spanyard already runs")
        assert len(processes_of(services)) > 3
        os.killpg(command.pid, signal.SIGINT)
        said = command.communicate()[0]
        assert command.returncode == 130, said
    assert processes_of(services) == []


def test_a_killed_run_is_cleared_by_the_next(install: Path) -> None:
    services, port = Path(os.environ["SPANYARD_SERVICES_DIR"]), free_port()
    with start(install, port) as command:
        command.kill()
    assert processes_of(services) != []
    with start(install, port) as command:
        command.terminate()
        said = command.communicate()[0]
        assert command.returncode == 143, said
    left = processes_of(services)
    assert left == [], said + str([Path(f"/proc/{pid}/cmdline").read_bytes() for pid in left])
