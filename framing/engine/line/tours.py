"""The least change-over time in which some lines roll all profiles, each at least once: a bound, and often a plan.

Nothing is asked about time here, nor which line can roll what; so no plan changes over for less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

PROFILES_MOST: Final = 10
"""So many profiles at most are gone through, in 3^10 steps a line."""
_NEVER: Final = 1 << 60

Table = list[list[int]]


@dataclass(frozen=True, slots=True)
class Tour:
    """Least minutes of change-over, and the profiles of each line in their order."""

    minutes: int
    of_lines: tuple[tuple[int, ...], ...]


def least_tour(setups: Table, used: Sequence[int], loaded: Sequence[int]) -> Tour | None:
    """The tour of the profiles in `used` by lines that are set up for `loaded`; None for too many profiles.

    Args:
        setups: minutes by profile before and after; the last row is that of a line with nothing loaded.
        loaded: an index of `setups` for each line.
    """
    if len(used) > PROFILES_MOST:
        return None
    short = _shortest(setups)
    between = [[short[a][b] for b in used] for a in used]
    paths = [_paths([short[row][b] for b in used], between) for row in loaded]
    whole = (1 << len(used)) - 1
    least, taken = [0, *[_NEVER] * whole], list[list[int]]()
    for costs, _ in paths:
        least, part = _shared(least, costs)
        taken.append(part)
    of_lines, left = list[tuple[int, ...]](), whole
    for (costs, lasts), part in zip(reversed(paths), reversed(taken), strict=True):
        of_lines.append(tuple(used[i] for i in _back(part[left], lasts, between, costs)))
        left ^= part[left]
    return Tour(least[whole], tuple(reversed(of_lines)))


def _shortest(setups: Table) -> Table:
    """Change-overs, by way of other profiles where that is shorter; what is loaded stays loaded for nothing."""
    short = [row[:] for row in setups]
    profiles = range(len(setups) - 1)
    for via in profiles:
        for row in short:
            for after in profiles:
                row[after] = min(row[after], row[via] + short[via][after])
    return short


Lasts = list[list[int]]
"""By set of profiles and the last one of them, the least minutes."""


def _paths(first: list[int], between: Table) -> tuple[list[int], Lasts]:
    """Least minutes in which one line rolls each set of profiles, and the same by the last of them."""
    count = len(first)
    lasts = [[_NEVER] * count for _ in range(1 << count)]
    for i, minutes in enumerate(first):
        lasts[1 << i][i] = minutes
    for some, row in enumerate(lasts):
        for last in range(count):
            if row[last] < _NEVER:
                for after in range(count):
                    if not some >> after & 1:
                        goal = lasts[some | 1 << after]
                        goal[after] = min(goal[after], row[last] + between[last][after])
    return [0, *map(min, lasts[1:])], lasts


def _shared(least: list[int], costs: list[int]) -> tuple[list[int], list[int]]:
    """With one line more: least minutes by set, and which of the set the new line takes."""
    best, part = least[:], [0] * len(least)
    for some in range(len(least)):
        mine = some
        while mine:
            minutes = least[some ^ mine] + costs[mine]
            if minutes < best[some]:
                best[some], part[some] = minutes, mine
            mine = (mine - 1) & some
    return best, part


def _back(some: int, lasts: Lasts, between: Table, costs: list[int]) -> list[int]:
    """The profiles of a set in the order of a path that costs least."""
    path, minutes = list[int](), costs[some]
    while some:
        last = lasts[some].index(minutes)
        path.append(last)
        some ^= 1 << last
        if some:
            minutes = next(
                left for before, left in enumerate(lasts[some]) if left + between[before][last] == minutes
            )
    return path[::-1]
