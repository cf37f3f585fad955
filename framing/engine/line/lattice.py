"""All sets of a few jobs on one line at once, in arrays: costs that no order of them goes below.

A set is a whole number, bit j for job j of the list. Times are the least that rolling and change-overs take, so that
lateness worked out from them is never too much.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from framing.engine.line.model import LineModel, Model

FAR: Final = 1 << 45
"""More than any cost of few jobs: what can't be."""
Numbers = NDArray[np.int64]
Layer = tuple[Numbers, Numbers, Numbers]


@lru_cache(maxsize=32)
def layers(count: int) -> tuple[Layer, ...]:
    """Sets of 1, 2, ... of that many things: the sets, the members of each, and each set without that member."""
    sets = np.arange(1 << count)
    held = sets[:, None] >> np.arange(count) & 1
    sizes = held.sum(axis=1)
    found = []
    for size in range(1, count + 1):
        of_size = sets[sizes == size]
        members = held[of_size].nonzero()[1].reshape(len(of_size), size)
        found.append((of_size, members, of_size[:, None] ^ (1 << members)))
    return tuple(found)


class Lattice:
    """Jobs of one line.

    Attributes:
        kinds: by job, the index of its profile among those used.
        price: of the change-over from one kind (row) to another; `entry` of the first one.
        late: by set and job, the least price of lateness of a job that is the last of a set; FAR where it can't be.
    """

    def __init__(self, model: Model, line: LineModel, jobs: Sequence[int]) -> None:
        profiles = [model.profile_of[job] for job in jobs]
        used = sorted(set(profiles))
        self.count, self.width = len(jobs), len(used)
        self.kinds = np.array([used.index(profile) for profile in profiles])
        minutes = np.array(model.setups)[:, used]
        rate = model.task.prices.setup_per_minute
        self.price, self.entry = rate * minutes[used], rate * minutes[line.loaded]
        self.late = self._late(line, jobs, _least_minutes(minutes[used], minutes[line.loaded]))

    def _late(self, line: LineModel, jobs: Sequence[int], changing: Numbers) -> Numbers:
        able = np.array([line.rows[job] is not None for job in jobs])
        rows = np.array([(line.rows[job] or (0,) * 8)[:6] for job in jobs]).T
        _, rolling, due, weight, first, after = rows
        ready = np.full(1 << self.count, line.ready)
        kinds = np.zeros(1 << self.count, dtype=np.int64)
        for job in range(self.count):
            low, high = slice(0, 1 << job), slice(1 << job, 2 << job)
            ready[high] = ready[low] + rolling[job]
            kinds[high] = kinds[low] | 1 << self.kinds[job]
        begins = np.maximum(ready[:, None] + changing[kinds[:, None], self.kinds] - rolling, first)
        late: Numbers = weight * np.maximum(0, begins + rolling - due)
        late[(begins >= after) | ~able] = FAR
        return late

    def to_come(self) -> Numbers:
        """By set and the kind loaded after it: the least cost of all jobs that are not in the set."""
        full = (1 << self.count) - 1
        least = np.zeros((1 << self.count, self.width), dtype=np.int64)
        for sets, missing, without in layers(self.count):
            grown = full ^ without
            kinds = self.kinds[missing]
            after = self.late[grown, missing] + least[grown, kinds]
            least[full ^ sets] = (after[:, :, None] + self.price.T[kinds]).min(axis=1)
        return least

    def so_far(self) -> Numbers:
        """By set: the least cost of its jobs."""
        least = np.zeros(1 << self.count, dtype=np.int64)
        entered = np.zeros((1 << self.count, self.width), dtype=np.int64)
        entered[0] = self.entry
        for sets, members, without in layers(self.count):
            kinds = self.kinds[members]
            ended = self.late[sets[:, None], members] + entered[without, kinds]
            least[sets] = ended.min(axis=1)
            entered[sets] = (ended[:, :, None] + self.price[kinds]).min(axis=1)
        return least


def _least_minutes(minutes: Numbers, entry: Numbers) -> Numbers:
    """By set of kinds and the last of them: the least minutes of change-overs that come by all of the set.

    A way round by other kinds may be shorter where a shop's timed pairs say so.
    """
    minutes, entry = minutes.copy(), entry.copy()
    for by in range(len(entry)):
        np.minimum(minutes, minutes[:, by, None] + minutes[by], out=minutes)
    entry = np.minimum(entry, (entry[:, None] + minutes).min(axis=0))
    least = np.full((1 << len(entry), len(entry)), FAR)
    for sets, last, without in layers(len(entry)):
        through = (least[without] + minutes.T[last]).min(axis=2) if last.shape[1] > 1 else entry[last]
        least[sets[:, None], last] = through
    return least
