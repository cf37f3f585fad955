"""Every rule that a truck plan breaks, whoever made it (R47)."""

from framing.engine.trucks.facts import LoadTask
from framing.engine.trucks.plan import Broken, TrucksPlan


def check(task: LoadTask, plan: TrucksPlan) -> tuple[Broken, ...]:
    """All broken rules, by truck; none for a plan that may be stored. What overhangs within the limit is no break."""
    raise NotImplementedError
