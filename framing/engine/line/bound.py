"""A cost that no plan goes below. Weak where jobs are late: it takes each job as if it came first."""

from __future__ import annotations

from framing.engine.line.model import LineModel, Model
from framing.engine.line.tours import Tour, least_tour


def lower_bound(model: Model) -> int:
    """Least cost of any plan: what held runs cost, and unavoidable change-overs and lateness of the others.

    Every profile that is used is rolled at least once by some line: the least tour of them, or of too many profiles
    each one's cheapest entry, but for one a line, which may come first.
    """
    tour = tour_of(model)
    changes = _entries(model) if tour is None else tour.minutes
    held = sum(_held_cost(model, line) for line in model.lines)
    return model.task.prices.setup_per_minute * changes + held + sum(_alone(model, job) for job in model.free)


def tour_of(model: Model) -> Tour | None:
    """The least tour of the profiles that are used, from what the lines are set up for."""
    used = sorted({model.profile_of[job] for job in model.free})
    return least_tour(model.setups, used, [line.loaded for line in model.lines])


def _entries(model: Model) -> int:
    used = sorted({model.profile_of[job] for job in model.free})
    rows = model.setups[:-1]
    entries = sorted(min((row[p] for q, row in enumerate(rows) if q != p), default=0) for p in used)
    return sum(entries[: max(0, len(entries) - len(model.lines))])


def _held_cost(model: Model, line: LineModel) -> int:
    cost, loaded = 0, -1  # before the first of them nothing is changed over
    for run in line.held:
        profile = model.profile_of[run.job]
        cost += model.task.prices.setup_per_minute * model.setups[loaded][profile]
        cost += model.jobs[run.job].weight * max(0, run.end - line.clock.window(model.jobs[run.job].due)[1])
        loaded = profile
    return cost


def _alone(model: Model, job: int) -> int:
    """Price of lateness if the job came first on the line that suits it best."""
    costs = []
    for line in model.lines:
        row = line.rows[job]
        if row is not None:
            _, minutes, due, weight, first, *_ = row
            costs.append(weight * max(0, max(line.ready, first) + minutes - due))
    return min(costs)
