"""Where tie-downs go across the deck: a row serves every stack that it crosses."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

Span = tuple[int, int, int]
"""From and to on the deck, and the rows that must cross it."""


def rows_for(spans: Sequence[Span], least: int) -> tuple[int, ...]:
    """Places of rows from the headboard, so that each span has its count; `least` rows in all where anything is loaded.

    Spans that end first are served first; a new row goes to the middle of what lies farthest from other rows, so that
    rows spread. The fewest rows are not promised.
    """
    rows: list[int] = []
    for low, high, count in sorted(spans, key=lambda span: (span[1], -span[0], span[2])):
        inside = [row for row in rows if low < row < high]
        if not inside:
            rows += [low + (2 * n + 1) * (high - low) // (2 * count) for n in range(count)]
            continue
        for _ in range(count - len(inside)):
            _add(rows, low, high)
    if spans:
        low, high = min(span[0] for span in spans), max(span[1] for span in spans)
        for _ in range(least - len(rows)):
            _add(rows, low, high)
    return tuple(sorted(rows))


def _add(rows: list[int], low: int, high: int) -> None:
    """A row in the middle of the widest gap between rows and ends."""
    inside = sorted(row for row in rows if low < row < high)
    gaps = [(b - a, (a + b) // 2) for a, b in pairwise([low, *inside, high])]
    widest = max(gaps, key=lambda gap: (gap[0], -gap[1]))
    rows.append(widest[1])
