"""Layout: where every joist, trimmer and header stands, how long it is, its holes and its mark (R3-R12).

Steps: `layout_floor` places members, `assign_marks` punches and marks them, `list_pieces` lists the
C-sections, `layout_warnings` tells what is unusual. Per bay: ground (walls and bearings in its frame),
stations (R3), stops (R2, R5), frames (R7), partitions (R8), joists (R4, R5, R7), spans (R24).
"""

from __future__ import annotations

from collections.abc import Mapping

from framing.engine.catalogue import JoistProfile
from framing.engine.floor import FloorPlan
from framing.engine.layout.bay import lay_bay
from framing.engine.layout.marks import assign_marks, list_pieces
from framing.engine.layout.notes import layout_warnings
from framing.engine.layout.plies import ply_keys
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
            `<partition id>:joist`; what the plan fixes comes first, the default of R7 last.

    Returns members in install order, without marks and holes. Raises FloorRefused.
    """
    chosen = {**(plies or {}), **dict(plan.plies)}
    return tuple(lay_bay(plan, bay, profiles[bay.id], practice, chosen) for bay in plan.bays)
