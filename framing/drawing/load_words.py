"""What a load's sketch says (R47): English, or what its caller gives; sentences have their places by `%(name)s`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields

from framing.engine.floor import Units
from framing.engine.trucks.figures import CAUTION, TIES_WORDS, Overhang, Tier
from framing.engine.units import format_length


@dataclass(frozen=True, slots=True)
class LoadWords:
    """The sketch's own words; weights come as bare numbers, lengths with their unit.

    Attributes:
        title: what stands above it; “” for `truck` with the truck's number and kind.
        group: what stands between thousands.
        names: how a thing is called, by its id: within its order, and in full; as the engine calls it where not told.
    """

    truck: str = "Truck %(number)s: %(kind)s"
    continued: str = "%(title)s, continued"
    under: str = (
        "%(weight)s lb of %(payload)s lb; centre of weight %(centre)s from the headboard; driver's side %(near)s, "
        "other %(far)s lb."
    )
    bare: str = "%(weight)s lb of %(payload)s lb."
    empty: str = "Nothing on it."
    over: str = (
        "%(thing)s stands %(length)s out over the rear end. Whether and with which marks it may go on the road is for "
        "the driver and local law to say."
    )
    rows: str = "Tie-downs across (dashed): %(count)s; from the headboard at %(places)s."
    dunnage: str = "Dunnage (small squares): %(sticks)s."
    sticks: str = "%(count)s of %(length)s"
    ties: str = TIES_WORDS
    key: str = "Numbers: order of coming off."
    stops: str = "S2 is stop 2."
    signs: str = "Triangles: lift points. Lengths are to scale, heights and widths are not."
    imperial: str = "Lengths are in feet and inches, weights in pounds (1 lb is 0.45 kg)."
    metric: str = "Lengths are in millimetres, weights in pounds (1 lb is 0.45 kg)."
    caution: str = CAUTION
    lane: str = "Lane %(lane)s"
    to_lane: str = "%(weight)s lb, to lane %(lane)s"
    weight: str = "Weight"
    stop: str = "S%(stop)s"
    tip: str = "%(name)s, %(length)s, %(weight)s lb, stop %(stop)s, tier %(tier)s"
    title: str = ""
    group: str = ","
    names: Mapping[str, tuple[str, str]] = field(default_factory=dict)

    def number(self, value: float) -> str:
        """A whole number with its thousands apart."""
        return f"{value:,.0f}".replace(",", self.group)

    def name(self, tier: Tier) -> tuple[str, str]:
        """What a thing is called within its order, and in full."""
        return self.names.get(tier.thing, (tier.name.split(" of ")[0], tier.name))

    def overhang(self, one: Overhang, name: str, units: Units) -> str:
        """What stands out over the rear end, as the law wants to know."""
        return self.over % {"thing": name, "length": format_length(one.by_16, units)}


SENTENCES = tuple(one.name for one in fields(LoadWords) if one.name not in ("title", "group", "names"))
"""Fields that a language has words of its own for."""
ENGLISH = LoadWords()
