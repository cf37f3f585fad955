"""Trucks (R47): which bundles and packs ride where, how few trucks, what the load comes to.

`plan_trucks` makes a plan, `lowest_bound` says what no plan can beat, `check` lists every broken rule of any plan,
`figures_of` tells weights, unloading, tie-downs and dunnage; `move`, `swap`, `lock`, `again` are the dispatcher's
steps.
Axle weights and overhang are not decided here (`figures.CAUTION`). `load_trucks` is the quote's first look, by weight.
"""

from framing.engine.trucks.bound import lowest_bound
from framing.engine.trucks.by_weight import load_trucks, trucks_by_weight
from framing.engine.trucks.check import check
from framing.engine.trucks.edits import again, lock, move, swap
from framing.engine.trucks.facts import (
    Advance,
    Dunnage,
    Effort,
    GoOn,
    LoadTask,
    Securing,
    Thing,
    TruckKind,
    TrucksRefused,
)
from framing.engine.trucks.figures import (
    CAUTION,
    TIES_SOURCE,
    TIES_WORDS,
    Overhang,
    PlanFigures,
    StackFigures,
    Sticks,
    Tier,
    TruckFigures,
)
from framing.engine.trucks.model import lane_width_16
from framing.engine.trucks.places import LoadRefused
from framing.engine.trucks.plan import (
    Bound,
    BoundTerm,
    Broken,
    Edited,
    Outcome,
    Stack,
    Truck,
    TrucksPlan,
)
from framing.engine.trucks.planner import plan_trucks
from framing.engine.trucks.report import figures_of
from framing.engine.trucks.sizes import bundle_size, bundle_thing, pack_thing
from framing.engine.trucks.tie_downs import credit_lb, least_wll_lb, tie_downs, tie_downs_by_weight

__all__ = [
    "CAUTION",
    "TIES_SOURCE",
    "TIES_WORDS",
    "Advance",
    "Bound",
    "BoundTerm",
    "Broken",
    "Dunnage",
    "Edited",
    "Effort",
    "GoOn",
    "LoadRefused",
    "LoadTask",
    "Outcome",
    "Overhang",
    "PlanFigures",
    "Securing",
    "Stack",
    "StackFigures",
    "Sticks",
    "Thing",
    "Tier",
    "Truck",
    "TruckFigures",
    "TruckKind",
    "TrucksPlan",
    "TrucksRefused",
    "again",
    "bundle_size",
    "bundle_thing",
    "check",
    "credit_lb",
    "figures_of",
    "lane_width_16",
    "least_wll_lb",
    "load_trucks",
    "lock",
    "lowest_bound",
    "move",
    "pack_thing",
    "plan_trucks",
    "swap",
    "tie_downs",
    "tie_downs_by_weight",
    "trucks_by_weight",
]
