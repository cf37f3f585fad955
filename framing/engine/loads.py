"""Loads from their tables (R13) and as line and point loads on members (R8, R19).

Dead and live parts stay apart, because deflection limits ask for them apart. The partition allowance counts
as live load (ASCE 7-16 4.3.2); so does the load drawn on a partition, because what part of it is live is not
known.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from framing.engine.errors import Problem
from framing.engine.floor import DeadLayer, FloorPlan, LoadCase
from framing.engine.method import Combination, Method
from framing.engine.tables import TableRow, data_text, read_table

INCHES_PER_FOOT = 12.0

_DEAD_AND_LIVE = Combination("D + L", 1.0, 1.0)
_STRENGTH = {
    Method.ASD: (Combination("D", 1.0, 0.0), _DEAD_AND_LIVE),
    Method.LRFD: (Combination("1.4 D", 1.4, 0.0), Combination("1.2 D + 1.6 L", 1.2, 1.6)),
    Method.LSD: (Combination("1.4 D", 1.4, 0.0), Combination("1.25 D + 1.5 L", 1.25, 1.5)),
}
_DEAD_HELPS = {
    Method.ASD: _DEAD_AND_LIVE,
    Method.LRFD: Combination("0.9 D + 1.6 L", 0.9, 1.6),
    Method.LSD: Combination("0.9 D + 1.5 L", 0.9, 1.5),
}


@dataclass(frozen=True, slots=True)
class Occupancy:
    """One use of a floor with its uniform live load, and the concentrated one that its table asks for besides."""

    id: str
    name: str
    live_psf: float
    concentrated_lb: float
    source: str


@dataclass(frozen=True, slots=True)
class DeadPreset:
    """A named floor layer that a load case may take over; `source` says where its weight comes from."""

    id: str
    layer: DeadLayer
    source: str


@dataclass(frozen=True, slots=True)
class LineLoad:
    """Load on a member in lb per inch, from `low_in` to `high_in` on the member's axis.

    Uniform, or straight from the first value at `low_in` to the `_end_` value at `high_in` where that is given.
    """

    low_in: float
    high_in: float
    dead_lb_in: float
    live_lb_in: float
    dead_end_lb_in: float | None = None
    live_end_lb_in: float | None = None

    @property
    def dead_ends_lb_in(self) -> tuple[float, float]:
        """Dead load at `low_in` and at `high_in`."""
        return self.dead_lb_in, self.dead_lb_in if self.dead_end_lb_in is None else self.dead_end_lb_in

    @property
    def live_ends_lb_in(self) -> tuple[float, float]:
        """Live load at `low_in` and at `high_in`."""
        return self.live_lb_in, self.live_lb_in if self.live_end_lb_in is None else self.live_end_lb_in


@dataclass(frozen=True, slots=True)
class PointLoad:
    """Concentrated load on a member in lb, at `at_in` on the member's axis; `source` says from what.

    `plate_in` is the length of top flange that a drawn load stands on, 0 where the sheathing spreads it, and for what
    comes otherwise.
    """

    at_in: float
    dead_lb: float
    live_lb: float
    source: str = ""
    plate_in: float = 0.0


@cache
def load_occupancies() -> tuple[Occupancy, ...]:
    """Uses with their live loads (R13), in table order. Raises CatalogueRefused."""
    return read_table("occupancies.csv", data_text("occupancies.csv"), _occupancy, key="id")


@cache
def load_dead_layers() -> tuple[DeadPreset, ...]:
    """Common floor layers with their weights, in table order. Raises CatalogueRefused."""
    return read_table("dead_layers.csv", data_text("dead_layers.csv"), _dead_preset, key="id")


def combinations(method: Method) -> tuple[Combination, ...]:
    """Strength combinations of dead and floor live load, the dead one first.

    ASD: ASCE 7-16 2.4.1. LRFD: ASCE 7-16 2.3.1. LSD: NBCC 2015 4.1.3.2, from memory.
    """
    return _STRENGTH[method]


def combination_where_dead_helps(method: Method) -> Combination:
    """The combination for what dead load holds back, as uplift at a bearing.

    LSD: NBCC 2015 4.1.3.2, from memory. LRFD: the 0.9 that ASCE 7-16 2.3.1 sets against wind, here against
    live load. ASD: ASCE 7-16 2.4.1 lowers dead load against wind only, so D + L stands.
    """
    return _DEAD_HELPS[method]


def unchecked_loads_on(plan: FloorPlan) -> tuple[Problem, ...]:
    """`unchecked_loads` of the floor's use where a bay has it, and of each bay's own."""
    own = [
        problem
        for index, bay in enumerate(plan.bays)
        if bay.load_case is not None
        for problem in unchecked_loads(bay.load_case, f"bays.{index}.load_case.occupancy")
    ]
    common = any(bay.load_case is None for bay in plan.bays)
    return (*(unchecked_loads(plan.load_case) if common else ()), *own)


def unchecked_loads(case: LoadCase, place: str = "load_case.occupancy") -> tuple[Problem, ...]:
    """What the table asks of a use that no check here holds: a concentrated load. `place` is the field's."""
    return tuple(
        Problem(
            place,
            f"{use.name} also ask for a concentrated load of {use.concentrated_lb:,.0f} lb ({use.source}); it is "
            "not checked here.",
        )
        for use in load_occupancies()
        if case.occupancy in (use.name, use.id) and use.concentrated_lb
    )


def live_psf(case: LoadCase) -> float:
    """Live load of a load case with its partition allowance, in psf."""
    return case.live_psf + case.partition_psf


def strip_load(
    case: LoadCase, width_in: float, low_in: float, high_in: float, end_width_in: float | None = None
) -> LineLoad:
    """Load of a strip of floor that rests on a member between two positions.

    It is `width_in` wide, or straight from that at `low_in` to `end_width_in` at `high_in` where that is given.
    """
    share = width_in / INCHES_PER_FOOT**2
    dead, live = case.dead_psf, live_psf(case)
    if end_width_in is None:
        return LineLoad(low_in, high_in, dead * share, live * share)
    end_share = end_width_in / INCHES_PER_FOOT**2
    return LineLoad(low_in, high_in, dead * share, live * share, dead * end_share, live * end_share)


def partition_line(load_plf: float, low_in: float, high_in: float) -> LineLoad:
    """A partition that stands along a member (R8), all of it as live load."""
    return LineLoad(low_in, high_in, 0.0, load_plf / INCHES_PER_FOOT)


def _occupancy(row: TableRow) -> Occupancy:
    return Occupancy(
        id=row.text("id"),
        name=row.text("name"),
        live_psf=row.number_over_zero("live_psf"),
        concentrated_lb=row.number_from_zero("concentrated_lb"),
        source=row.text("source"),
    )


def _dead_preset(row: TableRow) -> DeadPreset:
    layer = DeadLayer(row.text("name"), row.number_over_zero("load_psf"))
    return DeadPreset(row.text("id"), layer, row.text("source"))
