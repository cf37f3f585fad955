"""How many tie-downs the published rule asks for: 49 CFR 393.106(d) and 393.110 (R47)."""

from __future__ import annotations

from math import ceil
from typing import Final

from framing.engine.trucks.facts import FOOT

SHORT_16: Final = 5 * FOOT
SPAN_16: Final = 10 * FOOT
LIGHT_LB: Final = 1100.0
WEBBING_WLL_LB: Final = ((28, 1750), (32, 2000), (48, 3000), (64, 4000))
"""Working load limits of webbing without a mark by its width in sixteenths, 393.108 table; from memory."""


def tie_downs(length_16: int, weight_lb: float, *, blocked: bool) -> int:
    """Least number of tie-downs of one article by its length (393.110(b), (c)).

    Not blocked against moving forward: one up to 5 ft and 1,100 lb; two up to 5 ft if heavier, and over 5 ft up to
    10 ft whatever it weighs; over 10 ft two and one for each further 10 ft or part of it. Blocked by a headboard or
    by what is itself secured: one for each 10 ft or part of it.
    """
    if blocked:
        return max(1, ceil(length_16 / SPAN_16))
    if length_16 > SPAN_16:
        return 2 + ceil((length_16 - SPAN_16) / SPAN_16)
    return 1 if length_16 <= SHORT_16 and weight_lb <= LIGHT_LB else 2


def least_wll_lb(weight_lb: float) -> float:
    """What the working load limits of all tie-downs of an article or a group must add up to: half its weight."""
    return weight_lb / 2


def credit_lb(wll_lb: float, *, to_cargo: bool) -> float:
    """What one tie-down adds to that: all of its limit over the load from side to side, else half (393.106(d)).

    `to_cargo`: from an anchor of the truck to the load, or around it back to the same side.
    """
    return wll_lb / 2 if to_cargo else wll_lb


def tie_downs_by_weight(weight_lb: float, wll_lb: float, *, to_cargo: bool) -> int:
    """Least number of equal tie-downs whose counted limits add up to half the weight."""
    return ceil(round(least_wll_lb(weight_lb) / credit_lb(wll_lb, to_cargo=to_cargo), 9))
