"""A job in a process of its own: what it answers, and every way in which it is stopped (B17)."""

from __future__ import annotations

import json
import os
import resource
import time
from pathlib import Path

import pytest

from framing.common import bounded
from framing.common.bounded import BIG, DIED, MEMORY_MOST, SLOW, Outcome, run_bounded

JOBS = "tests.common.bounded_jobs"


def run(name: str, data: bytes = b"", wall_s: float = 20, **options: object) -> Outcome:
    return run_bounded(f"{JOBS}.{name}", data, options, wall_s=wall_s)


def test_a_job_gets_its_bytes_and_answers_with_facts_and_bytes() -> None:
    data = bytes(range(256)) * 4000
    outcome = run("measure", data, page=2)
    assert (outcome.state, outcome.words, outcome.fault) == ("done", "", "")
    assert outcome.facts["bytes"] == len(data)
    assert outcome.facts["options"] == {"page": 2}
    assert outcome.facts["pid"] != os.getpid()
    assert outcome.blobs == (data[:3], b"", data[3:])


def test_a_refusal_keeps_its_words() -> None:
    assert run("refuse") == Outcome("refused", "The picture is blank. Add another.")


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("fail", "KeyError: 'no such part'"),
        ("recurse", "RecursionError"),
        ("crash", "without an answer"),
        ("die", "without an answer"),
        ("unknown", "AttributeError"),
        ("open_many", "Too many open files"),
    ],
)
def test_a_job_that_breaks_off_is_told_in_words_and_its_fault_is_kept(name: str, fault: str) -> None:
    outcome = run(name)
    assert (outcome.state, outcome.words) == ("died", DIED)
    assert fault in outcome.fault


@pytest.mark.parametrize("name", ["sleep", "spin"])
def test_a_job_that_takes_too_long_is_stopped(name: str) -> None:
    began = time.monotonic()
    assert run(name, wall_s=1.5) == Outcome("slow", SLOW)
    assert time.monotonic() - began < 4


def test_a_job_that_takes_too_much_memory_is_stopped_at_512_mb() -> None:
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    assert run("swallow") == Outcome("big", BIG)
    peak_kb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    assert peak_kb > 300 * 1024, "it had its memory"
    assert peak_kb <= max(before, MEMORY_MOST // 1024)


def test_an_answer_over_its_limit_is_not_read_to_the_end() -> None:
    assert run("flood") == Outcome("big", BIG)


def test_a_job_writes_no_file(tmp_path: Path) -> None:
    target = tmp_path / "left"
    outcome = run("write", b"x" * 100, path=str(target))
    assert "File too large" in outcome.fault
    assert not target.exists() or target.read_bytes() == b""


def test_what_a_job_started_is_ended_with_it() -> None:
    assert run("start_another", wall_s=1.5).state == "slow"
    # A kill takes effect when the system gets to it; nobody here can reap a job's own child. Left alone it runs 60 s.
    deadline = time.monotonic() + 20
    while (left := _jobs_left()) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert left == []


def _jobs_left() -> list[Path]:
    return [entry for entry in Path("/proc").iterdir() if entry.name.isdigit() and _runs_job(entry)]


def _runs_job(entry: Path) -> bool:
    try:
        words = (entry / "cmdline").read_bytes()
        return b"bounded_jobs.start_another" in words and b") Z " not in (entry / "stat").read_bytes()
    except OSError:
        return False


def test_a_job_knows_nothing_of_the_servers_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SECRET_KEY", "not for readers")
    facts = run("surroundings").facts
    assert facts["django"] is False
    assert set(facts["environment"]) <= {*bounded._ENVIRONMENT, "LC_CTYPE"}


@pytest.mark.parametrize(
    "answer",
    [
        b"",
        b"\n",
        b"not json\n",
        b"[]\n",
        b'{"state": "done", "facts": {}, "sizes": [5]}\nabc',
        b'{"state": "done", "facts": {}, "sizes": [-1, 4]}\nabc',
        b'{"state": "done", "facts": 3, "sizes": []}\n',
        b'{"state": "refused"}\n',
        b"\xff\xfe\n",
    ],
)
def test_an_answer_that_is_none_is_a_job_that_died(answer: bytes) -> None:
    assert run("lie", answer).state == "died"


def test_the_answers_of_both_sides_fit() -> None:
    answer = bounded.answer_of(f"{JOBS}.measure", b"abcdef", {})
    head, _, body = answer.partition(b"\n")
    assert json.loads(head)["sizes"] == [3, 0, 3]
    assert body == b"abcdef"
