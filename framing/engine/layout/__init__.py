"""Layout: where every joist, trimmer and header stands, how long it is, its holes and its mark (R3-R12).

Steps: `layout_floor` places members, `assign_marks` punches and marks them, `list_pieces` lists the
C-sections, `layout_warnings` tells what is unusual. First the floor's flush beams; then per bay: ground (walls and
bearings in its frame), stations (R3), stops (R2, R5), frames (R7), partitions (R8), joists (R4, R5, R7), spans (R24).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from framing.engine.catalogue import JoistProfile
from framing.engine.floor import FloorPlan
from framing.engine.layout.bay import lay_bay
from framing.engine.layout.beams import beams_by_support, lay_beams
from framing.engine.layout.ground import survey
from framing.engine.layout.marks import assign_marks, list_pieces
from framing.engine.layout.notes import layout_warnings
from framing.engine.layout.plies import ply_keys
from framing.engine.layout.stations import close_borders, find_stations
from framing.engine.members import BayLayout
from framing.engine.practice import Practice

__all__ = ["assign_marks", "layout_floor", "layout_warnings", "list_pieces", "ply_keys"]


def layout_floor(
    plan: FloorPlan,
    profiles: Mapping[str, JoistProfile],
    practice: Practice,
    plies: Mapping[str, int] | None = None,
) -> tuple[BayLayout, ...]:
    """Lay out every bay of a floor that `check_floor` let pass.

    Args:
        profiles: profile by bay id.
        plies: plies by `<opening id>:<part>` (trimmer_low, trimmer_high, header_low, header_high) or
            `<partition id>:joist` or `<flush beam id>:beam`; what the plan fixes comes first, the default of R7 last.

    Returns members in install order, without marks and holes. Raises FloorRefused.
    """
    chosen = {**(plies or {}), **dict(plan.plies)}
    beams = lay_beams(plan, profiles, practice, chosen)
    under = beams_by_support(beams)
    grounds = [survey(plan, bay, practice, under) for bay in plan.bays]
    widths = [profiles[bay.id].flange_16 * bay.plies for bay in plan.bays]
    stations = close_borders(grounds, [find_stations(ground) for ground in grounds], widths)
    laid = [
        lay_bay(plan, ground, some, profiles[ground.bay.id], chosen, beams)
        for ground, some in zip(grounds, stations, strict=True)
    ]
    if not beams:
        return tuple(layout for layout, _ in laid)
    named = {
        b.member.id: names[b.member.id] for b in beams for layout, names in laid if layout.bay.id == b.bay
    }
    return tuple(_on_beams(layout, named) for layout, _ in laid)


def _on_beams(layout: BayLayout, named: Mapping[str, str]) -> BayLayout:
    """The bay with the final ids of the flush beams that its members end on."""
    members = tuple(
        replace(
            member,
            low=replace(member.low, host=named.get(member.low.host, member.low.host)),
            high=replace(member.high, host=named.get(member.high.host, member.high.host)),
        )
        for member in layout.members
    )
    return replace(layout, members=members)
