"""Collects what the benches measure and prints it as one table at the end of the run."""

from __future__ import annotations

from collections.abc import Callable
from statistics import median
from time import perf_counter, process_time

import pytest

ROUNDS = 7
_ROWS = pytest.StashKey[list[tuple[str, str, str, str]]]()
_HEADING = ("what", "median ms", "times", "of")
Measure = Callable[..., float]


def pytest_configure(config: pytest.Config) -> None:
    config.stash[_ROWS] = []


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    rows = config.stash[_ROWS]
    if not rows:
        return
    table = [_HEADING, *rows]
    widths = [max(len(row[column]) for row in table) for column in range(len(_HEADING))]
    terminalreporter.section(f"medians of {ROUNDS}, ratios measured in one process")
    for what, ms, times, of in table:
        line = f"{what:<{widths[0]}}  {ms:>{widths[1]}}  {times:>{widths[2]}}  {of}"
        terminalreporter.write_line(line.rstrip())


@pytest.fixture
def measure(request: pytest.FixtureRequest) -> Measure:
    """Measure a call against a yardstick, turn and turn about; both medians go into the table.

    `before` runs before each round and is not counted. Returns the ratio.
    """
    rows = request.config.stash[_ROWS]

    def against(
        what: str,
        run: Callable[[], object],
        yardstick: str,
        plain: Callable[[], object],
        *,
        before: Callable[[], object] = lambda: None,
    ) -> float:
        taken: tuple[list[float], list[float]] = [], []
        for _ in range(ROUNDS):
            for times, call in zip(taken, (run, plain), strict=True):
                before()
                start = perf_counter()
                call()
                times.append(perf_counter() - start)
        mine, theirs = (median(times) for times in taken)
        times_of = f"{mine / theirs:.2f}" if mine > theirs / 100 else f"1/{theirs / mine:,.0f}"
        rows.append((what, f"{mine * 1000:.2f}", times_of, f"{yardstick} ({theirs * 1000:.2f} ms)"))
        return mine / theirs

    return against


@pytest.fixture
def clock(request: pytest.FixtureRequest) -> Measure:
    """Measure a call by itself; its median goes into the table.

    Returns milliseconds that the processor worked: on a core of its own no more go by on the clock.
    """
    rows = request.config.stash[_ROWS]

    def timed(
        what: str,
        run: Callable[[], object],
        *,
        before: Callable[[], object] = lambda: None,
        rounds: int = ROUNDS,
    ) -> float:
        times, worked = [], []
        for _ in range(rounds):
            before()
            start, begun = perf_counter(), process_time()
            run()
            worked.append(process_time() - begun)
            times.append(perf_counter() - start)
        ms = median(worked) * 1000
        rows.append((what, f"{median(times) * 1000:.2f}", "", f"processor {ms:.2f} ms"))
        return ms

    return timed
