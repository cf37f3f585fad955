"""Work side by side: every job is done once, in whatever process, and a child leaves nothing behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from framing.common import side_by_side
from framing.common.side_by_side import run_all

ROOT = Path(__file__).resolve().parents[2]


def noting(folder: Path, number: int) -> Callable[[], None]:
    """A job that leaves a file with its process; to do one twice fails."""

    def note() -> None:
        with (folder / str(number)).open("x") as file:
            file.write(str(os.getpid()))

    return note


def done(folder: Path) -> dict[int, int]:
    return {int(path.name): int(path.read_text()) for path in folder.iterdir()}


@pytest.mark.parametrize("cores", [1, 2, 4, 64])
def test_every_job_is_done_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, cores: int) -> None:
    monkeypatch.setattr(side_by_side, "cores", lambda: cores)
    run_all([noting(tmp_path, number) for number in range(300)])
    assert sorted(done(tmp_path)) == list(range(300))
    with pytest.raises(ChildProcessError):
        os.waitpid(-1, os.WNOHANG)  # no child is left, not even a dead one


MEETING = """
import multiprocessing, os, sys
from pathlib import Path
from framing.common import side_by_side

side_by_side.cores = lambda: 2
folder = Path(sys.argv[1])

def job(number):
    def run():
        (folder / str(number)).write_text(str(os.getpid()))
        while len(list(folder.iterdir())) < 2:
            os.sched_yield()
    return run

def work():
    side_by_side.run_all([job(0), job(1)])

if sys.argv[2] == "daemon":
    worker = multiprocessing.get_context("fork").Process(target=work, daemon=True)
    worker.start()
    worker.join()
    sys.exit(worker.exitcode)
work()
"""


@pytest.mark.parametrize("kind", ["plain", "daemon"])
def test_jobs_go_to_several_processes_also_from_a_daemon(tmp_path: Path, kind: str) -> None:
    """Each job ends when the other one has begun. A worker of the queue is a daemon, which may have no children
    by `multiprocessing`."""
    command = [sys.executable, "-c", MEETING, str(tmp_path), kind]
    ended = subprocess.run(command, cwd=ROOT, timeout=60, check=False, capture_output=True)
    assert ended.returncode == 0, ended.stderr
    assert len(set(done(tmp_path).values())) == 2


def test_no_jobs_are_no_work() -> None:
    run_all([])


def test_a_failure_here_is_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(side_by_side, "cores", lambda: 1)

    def fail() -> None:
        raise ValueError("told")

    with pytest.raises(ValueError, match="told"):
        run_all([fail, fail])


def test_a_failing_child_ends_by_itself_and_leaves_its_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The parent goes on with what is left; the child's job is simply not done."""
    monkeypatch.setattr(side_by_side, "cores", lambda: 2)
    here = os.getpid()

    def job(number: int) -> Callable[[], None]:
        def run() -> None:
            if os.getpid() != here:
                raise ValueError("in the child")
            noting(tmp_path, number)()
            for _ in range(200_000):
                pass

        return run

    run_all([job(number) for number in range(50)])
    assert len(done(tmp_path)) >= 49
    assert set(done(tmp_path).values()) == {here}


def test_a_child_killed_in_the_midst_leaves_its_work_and_the_rest_is_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As by a machine short of memory: no word, no end of its own. The parent's other jobs are done all the same."""
    monkeypatch.setattr(side_by_side, "cores", lambda: 2)
    here = os.getpid()

    def job(number: int) -> Callable[[], None]:
        def run() -> None:
            if os.getpid() != here:
                os.kill(os.getpid(), signal.SIGKILL)
            noting(tmp_path, number)()
            time.sleep(0.002)

        return run

    run_all([job(number) for number in range(60)])
    assert len(done(tmp_path)) >= 59
    with pytest.raises(ChildProcessError):
        os.waitpid(-1, os.WNOHANG)


ORPHAN = """
import os, sys, time
from pathlib import Path
from framing.common import side_by_side

side_by_side.cores = lambda: 2
folder, here = Path(sys.argv[1]), os.getpid()

def job():
    if os.getpid() == here:
        while not (folder / "child").exists():
            time.sleep(0.01)
        os.kill(here, 9)
    half = folder / "half"
    half.write_text(str(os.getpid()))
    half.rename(folder / "child")
    time.sleep(60)

side_by_side.run_all([job, job])
"""


def test_a_child_ends_with_a_killed_parent(tmp_path: Path) -> None:
    """It holds what it inherited, such as the connection to the database, no longer than its parent lives."""
    ended = subprocess.run(
        [sys.executable, "-c", ORPHAN, str(tmp_path)], cwd=ROOT, timeout=60, check=False, capture_output=True
    )
    assert ended.returncode == -signal.SIGKILL
    child = int((tmp_path / "child").read_text())
    for _ in range(200):
        if is_gone(child):
            return
        time.sleep(0.05)
    pytest.fail("the child lives on")


def is_gone(pid: int) -> bool:
    """Whether a process has ended, reaped or not."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except FileNotFoundError:
        return True


def test_beside_other_threads_all_is_done_in_turn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fork would copy one thread of several and the locks of all."""
    monkeypatch.setattr(side_by_side, "cores", lambda: 2)
    monkeypatch.setattr(os, "fork", lambda: pytest.fail("forked beside a thread"))
    stop = threading.Event()
    thread = threading.Thread(target=stop.wait)
    thread.start()
    try:
        run_all([noting(tmp_path, number) for number in range(5)])
    finally:
        stop.set()
        thread.join()
    assert set(done(tmp_path).values()) == {os.getpid()}


def test_the_cores_are_those_of_this_process() -> None:
    assert side_by_side.cores() == len(os.sched_getaffinity(0))
