"""The refusal of a line plan."""

from __future__ import annotations

from framing.engine.errors import EngineError, Problem


class LineRefused(EngineError):
    """A line plan that can't be made; problems name the thing, its value and what to do.

    Places are such as `lines.North.shifts`, `jobs.B-12.pin`.
    """

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(problem.message for problem in problems))
        self.problems = problems


def refused(place: str, message: str) -> LineRefused:
    """A refusal for one reason."""
    return LineRefused((Problem(place, message),))
