"""The line plan (R46): which bundle rolls when on which line, what becomes late, what the coils weigh.

Lengths are whole sixteenths of an inch, times whole minutes of the shop's clock, days calendar numbers
(`date.toordinal()`). `plan_lines` makes a plan, `what_if` shows what a rush pushes.
"""

from framing.engine.line.check import check
from framing.engine.line.days import Day, Moment, day_text
from framing.engine.line.facts import (
    Advance,
    ChangeOver,
    Effort,
    GoOn,
    Held,
    Job,
    LineTask,
    Pin,
    Placing,
    Prices,
    RolledProfile,
    RollLine,
    Shift,
)
from framing.engine.line.plan import plan_lines
from framing.engine.line.refusals import LineRefused
from framing.engine.line.result import (
    CoilNeed,
    LateChange,
    LateOrder,
    LineDay,
    LinePlan,
    PlanCost,
    PlanOutcome,
    Pushed,
    Run,
    WhatIf,
    late_changes,
)
from framing.engine.line.setups import setup_minutes
from framing.engine.line.what_if import what_if
from framing.engine.line.working_time import WorkingTime, due_day, working_time

__all__ = [
    "Advance",
    "ChangeOver",
    "CoilNeed",
    "Day",
    "Effort",
    "GoOn",
    "Held",
    "Job",
    "LateChange",
    "LateOrder",
    "LineDay",
    "LinePlan",
    "LineRefused",
    "LineTask",
    "Moment",
    "Pin",
    "Placing",
    "PlanCost",
    "PlanOutcome",
    "Prices",
    "Pushed",
    "RollLine",
    "RolledProfile",
    "Run",
    "Shift",
    "WhatIf",
    "WorkingTime",
    "check",
    "day_text",
    "due_day",
    "late_changes",
    "plan_lines",
    "setup_minutes",
    "what_if",
    "working_time",
]
