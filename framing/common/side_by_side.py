"""Work side by side on the cores that there are, from inside a worker.

A worker of the queue is itself a child that may not use `multiprocessing`, and the PDF library holds the
interpreter's lock. So a process forks for the length of one call: the children share what is loaded, take the
next piece of work from a pipe, leave their results in files, and end without touching the database connection
that they inherit. Where forking is not safe (threads, other systems) all is done in turn.
"""

from __future__ import annotations

import ctypes
import gc
import logging
import os
import signal
import sys
import threading
from collections.abc import Callable, Sequence
from typing import Final

Job = Callable[[], object]
MOST_PROCESSES: Final = 4
_WORD: Final = 2  # bytes of a job's number in the pipe
_SET_DEATH_SIGNAL: Final = 1  # PR_SET_PDEATHSIG
_JOBS_MOST: Final = 2000  # their numbers fit the pipe's buffer at once

logger = logging.getLogger(__name__)


def run_all(jobs: Sequence[Job]) -> None:
    """Do all jobs, first ones first. A job that fails in this process raises; in a child it is logged and left."""
    processes = min(cores(), MOST_PROCESSES, len(jobs))
    if processes < 2 or len(jobs) > _JOBS_MOST or not _may_fork():
        for job in jobs:
            job()
        return
    queue, feed = os.pipe()
    try:
        os.write(feed, b"".join(number.to_bytes(_WORD, "big") for number in range(len(jobs))))
        os.close(feed)
        children = [_fork(queue, jobs) for _ in range(processes - 1)]
        try:
            _work(queue, jobs)
        finally:
            for child in children:
                _wait(child)
    finally:
        os.close(queue)


def cores() -> int:
    """Cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _may_fork() -> bool:
    return sys.platform == "linux" and threading.active_count() == 1


def _work(queue: int, jobs: Sequence[Job]) -> None:
    while word := os.read(queue, _WORD):
        jobs[int.from_bytes(word, "big")]()


def _fork(queue: int, jobs: Sequence[Job]) -> int:
    parent = os.getpid()
    child = os.fork()
    if child:
        return child
    code = 1
    try:
        _end_with(parent)
        gc.disable()  # it ends before its garbage matters
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, signal.SIG_DFL)
        _work(queue, jobs)
        code = 0
    except BaseException:
        logger.exception("a section failed beside; it is tried again in turn")
    finally:
        os._exit(code)


def _end_with(parent: int) -> None:
    """Let the system end this child when its parent dies: else it keeps the parent's connection to the database, and
    with it the lock on the work, until all is rendered. One whose parent is gone already ends at once."""
    prctl = getattr(ctypes.CDLL(None), "prctl", None)
    if prctl is not None:
        prctl(_SET_DEATH_SIGNAL, signal.SIGKILL, 0, 0, 0)
    if os.getppid() != parent:
        raise SystemExit(1)


def _wait(child: int) -> None:
    try:
        os.waitpid(child, 0)
    except ChildProcessError:  # somebody else reaped it
        return
