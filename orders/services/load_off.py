"""Taking a thing off its truck (R47): it stays on its delivery and waits for a place."""

from __future__ import annotations

from framing.engine.trucks import Edited, LoadRefused, LoadTask, TrucksPlan
from framing.engine.trucks.hold import Hold
from framing.engine.trucks.places import open_for, without


def off(task: LoadTask, plan: TrucksPlan, *, thing: str) -> Edited:
    """Raises LoadRefused for a locked truck, or a thing that is on none."""
    hold = Hold(task)
    open_for(hold, plan, thing)
    if thing in plan.left:
        raise LoadRefused(f"{hold.name(thing)} is on no truck.")
    lifted = without(hold, plan, thing)
    left = (*(one for one in lifted.left if one != thing), thing)
    return Edited(TrucksPlan(lifted.trucks, tuple(sorted(left))), f"Took {hold.name(thing)} off its truck.")
