"""Many broken files through a reader: each in a process of its own under the limits of the real one.

A fresh interpreter for each of thousands of files would cost minutes. Here one small process loads the readers once
and forks for each file; the fork limits itself as a bounded process does, and what it used is measured from outside.
"""

from __future__ import annotations

import importlib
import os
import pickle
import signal
import struct
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

from framing.common import bounded
from framing.common.bounded import MEMORY_MOST, WALL_S, Outcome, read_answer

CHECKOUT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Ran:
    """What became of one file, the seconds that it took by the clock and of a processor, the most memory it held."""

    outcome: Outcome
    seconds: float
    processor_s: float
    peak_kb: int


class Runner:
    """The process that forks; `run` sends it one file."""

    def __init__(self, jobs: Sequence[str]) -> None:
        self.child = subprocess.Popen(
            [sys.executable, "-m", "tests.projects.reading_runner", *jobs],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            cwd=CHECKOUT,
            env=bounded._ENVIRONMENT,
        )

    def run(self, job: str, data: bytes, options: dict[str, Any] | None = None) -> Ran:
        assert self.child.stdin is not None
        assert self.child.stdout is not None
        asked = pickle.dumps((job, data, options or {}))
        self.child.stdin.write(struct.pack("<Q", len(asked)) + asked)
        self.child.stdin.flush()
        (size,) = struct.unpack("<Q", self.child.stdout.read(8))
        ran: Ran = pickle.loads(self.child.stdout.read(size))  # noqa: S301  # of our own process
        return ran

    def close(self) -> None:
        with self.child:  # its pipes are closed, and it ends as its input ends
            pass


@contextmanager
def reading_runner(*jobs: str) -> Iterator[Runner]:
    """A runner whose readers are loaded."""
    runner = Runner(jobs)
    try:
        yield runner
    finally:
        runner.close()


def mutated(seed: bytes, rng: Random, others: Sequence[bytes] = ()) -> bytes:
    """A seed with some bytes flipped, cut out, repeated, set to a limit, or with a part of another file inside."""
    data = bytearray(seed)
    for _ in range(rng.choice((1, 1, 2, 4, 16))):
        at = rng.randrange(len(data) + 1)
        size = min(rng.choice((1, 2, 4, 16, 200, 4000)), max(1, len(data) // 2))
        part = data[at : at + size]
        match rng.randrange(6):
            case 0:
                for n in range(at, min(at + size, len(data))):
                    data[n] ^= 1 << rng.randrange(8)
            case 1:
                del data[at : at + size]
            case 2:
                data[at:at] = part * rng.choice((1, 3, 50))
            case 3:
                data[at : at + size] = rng.choice((b"\x00", b"\xff", b"9", b"-")) * len(part)
            case 4:
                data = data[: max(at, 1)]
            case _:
                other = rng.choice(list(others) or [seed])
                begin = rng.randrange(len(other))
                data[at : at + size] = other[begin : begin + size]
        data = data or bytearray(b"\x00")
    return bytes(data)


@dataclass
class Tally:
    """What became of many files; `check` holds each to the limits at once, so that the first break is shown."""

    states: Counter[str] = field(default_factory=Counter)
    slowest_s: float = 0.0
    peak_kb: int = 0

    def check(self, ran: Ran, name: str) -> None:
        outcome = ran.outcome
        assert ran.seconds <= WALL_S + 2, f"{name} took {ran.seconds:.1f} s"
        assert ran.peak_kb <= MEMORY_MOST // 1024, f"{name} held {ran.peak_kb} kB"
        assert (outcome.state == "done") == (outcome.words == ""), name
        if outcome.state != "done":
            assert outcome.words.endswith((".", "that.")), f"{name}: {outcome.words}"
            assert len(outcome.words) > 25, f"{name}: {outcome.words}"
            assert not outcome.facts, name
            assert not outcome.blobs, name
        self.states[outcome.state] += 1
        self.slowest_s = max(self.slowest_s, ran.seconds)
        self.peak_kb = max(self.peak_kb, ran.peak_kb)

    def __str__(self) -> str:
        return (
            f"{dict(self.states)}, slowest {self.slowest_s:.2f} s, most memory {self.peak_kb / 1024:.0f} MB"
        )


def run_mutations(
    runner: Runner,
    job: str,
    seeds: Sequence[bytes],
    count: int,
    check: Callable[[Ran, bytes], None] | None = None,
    mend: Callable[[bytes], bytes] | None = None,
) -> Tally:
    """Send `count` mutations of the seeds through a job; which ones follows from the job's name alone.

    `check` gets each file's end as well; `mend` makes every other file's check sums right, so that readers look
    further into it. A file that breaks a limit is named by its number.
    """
    rng, tally = Random(job), Tally()  # noqa: S311
    for number in range(count):
        data = mutated(seeds[number % len(seeds)], rng, seeds)
        if mend is not None and number % 2:
            data = mend(data)
        ran = runner.run(job, data)
        tally.check(ran, f"{job} {number}")
        if check is not None:
            check(ran, data)
    return tally


# --- in the process that forks ---


def _serve() -> None:
    for job in sys.argv[1:]:
        importlib.import_module(job.rpartition(".")[0])
    source, target = sys.stdin.buffer, os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    while head := source.read(8):
        job, data, options = pickle.loads(source.read(struct.unpack("<Q", head)[0]))  # noqa: S301  # of our own tests
        ran = pickle.dumps(_fork(job, data, options))
        target.write(struct.pack("<Q", len(ran)) + ran)
        target.flush()


def _fork(job: str, data: bytes, options: dict[str, Any]) -> Ran:
    answer, given = os.pipe()
    began = time.monotonic()
    child = os.fork()
    if child == 0:
        os.close(answer)
        os.setsid()
        bounded.limit_this_process()
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        bounded.write_answer(given, bounded.answer_of(job, data, options))
        os._exit(0)
    os.close(given)
    outcome = read_answer(answer, began + WALL_S)
    os.close(answer)
    with suppress(ProcessLookupError):
        os.killpg(child, signal.SIGKILL)
    _, _, used = os.wait4(child, 0)
    return Ran(outcome, time.monotonic() - began, used.ru_utime + used.ru_stime, used.ru_maxrss)


if __name__ == "__main__":
    # by its own name, so that what is pickled here is what the tests know
    importlib.import_module("tests.projects.reading_runner")._serve()
