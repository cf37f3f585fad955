"""Plans by a simple rule: the yardstick of the search and its beginnings.

Jobs that are pinned to a day are set first; the others go around them, and behind one only where they would push
it off its day.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from framing.engine.line.days import absolute, day_text
from framing.engine.line.facts import Job, Pin
from framing.engine.line.model import Model
from framing.engine.line.refusals import LineRefused, refused
from framing.engine.line.timing import BLOCKED, Order
from framing.engine.line.tours import Tour

Place = tuple[int, int, int]
"""What a job costs more at a place, the line's index and the place in its order."""


def by_due_date(model: Model) -> list[Order]:
    """Earliest due date first, each on the line that is free first: what one does without a plan."""
    build = _Build(model)
    for job in sorted(build.left, key=lambda job: (model.jobs[job].due, job)):
        lines = [order for order in build.orders if order.model.rows[job]]
        build.append(min(lines, key=build.free_at), job)
    return build.orders


def by_due_day_families(model: Model) -> list[Order]:
    """The same by due days, but within a day each line goes on with what changes it over the quickest."""
    build = _Build(model)
    in_order = sorted(build.left, key=lambda job: (model.jobs[job].due, job))
    for _, jobs in groupby(in_order, key=lambda job: model.jobs[job].due):
        left = list(jobs)
        while left:
            able = [order for order in build.orders if any(order.model.rows[job] for job in left)]
            order = min(able, key=build.free_at)
            job = build.quickest(order, left)
            left.remove(job)
            build.append(order, job)
    return build.orders


def by_previous(model: Model) -> list[Order]:
    """Lines and order of the previous plan; what is new stands where it costs least."""
    build = _Build(model)
    was = {placing.job: placing for placing in model.task.previous}
    lines = {order.model.line.name: order for order in build.orders}
    known: list[tuple[int, int, Order]] = []
    for job in build.left:
        placing = was.get(model.jobs[job].id)
        order = lines.get(placing.line) if placing else None
        if placing and order and order.model.rows[job]:
            known.append((order.model.clock.minutes_at(placing.start), job, order))
    for _, job, order in sorted(known, key=lambda entry: entry[:2]):
        build.append(order, job)
    new = set(build.left) - {job for _, job, _ in known}
    insert_all(model, build.orders, sorted(new, key=lambda job: (model.jobs[job].due, job)))
    return build.orders


def by_tour(model: Model, tour: Tour) -> list[Order] | None:
    """Each profile in one go as the tour has it, by due dates; None where a line can't take it or a day is pinned."""
    of_profile: dict[int, list[int]] = {}
    for job in sorted(model.free, key=lambda job: (model.jobs[job].due, job)):
        of_profile.setdefault(model.profile_of[job], []).append(job)
    orders = []
    for line, profiles in zip(model.lines, tour.of_lines, strict=True):
        seq = [job for profile in profiles for job in of_profile[profile]]
        if line.pinned or not all(line.rows[job] for job in seq):
            return None
        orders.append(Order(line, model.setups, model.task.prices, seq))
    return orders


def insert_all(model: Model, orders: Sequence[Order], jobs: Iterable[int]) -> None:
    """Each job in turn to where it costs least.

    Errors: LineRefused for a job that is pinned to a day on which the other pins leave it no time.
    """
    for job in jobs:
        cost, line, place = cheapest(orders, job)
        if cost >= BLOCKED // 2:
            raise _no_room(model.jobs[job])
        order = orders[line]
        order.put([*order.seq[:place], job, *order.seq[place:]], place, len(order.seq) - place)


def cheapest(orders: Sequence[Order], job: int) -> Place:
    """Where a job costs least, of equals with the fewest jobs behind it; about BLOCKED where none keeps the pins."""
    best = (BLOCKED, 0, 0)
    for order in orders:
        if order.model.rows[job]:
            for place in range(len(order.seq) + 1):
                cost = order.with_rest(place, order.walk((job,), order.before(place))) - order.total
                best = min(best, (cost, len(order.seq) - place, order.model.index))
    cost, behind, line = best
    return cost, line, len(orders[line].seq) - behind


class _Build:
    """Orders that grow at their ends; `done[line]` is the place up to which a line is filled."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.orders = [Order(line, model.setups, model.task.prices) for line in model.lines]
        pinned = {job: pin.day for job in model.free if (pin := model.jobs[job].pin) and pin.day is not None}
        insert_all(
            model, self.orders, sorted(pinned, key=lambda job: (pinned[job], model.jobs[job].due, job))
        )
        self.done = [0] * len(self.orders)
        self.left = [job for job in model.free if job not in pinned]

    def free_at(self, order: Order) -> tuple[int, int]:
        """When a line is free for the next job, in minutes of the clock; equal lines by name."""
        at, _, _ = order.before(self.done[order.model.index])
        return absolute(order.model.clock.start_moment(at)), order.model.index

    def quickest(self, order: Order, jobs: list[int]) -> int:
        """The job with the least change-over on a line, the first of equals."""
        _, loaded, _ = order.before(self.done[order.model.index])
        setups, profiles = self.model.setups[loaded], self.model.profile_of
        able = [job for job in jobs if order.model.rows[job]]
        return min(able, key=lambda job: (setups[profiles[job]], job))

    def append(self, order: Order, job: int) -> None:
        """Put a job behind what is filled, past those pinned jobs that it would push off their day."""
        place = self.done[order.model.index]
        while order.with_rest(place, order.walk((job,), order.before(place))) >= BLOCKED:
            place += 1
        order.put([*order.seq[:place], job, *order.seq[place:]], place, len(order.seq) - place)
        self.done[order.model.index] = place + 1


def _no_room(job: Job) -> LineRefused:
    pin = job.pin or Pin()  # a job without a day to keep always finds the end of a line
    where = f"line {pin.line}" if pin.line else "any line that can roll it"
    day = day_text(pin.day or 1)
    return refused(
        f"jobs.{job.id}.pin",
        f"Bundle {job.id} is pinned to {day}, but the other pins leave no time to begin it on {where} that day. "
        "Unpin one of them or pin it to another day.",
    )
