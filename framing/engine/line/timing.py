"""A line's jobs in their order, timed and priced; what a change costs is told without timing all anew."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import Final, cast

from framing.engine.line.facts import Prices
from framing.engine.line.model import LineModel, Row

BLOCKED: Final = 1 << 61
"""Cost of an order of jobs that breaks a pin: more than any that keeps them."""

Stand = tuple[int, int, int]
"""After some jobs: the working minute, the profile that is loaded, and what they cost."""


class Order:
    """The jobs of a line in running order, with what stands at each place.

    `cost[i]`, `fixed[i]` and `late[i]` are what the first i jobs cost in all, in change-overs and in lateness.
    By place: the minute of the end, minutes of change-over, `over` (minutes after the due minute, less than 0
    before it; and the weight), and `was` (start and the day that it was planned for). `tardy` are those over that
    are late, `tardies[i]` how many of them come before place i, `worst[i]` is the most over from there on. From
    `loose` on no job has a day to keep.
    """

    __slots__ = (
        "changes", "cost", "ends", "fixed", "late", "loose", "model", "over", "price", "rows", "seq", "setups",
        "tardies", "tardy", "was", "worst",
    )  # fmt: skip

    def __init__(
        self, model: LineModel, setups: list[list[int]], prices: Prices, seq: Sequence[int] = ()
    ) -> None:
        self.model, self.setups, self.price = model, setups, prices
        # a job that the line can't take never comes into its order
        self.rows = cast("tuple[Row, ...]", model.rows)
        self.seq: list[int] = []
        self.ends: list[int] = []
        self.changes: list[int] = []
        self.over: list[tuple[int, int]] = []
        self.tardy: list[tuple[int, int]] = []
        self.tardies: list[int] = []
        self.was: list[tuple[int, int, int]] = []
        self.cost, self.fixed, self.late = [0], [0], [0]
        self.worst: list[int] = []
        self.loose = 0
        self.put(list(seq), 0)

    @property
    def total(self) -> int:
        return self.cost[-1]

    def before(self, place: int) -> Stand:
        """The stand when the job at a place is about to be set up; its cost is that of all before it."""
        if not place:
            return self.model.ready, self.model.loaded, 0
        return self.ends[place - 1], self.rows[self.seq[place - 1]][0], self.cost[place]

    def walk(self, jobs: Sequence[int], stand: Stand) -> Stand:
        """The stand after some more jobs."""
        at, loaded, cost = stand
        rows, setups, rate, moved = self.rows, self.setups, self.price.setup_per_minute, self.price.moved
        for job in jobs:
            profile, minutes, due, weight, first, after, was_first, was_after = rows[job]
            change = setups[loaded][profile]
            at += change
            cost += rate * change
            if at < first:
                at = first
            if at >= after:
                return at, loaded, BLOCKED
            if not was_first <= at < was_after:
                cost += moved
            at += minutes
            if at > due:
                cost += weight * (at - due)
            loaded = profile
        return at, loaded, cost

    def with_rest(self, place: int, stand: Stand) -> int:
        """Cost of the whole line if the jobs from a place on follow upon a stand."""
        if place < self.loose:
            stand = self.walk(self.seq[place : self.loose], stand)
            place = self.loose
        if place == len(self.seq):
            return stand[2]
        cost, shift = self._change(place, stand)
        if not shift:
            return cost + self.cost[-1] - self.cost[place] - self.fixed[-1] + self.fixed[place]
        if self.worst[place] + shift > 0:
            # what is on time stays so if it ends earlier
            late = self.tardy[self.tardies[place] :] if shift < 0 else self.over[place:]
            cost += sum([weight * (over + shift) for over, weight in late if over + shift > 0])
        if self.model.planned:
            cost += self.price.moved * sum([not a <= s + shift < b for s, a, b in self.was[place:]])
        return cost

    def least_with_rest(self, place: int, stand: Stand) -> int:
        """The same or less, told at once: what starts later is no less late."""
        if place == len(self.seq):
            return stand[2]
        cost, shift = self._change(place, stand)
        return cost + self.late[-1] - self.late[place] if shift >= 0 else cost

    def _change(self, place: int, stand: Stand) -> tuple[int, int]:
        """Cost up to the end without lateness and moves behind the stand; by how much the job there ends later."""
        at, loaded, cost = stand
        profile, minutes = self.rows[self.seq[place]][:2]
        change = self.setups[loaded][profile]
        cost += (
            self.fixed[-1] - self.fixed[place] + self.price.setup_per_minute * (change - self.changes[place])
        )
        return cost, at + change + minutes - self.ends[place]

    def put(self, seq: list[int], place: int) -> None:
        """Take a new order that is the old one up to a place."""
        self.seq = seq
        for row in (self.ends, self.changes, self.over, self.was):
            del row[place:]
        del self.cost[place + 1 :], self.fixed[place + 1 :], self.late[place + 1 :]
        stand = self.before(place)
        for job in seq[place:]:
            stand = self._add(job, stand)
        self.tardy = [pair for pair in self.over if pair[0] > 0]
        self.tardies = list(accumulate([over > 0 for over, _ in self.over], initial=0))
        self.worst = list(accumulate([over for over, _ in reversed(self.over)], max))[::-1]
        pinned = self.model.pinned
        self.loose = max((i + 1 for i, job in enumerate(seq) if job in pinned), default=0) if pinned else 0

    def _add(self, job: int, stand: Stand) -> Stand:
        profile, minutes, due, weight, _, _, was_first, was_after = self.rows[job]
        change = self.setups[stand[1]][profile]
        stand = self.walk((job,), stand)
        over = stand[0] - due
        self.ends.append(stand[0])
        self.changes.append(change)
        self.over.append((over, weight))
        self.was.append((stand[0] - minutes, was_first, was_after))
        self.cost.append(stand[2])
        self.fixed.append(self.fixed[-1] + self.price.setup_per_minute * change)
        self.late.append(self.late[-1] + (weight * over if over > 0 else 0))
        return stand
