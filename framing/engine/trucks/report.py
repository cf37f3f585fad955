"""Weights, order of unloading, tie-downs and dunnage of a truck plan (R47)."""

from framing.engine.trucks.facts import LoadTask
from framing.engine.trucks.figures import PlanFigures
from framing.engine.trucks.plan import TrucksPlan


def figures_of(task: LoadTask, plan: TrucksPlan) -> PlanFigures:
    """All figures of a plan that breaks no rule (`check`)."""
    raise NotImplementedError
