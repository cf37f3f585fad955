"""A general solver as judge: the proved optimum of small line plans, formulated apart from the planner.

A circuit of running order per line, optional intervals, working minutes from the first free opening. Lines have the
same hours here, nothing is held, there is no previous plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from time import process_time

from ortools.sat.python import cp_model

from framing.engine.line import LineTask
from tests.engine.line.checker import can_roll, change, hours, needed, worked


@dataclass(frozen=True)
class Verdict:
    """The cost of the best plan, whether it is proved to be the best, and the processor's seconds for that."""

    cost: int
    proved: bool
    seconds: float


def judge(task: LineTask, effort_s: float) -> Verdict:
    """One thread: on cases this small more of them only stand in each other's way.

    The limit counts the solver's own steps, about as many as a second of the processor makes: a busy machine proves the
    same cases as an idle one.
    """
    began = process_time()
    model = _Model(task)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = effort_s
    status = solver.solve(model.cp)
    cost = int(solver.objective_value) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else -1
    return Verdict(cost, status == cp_model.OPTIMAL, process_time() - began)


class _Model:
    def __init__(self, task: LineTask) -> None:
        self.task, self.cp = task, cp_model.CpModel()
        jobs = task.jobs
        stretches = hours(task, task.lines[0], task.free_from, task.free_from + 400)
        opening = stretches[0].opens
        horizon = sum(max(needed(task, line, job) for line in task.lines) for job in jobs) + 60 * len(jobs)
        horizon += sum(s.closes - s.opens for s in stretches[:5])
        self.horizon = horizon
        self.starts = [self._start(job.pin, stretches, opening) for job in jobs]
        self.ends = [self.cp.new_int_var(0, 2 * horizon, "") for _ in jobs]
        self.costs: list[cp_model.LinearExprT] = []
        presences = [self._line(line) for line in range(len(task.lines))]
        for of_job in zip(*presences, strict=True):
            self.cp.add_exactly_one(of_job)
        for job, end in zip(jobs, self.ends, strict=True):
            closing = max((s.closes for s in stretches if s.day <= job.due), default=opening)
            late = self.cp.new_int_var(0, 2 * horizon, "")
            self.cp.add(late >= end - worked(stretches, opening, closing))
            self.costs.append(job.weight * late)
        self.cp.minimize(sum(self.costs))

    def _start(self, pin: object, stretches: list, opening: int) -> cp_model.IntVar:  # type: ignore[type-arg]
        day = getattr(pin, "day", None)
        if day is None:
            return self.cp.new_int_var(0, self.horizon, "")
        of_day = [s for s in stretches if s.day == day]
        first = worked(stretches, opening, of_day[0].opens)
        return self.cp.new_int_var(first, worked(stretches, opening, of_day[-1].closes) - 1, "")

    def _line(self, index: int) -> list[cp_model.IntVar]:
        """Order and times on a line; whether it has each job."""
        task, line = self.task, self.task.lines[index]
        facts = {profile.code: profile for profile in task.profiles}
        present, intervals, arcs = [], [], []
        for i, job in enumerate(task.jobs):
            here = self.cp.new_bool_var("")
            if not can_roll(line, facts[job.profile]) or (job.pin and job.pin.line not in (None, line.name)):
                self.cp.add(here == 0)
            minutes = needed(task, line, job)
            intervals.append(
                self.cp.new_optional_interval_var(self.starts[i], minutes, self.ends[i], here, "")
            )
            present.append(here)
            arcs.append((i + 1, i + 1, ~here))
        self.cp.add_no_overlap(intervals)
        unused = self.cp.new_bool_var("")
        arcs.append((0, 0, unused))
        arcs += self._arcs(line.loaded)
        self.cp.add_circuit(arcs)
        return present

    def _arcs(self, loaded: str | None) -> list[tuple[int, int, cp_model.IntVar]]:
        jobs, arcs = self.task.jobs, []
        for i, job in enumerate(jobs):
            first, last = self.cp.new_bool_var(""), self.cp.new_bool_var("")
            arcs += [(0, i + 1, first), (i + 1, 0, last)]
            minutes = change(self.task, loaded, job.profile)
            self._after(first, 0, i, minutes)
            for k, before in enumerate(jobs):
                if k != i:
                    follows = self.cp.new_bool_var("")
                    arcs.append((k + 1, i + 1, follows))
                    self._after(follows, self.ends[k], i, change(self.task, before.profile, job.profile))
        return arcs

    def _after(self, arc: cp_model.IntVar, end: cp_model.LinearExprT, job: int, minutes: int) -> None:
        self.cp.add(self.starts[job] >= end + minutes).only_enforce_if(arc)
        self.costs.append(self.task.prices.setup_per_minute * minutes * arc)
