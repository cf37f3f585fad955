"""The dispatcher's steps on a truck plan: move, swap, lock, plan the rest anew (R47)."""

from framing.engine.errors import EngineError
from framing.engine.trucks.facts import GoOn, LoadTask, always
from framing.engine.trucks.plan import Edited, TrucksPlan


class LoadRefused(EngineError):
    """A step that would break a rule; nothing was changed. The message names thing, rule, value, limit, what to do."""


def move(
    task: LoadTask,
    plan: TrucksPlan,
    *,
    thing: str,
    truck: int | None,
    kind: str = "",
    lane: int | None = None,
    on: str = "",
) -> Edited:
    """Move a thing to a truck (None: a further one, of `kind`, "" the first kind), from another or from `left`.

    `on` is a thing of the goal's stack, into which it goes where length and stop allow, as near above it as can be;
    `lane` makes a new stack on that lane; neither takes the best place that is free. The stacks of both trucks close
    up towards the headboard; an emptied truck is gone.
    """
    raise NotImplementedError


def swap(task: LoadTask, plan: TrucksPlan, *, thing: str, other: str) -> Edited:
    """Let two things change places."""
    raise NotImplementedError


def lock(plan: TrucksPlan, *, truck: int, locked: bool) -> Edited:
    """Keep a truck's load as it is when the rest is planned anew, or let it go again."""
    raise NotImplementedError


def again(task: LoadTask, plan: TrucksPlan, go_on: GoOn = always) -> Edited:
    """Plan anew all that is not on a locked truck, what was left too."""
    raise NotImplementedError
