"""Truck plans: five orders, then orders drawn at random, then the exact model for one truck fewer (R47)."""

from framing.engine.trucks.facts import GoOn, LoadTask, always
from framing.engine.trucks.plan import Outcome


def plan_trucks(task: LoadTask, go_on: GoOn = always) -> Outcome:
    """The fewest trucks that the search finds; what no truck has room for is told in `plan.left`.

    Equal input gives an equal plan, in whatever order the things come in. `go_on` is told how far it is and may stop
    the search: the best plan so far is the answer.

    Raises:
        TrucksRefused: facts that no plan can be made from, such as a thing that no kind of truck can carry.
    """
    raise NotImplementedError
