"""Reading what a stranger made, in a process of its own that may take so much memory and time and no more.

`run_bounded` starts a fresh interpreter, `python -m framing.common.bounded`, which limits itself before it reads a
byte: 512 MB of address space, processor seconds, no core, no file over 0 bytes. The bytes come as its standard input,
the answer goes back by a pipe, of which at most `ANSWER_MOST` bytes are read. A job is a function of `(bytes, options)`
that returns small facts and a list of bytes, or raises JobRefused with words for a person; it loads no Django.
"""

from __future__ import annotations

import contextlib
import importlib
import json
import os
import resource
import select
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Literal

MEMORY_MOST: Final = 512 * 2**20
WALL_S: Final = 20.0
ANSWER_MOST: Final = 64 * 2**20
FILES_MOST: Final = 64
State = Literal["done", "refused", "slow", "big", "died"]

SLOW: Final = (
    f"Reading this file took over {WALL_S:g} seconds and was stopped. "
    "Save a smaller part of it, or fewer pages, and add that."
)
BIG: Final = (
    f"Reading this file took more than {MEMORY_MOST // 2**20} MB of memory and was stopped. "
    "Save a smaller part of it, or fewer pages, and add that."
)
DIED: Final = (
    "Reading this file broke off; it is damaged or made in a way that can't be read here. "
    "Save it anew from the program that made it, and add that."
)
_CHECKOUT: Final = Path(__file__).resolve().parents[2]
# One thread of the array library: each of them would claim address space of its own.
_ENVIRONMENT: Final = {
    "LANG": "C.UTF-8",
    "PATH": os.defpath,
    "PYTHONDONTWRITEBYTECODE": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "OMP_NUM_THREADS": "1",
}


class JobRefused(Exception):
    """A job's refusal; the words tell a person what is wrong with the file and what to do."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a job.

    Attributes:
        state: `done`; `refused` by the job; `slow`, `big`: stopped at a limit; `died`: it ended without a word.
        words: why there is nothing, for a person; empty when done.
        fault: what the job failed with, for the log; empty unless it died.
    """

    state: State
    words: str = ""
    facts: dict[str, Any] = field(default_factory=dict)
    blobs: tuple[bytes, ...] = ()
    fault: str = ""


def run_bounded(
    job: str, data: bytes, options: Mapping[str, Any] | None = None, *, wall_s: float = WALL_S
) -> Outcome:
    """Run a job, a dotted name, over the data in a bounded process of its own; never raises for what it reads."""
    command = [sys.executable, "-s", "-m", "framing.common.bounded", job, json.dumps(dict(options or {}))]
    answer, given = os.pipe()
    with tempfile.TemporaryFile() as source, os.fdopen(answer, "rb"):
        source.write(data)
        source.seek(0)
        try:
            child = subprocess.Popen(
                command,
                stdin=source,
                stdout=given,
                stderr=subprocess.DEVNULL,
                cwd=_CHECKOUT,
                env=_ENVIRONMENT,
                start_new_session=True,
            )
        finally:
            os.close(given)
        try:
            return read_answer(answer, time.monotonic() + wall_s)
        finally:
            _end(child)


def _end(child: subprocess.Popen[bytes]) -> None:
    """Kill the job's whole session, whatever it started, and reap it."""
    with contextlib.suppress(ProcessLookupError):
        os.killpg(child.pid, signal.SIGKILL)  # before it is reaped its number is nobody else's
    child.wait()


def read_answer(pipe: int, deadline: float) -> Outcome:
    """Read a child's answer until it closes the pipe, or until the deadline of the monotonic clock."""
    parts: list[bytes] = []
    size = 0
    while True:
        left = deadline - time.monotonic()
        if left <= 0 or not select.select([pipe], [], [], left)[0]:
            return Outcome("slow", SLOW)
        part = os.read(pipe, 2**20)
        if not part:
            return _outcome(b"".join(parts))
        parts.append(part)
        size += len(part)
        if size > ANSWER_MOST:
            return Outcome("big", BIG)


def _outcome(answer: bytes) -> Outcome:
    """An answer taken apart. The child read a stranger's file: what it says is not trusted to be well formed."""
    head, _, body = answer.partition(b"\n")
    try:
        told = json.loads(head)
        state = told["state"]
        if state == "done":
            return Outcome("done", facts=dict(told["facts"]), blobs=_cut(body, told["sizes"]))
        if state == "refused":
            return Outcome("refused", str(told["words"]))
        return Outcome("big", BIG) if state == "big" else Outcome("died", DIED, fault=str(told["fault"]))
    except (ValueError, KeyError, TypeError):
        return Outcome("died", DIED, fault="it ended without an answer")


def _cut(body: bytes, sizes: list[int]) -> tuple[bytes, ...]:
    if sum(sizes) != len(body) or any(size < 0 for size in sizes):
        raise ValueError("the sizes do not add up")
    blobs, at = [], 0
    for size in sizes:
        blobs.append(body[at : at + size])
        at += size
    return tuple(blobs)


# --- in the child ---


def limit_this_process(wall_s: float = WALL_S) -> None:
    """Bind the calling process for good; a clock of its own ends it even where nobody waits for it any more."""
    seconds = int(wall_s) + 1
    for what, most in (
        (resource.RLIMIT_AS, MEMORY_MOST),
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_NOFILE, FILES_MOST),
    ):
        resource.setrlimit(what, (most, most))
    signal.signal(signal.SIGALRM, signal.SIG_DFL)
    signal.alarm(seconds + 1)


def answer_of(job: str, data: bytes, options: Mapping[str, Any]) -> bytes:
    """A job's answer as bytes: one line of JSON, then the blobs one behind the other."""
    try:
        module, _, name = job.rpartition(".")
        facts, blobs = getattr(importlib.import_module(module), name)(data, dict(options))
        told = {"state": "done", "facts": facts, "sizes": [len(blob) for blob in blobs]}
        return b"\n".join([json.dumps(told, allow_nan=False).encode(), b"".join(blobs)])
    except JobRefused as error:
        told = {"state": "refused", "words": str(error)}
    except MemoryError:
        told = {"state": "big"}
    except Exception as error:  # whatever a stranger's file brings a library to
        told = {"state": "died", "fault": f"{type(error).__name__}: {error}"[:2000]}
    return json.dumps(told).encode()


def write_answer(pipe: int, answer: bytes) -> None:
    """Write all of it; a pipe takes a part at a time."""
    left = memoryview(answer)
    while left:
        left = left[os.write(pipe, left) :]


def main() -> None:
    """The child: limits, then the job's name and options from the command line and its data from standard input."""
    limit_this_process()
    pipe = os.dup(1)
    os.dup2(2, 1)  # what a library prints is no answer
    answer = answer_of(sys.argv[1], sys.stdin.buffer.read(), json.loads(sys.argv[2]))
    write_answer(pipe, answer)
    os._exit(0)  # libraries that clean up after a broken file may hang


if __name__ == "__main__":
    # By its own name, so that a job's JobRefused is the one that is caught here.
    importlib.import_module("framing.common.bounded").main()
