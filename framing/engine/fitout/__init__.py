"""Fit-out: everything countable that is not a framing member, placed on the floor (R20-R30).

Index: clips R20, fasteners R21, plies R22, laps R23, bridging R24, blocking R25-R26, strap R27, rim R28,
backing R29, panels and sheathing R30; scene and shape are what they all read, cutting is exact stock cutting.
"""

from __future__ import annotations

from collections.abc import Sequence

from framing.engine.catalogue import Catalogue
from framing.engine.fitout.backing import web_backing
from framing.engine.fitout.blocking import ladder_blocks, solid_blocks
from framing.engine.fitout.bridging import bridging_lines
from framing.engine.fitout.clips import end_clips
from framing.engine.fitout.fasteners import plate_nails
from framing.engine.fitout.laps import lap_plates, lone_end_warnings, sheathing_cleats
from framing.engine.fitout.panels import rows_of
from framing.engine.fitout.plies import ply_clips
from framing.engine.fitout.rim import rim_boards
from framing.engine.fitout.scene import Scene, scene_of
from framing.engine.fitout.sheathing import sheathing
from framing.engine.fitout.strap import straps
from framing.engine.floor import FloorPlan
from framing.engine.members import BayLayout
from framing.engine.placement import BridgingLine, Placed
from framing.engine.practice import Practice

__all__ = ["fit_out", "lone_end_warnings"]


def fit_out(
    plan: FloorPlan, layouts: Sequence[BayLayout], catalogue: Catalogue, practice: Practice
) -> tuple[tuple[Placed, ...], tuple[BridgingLine, ...]]:
    """Place all hardware, boards, sheathing and fasteners of one floor.

    Args:
        plan: the floor; this pass reads one bay that fills the outline.
        layouts: its bays as laid out, members with their final plies.
        catalogue: profiles and screws per clip leg.
        practice: the company's values.

    Returns:
        Placed things in a fixed order (bay by bay, rule by rule; boards shared by all bays last) and bridging
        lines.

    Raises:
        FloorRefused: an outline edge that is skewed to the joists.
        UnknownProfile, UnknownItem: a profile or depth that the catalogue does not hold.
    """
    scenes = [scene_of(plan, layout, catalogue, practice) for layout in layouts]
    placed: list[Placed] = []
    lines: list[BridgingLine] = []
    for scene in scenes:
        bay_placed, bay_lines = _fit_bay(scene)
        placed += bay_placed
        lines += bay_lines
    placed += rim_boards(scenes, practice)
    placed += web_backing(scenes, practice)
    return tuple(placed), tuple(lines)


def _fit_bay(scene: Scene) -> tuple[list[Placed], tuple[BridgingLine, ...]]:
    lines = bridging_lines(scene)
    blocks = [*solid_blocks(scene, lines), *ladder_blocks(scene, lines)]
    rows = rows_of(scene)
    return [
        *end_clips(scene),
        *plate_nails(scene),
        *ply_clips(scene),
        *lap_plates(scene),
        *blocks,
        *straps(scene, lines, blocks),
        *sheathing(scene, rows),
        *sheathing_cleats(scene, rows),
    ], lines
