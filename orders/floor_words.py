"""What the shop's pages say. Pure: facts in, words out."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import Final

OFF_PERCENT: Final = (
    3  # more than this off the computed weight is said (the scale and the mill's tolerance stay below)
)


def weight_words(weighed_lb: Decimal, computed_lb: Decimal, limit_lb: Decimal) -> str:
    """The warnings on a weight, both figures in them; "" where it is within the lift limit and 3 % of computed."""
    words = []
    if weighed_lb > limit_lb:
        words.append(
            f"{pounds(weighed_lb)} is over the lift limit of {pounds(limit_lb)}:"
            " don't lift it, tell the planner."
        )
    off = weighed_lb - computed_lb
    if abs(off) * 100 > OFF_PERCENT * computed_lb:
        words.append(
            f"{pounds(weighed_lb)} on the scale, {pounds(computed_lb)} computed:"
            f" {_share(abs(off), computed_lb)} {'more' if off > 0 else 'less'}. Count the pieces."
        )
    return " ".join(words)


def pounds(value: Decimal) -> str:
    """“1,940.5 lb”, “2,000 lb”."""
    text = f"{value:,.1f}"
    return f"{text.removesuffix('.0')} lb"


def _share(part: Decimal, whole: Decimal) -> str:
    """In per cent; never rounded down to the limit that it is over."""
    if whole <= 0:
        return "all of it"
    share = (part * 100 / whole).quantize(Decimal("0.1"), ROUND_HALF_UP)
    return f"{share} %" if share > OFF_PERCENT else f"over {OFF_PERCENT} %"
