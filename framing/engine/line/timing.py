"""A line's jobs in their order, timed and priced; what a change costs is told without timing all anew."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import Final, NamedTuple, cast

from framing.engine.line.facts import Prices
from framing.engine.line.model import LineModel, Row

BLOCKED: Final = 1 << 61
"""Cost of an order of jobs that breaks a pin: more than any that keeps them."""

Stand = tuple[int, int, int]
"""After some jobs: the working minute, the profile that is loaded, and what they cost."""


class _Tail(NamedTuple):
    """What stood at the last places of an order; of the sums also what they came to before them."""

    ends: list[int]
    changes: list[int]
    over: list[tuple[int, int]]
    was: list[tuple[int, int, int]]
    cost: list[int]
    fixed: list[int]
    late: list[int]
    worst: list[int]


def _raised(sums: list[int], to: int) -> list[int]:
    """Sums from another beginning on; the first of them is the old beginning."""
    more = to - sums[0]
    return [one + more for one in sums[1:]] if more else sums[1:]


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

    def put(self, seq: list[int], place: int, same: int = 0) -> None:
        """Take a new order that is the old one up to a place and, from somewhere behind it, again to its end.

        The `same` last jobs are timed one by one only as far as one of them may wait for a day, and one more, whose
        change-over may be another: those behind it all end earlier or later by the same.
        """
        same -= min(same, max(1, self.loose - len(self.seq) + same))
        if self.cost[-1] >= BLOCKED:
            same = 0
        rest = len(self.seq) - same
        end, tail = self.ends[rest - 1] if rest else 0, self._cut(place, rest)
        self.seq = seq
        stand = self.before(place)
        stand = self._add(seq[place : len(seq) - same], stand)
        if same and stand[2] < BLOCKED:
            self._follow(tail, stand[0] - end)
        else:
            self._add(seq[len(seq) - same :], stand)
            same = 0
        self._weigh(same, tail, stand[0] - end)
        pinned = self.model.pinned
        self.loose = max((i + 1 for i, job in enumerate(seq) if job in pinned), default=0) if pinned else 0

    def _cut(self, place: int, rest: int) -> _Tail:
        """Take off what stands from a place on; what stood from `rest` on is kept."""
        sums = (self.cost, self.fixed, self.late)
        tail = _Tail(
            self.ends[rest:], self.changes[rest:], self.over[rest:], self.was[rest:], self.cost[rest:],
            self.fixed[rest:], self.late[rest:], self.worst[rest:],
        )  # fmt: skip
        for row in (self.ends, self.changes, self.over, self.was):
            del row[place:]
        for row in sums:
            del row[place + 1 :]
        return tail

    def _follow(self, tail: _Tail, later: int) -> None:
        """Let jobs follow as they stood before, all later by some minutes."""
        self.changes += tail.changes
        self.fixed += _raised(tail.fixed, self.fixed[-1])
        if not later:
            self.ends += tail.ends
            self.over += tail.over
            self.was += tail.was
            self.late += _raised(tail.late, self.late[-1])
            self.cost += _raised(tail.cost, self.cost[-1])
            return
        self.ends += [end + later for end in tail.ends]
        over = [(over + later, weight) for over, weight in tail.over]
        was = [(start + later, a, b) for start, a, b in tail.was]
        self.over += over
        self.was += was
        if tail.worst[0] + later > 0:
            more = list(accumulate([weight * over if over > 0 else 0 for over, weight in over]))
        else:
            more = [0] * len(over)
        late, cost = self.late[-1], self.cost[-1] - tail.fixed[0]
        self.late += [late + one for one in more]
        if self.model.planned:
            moved = accumulate([0 if a <= start < b else self.price.moved for start, a, b in was])
            more = [one + two for one, two in zip(more, moved, strict=True)]
        self.cost += [cost + one + two for one, two in zip(tail.fixed[1:], more, strict=True)]

    def _weigh(self, same: int, tail: _Tail, later: int) -> None:
        """What is late and by how much at most from each place on; the `same` last jobs are a tail's."""
        worst = [over + later for over in tail.worst] if same else []
        head = [over for over, _ in self.over[: len(self.over) - same]]
        front = list(accumulate([*worst[:1], *reversed(head)], max))
        self.worst = front[len(worst[:1]) :][::-1] + worst
        if not self.worst or self.worst[0] <= 0:
            self.tardy, self.tardies = [], [0] * (len(self.over) + 1)
            return
        self.tardy = [pair for pair in self.over if pair[0] > 0]
        self.tardies = list(accumulate([over > 0 for over, _ in self.over], initial=0))

    def _add(self, jobs: Sequence[int], stand: Stand) -> Stand:
        """Put jobs behind what stands; the stand after them, as `walk` tells it of each."""
        at, loaded, cost = stand
        fixed, late = self.fixed[-1], self.late[-1]
        rows, setups, rate, moved = self.rows, self.setups, self.price.setup_per_minute, self.price.moved
        for job in jobs:
            profile, minutes, due, weight, first, after, was_first, was_after = rows[job]
            change = setups[loaded][profile]
            at, cost, fixed = at + change, cost + rate * change, fixed + rate * change
            if at < first:
                at = first
            if at < after:
                if not was_first <= at < was_after:
                    cost += moved
                at, loaded = at + minutes, profile
            else:
                cost = BLOCKED
            over = at - due
            if over > 0:
                late += weight * over
                cost += weight * over if at - minutes < after else 0
            self.ends.append(at)
            self.changes.append(change)
            self.over.append((over, weight))
            self.was.append((at - minutes, was_first, was_after))
            self.cost.append(cost)
            self.fixed.append(fixed)
            self.late.append(late)
        return at, loaded, cost
