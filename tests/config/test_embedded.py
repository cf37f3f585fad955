"""The private PostgreSQL and Valkey: start, stop, crash, two users, two checkouts, left-over files."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from framing.config import embedded

RUNNING = {"postgres": True, "valkey": True}
STOPPED = {"postgres": False, "valkey": False}


@pytest.fixture
def checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder that stands for a checkout, with services of its own that are gone afterwards.

    As root the server runs as another user, who cannot enter pytest's folders: its data is put beside them.
    """
    root = Path(f"/var/tmp/spanyard-test-{os.getpid()}-{tmp_path.name}")  # noqa: S108
    monkeypatch.setenv("SPANYARD_SERVICES_DIR", str(root))
    here = tmp_path / "checkout"
    here.mkdir()
    yield here
    embedded.stop(here)
    assert embedded.status(here) == STOPPED
    subprocess.run(["rm", "-rf", str(root), str(embedded.places(here).sockets)], check=True)


def ask(checkout: Path, statement: str) -> object:
    """Return the first value of `statement`'s answer from the checkout's database."""
    host = str(embedded.places(checkout).sockets)
    with psycopg.connect(
        host=host, user=embedded.DATABASE, dbname=embedded.DATABASE, autocommit=True
    ) as line:
        cursor = line.execute(statement.encode())
        row = cursor.fetchone() if cursor.description else None
        return row[0] if row else None


def test_start_and_stop(checkout: Path) -> None:
    assert embedded.status(checkout) == STOPPED
    embedded.start(checkout)
    assert embedded.status(checkout) == RUNNING
    ask(checkout, "create table kept (n int)")
    embedded.start(checkout)  # a second start changes nothing
    assert embedded.stop(checkout) is True
    assert embedded.status(checkout) == STOPPED
    embedded.start(checkout)
    assert ask(checkout, "select count(*) from kept") == 0


def test_listens_on_no_network_address(checkout: Path) -> None:
    embedded.start(checkout)
    assert ask(checkout, "show listen_addresses") == ""
    assert embedded.places(checkout).sockets.stat().st_mode & 0o077 == 0


def test_a_killed_postmaster_is_started_again(checkout: Path) -> None:
    embedded.start(checkout)
    ask(checkout, "create table kept (n int)")
    ask(checkout, "insert into kept values (7)")
    postmaster = int((embedded.places(checkout).cluster / "postmaster.pid").read_text().split()[0])
    os.kill(postmaster, signal.SIGKILL)
    embedded.start(checkout)
    assert embedded.status(checkout) == RUNNING
    assert ask(checkout, "select n from kept") == 7


def test_a_killed_valkey_is_started_again(checkout: Path) -> None:
    embedded.start(checkout)
    pid = int((embedded.places(checkout).root / "valkey.pid").read_text())
    os.kill(pid, signal.SIGKILL)
    embedded.start(checkout)
    assert embedded.status(checkout) == RUNNING


def test_a_pid_file_that_names_another_program_does_not_bar_the_start(checkout: Path) -> None:
    embedded.start(checkout)
    here = embedded.places(checkout)
    pid_file = here.cluster / "postmaster.pid"
    stale = pid_file.read_text().splitlines()
    embedded.stop(checkout)
    with subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE) as other:
        pid_file.write_text("\n".join([str(other.pid), *stale[1:]]) + "\n")
        (here.sockets / ".s.PGSQL.5432.lock").write_text(f"{other.pid}\n")
        (here.root / "valkey.pid").write_text(f"{other.pid}\n")
        here.valkey_socket.touch()
        embedded.start(checkout)
        assert embedded.status(checkout) == RUNNING
        assert other.poll() is None
        other.terminate()


def test_a_half_made_cluster_is_made_anew(checkout: Path) -> None:
    half = embedded.places(checkout).root / "postgres.half"
    half.mkdir(parents=True)
    (half / "PG_VERSION").write_text("18\n")
    embedded.start(checkout)
    assert ask(checkout, "select 1") == 1


def test_the_last_user_stops_the_services(checkout: Path) -> None:
    with embedded.lease(checkout):
        with embedded.lease(checkout):
            assert embedded.status(checkout) == RUNNING
        assert embedded.status(checkout) == RUNNING
        assert embedded.stop(checkout) is False
        assert embedded.status(checkout) == RUNNING
    assert embedded.status(checkout) == STOPPED


def test_a_killed_user_does_not_count(checkout: Path) -> None:
    code = (
        "import sys, pathlib; from framing.config import embedded\n"
        "with embedded.lease(pathlib.Path(sys.argv[1])): print('held', flush=True); input()"
    )
    command = [sys.executable, "-c", code, str(checkout)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as user:
        assert user.stdout is not None
        assert user.stdout.readline() == "held\n"
        assert embedded.stop(checkout) is False
        user.kill()
    assert embedded.stop(checkout) is True


def test_starts_at_once_make_one_server(checkout: Path) -> None:
    code = (
        "import sys, pathlib; from framing.config import embedded; embedded.start(pathlib.Path(sys.argv[1]))"
    )
    starters = [subprocess.Popen([sys.executable, "-c", code, str(checkout)]) for _ in range(3)]
    assert [starter.wait() for starter in starters] == [0, 0, 0]
    assert embedded.status(checkout) == RUNNING


def test_each_checkout_has_places_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SPANYARD_SERVICES_DIR", raising=False)
    first, second = (embedded.places(tmp_path / name) for name in ("one", "two"))
    assert first.root != second.root
    assert first.sockets != second.sockets
    assert first.users != second.users


def test_socket_paths_stay_within_the_kernels_limit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SPANYARD_SERVICES_DIR", str(tmp_path / ("deep" * 40)))
    here = embedded.places(tmp_path)
    assert len(os.fsencode(here.sockets / ".s.PGSQL.5432")) <= embedded.SOCKET_PATH_LIMIT
    assert len(os.fsencode(here.valkey_socket)) <= embedded.SOCKET_PATH_LIMIT


def test_the_queue_reads_socket_addresses_in_its_own_spelling() -> None:
    assert embedded.broker_url("unix:///a/b.sock") == "redis+socket:///a/b.sock"
    assert embedded.broker_url("redis://host:1/0") == "redis://host:1/0"
