"""Fit-out: everything countable that is not a framing member, placed on the floor (R20-R30).

Bays are fitted out one by one, each on its own ground (outline and borders) in its own frame. What reaches over a
border is looked up floor-wide: members that end on another bay's flush beam (R22), pairs over a border's bearing
(R23), beams under the sheathing of both sides (R30). Rim boards belong to the outline and are placed once (R28);
boards, strips and sheets of all bays share stock.

Index: clips R20, fasteners R21, plies R22, laps and cleats R23, bridging R24, blocking R25, ladders R26, strap R27,
rim R28, backing R29, panels, sheathing and beam_lines R30; scene, shape and intervals are what they all read,
flooring what lies under sheathing, cutting and least_stock exact stock cutting.
"""

from __future__ import annotations

from collections.abc import Sequence

from framing.engine.catalogue import Catalogue
from framing.engine.fitout.backing import web_backing
from framing.engine.fitout.beam_lines import BeamLine, beam_lines
from framing.engine.fitout.blocking import solid_blocks
from framing.engine.fitout.bridging import bridging_lines, passings_of
from framing.engine.fitout.cleats import sheathing_cleats
from framing.engine.fitout.clips import end_clips
from framing.engine.fitout.fasteners import plate_nails
from framing.engine.fitout.flooring import strands_of
from framing.engine.fitout.ladders import ladder_blocks
from framing.engine.fitout.laps import Pair, lap_plates, lone_end_warnings, pairs_of
from framing.engine.fitout.panels import rows_of
from framing.engine.fitout.plies import ply_clips
from framing.engine.fitout.rim import rim_boards
from framing.engine.fitout.scene import Scene, scenes_of
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
        plan: the floor.
        layouts: all its bays as laid out, members with their final plies.
        catalogue: profiles and screws per clip leg.
        practice: the company's values.

    Returns:
        Placed things in a fixed order (bay by bay, rule by rule; boards shared by all bays last) and bridging
        lines.

    Raises:
        FloorRefused: a bay that lies outside the floor or falls apart in it.
        UnknownProfile, UnknownItem: a profile or depth that the catalogue does not hold.
    """
    scenes = scenes_of(plan, layouts, catalogue, practice)
    pairs, beams = pairs_of(scenes), beam_lines(scenes)
    placed: list[Placed] = []
    lines: list[BridgingLine] = []
    ladder_numbers: dict[str, int] = {}
    for scene, under in zip(scenes, beams, strict=True):
        bay_lines = bridging_lines(scene)
        placed += _fit_bay(scene, bay_lines, pairs.get(scene.layout.bay.id, ()), under, ladder_numbers)
        lines += bay_lines
    placed += rim_boards(plan, scenes, practice)
    placed += web_backing(scenes, practice)
    return tuple(placed), tuple(lines)


def _fit_bay(
    scene: Scene,
    lines: Sequence[BridgingLine],
    pairs: Sequence[Pair],
    beams: Sequence[BeamLine],
    ladder_numbers: dict[str, int],
) -> list[Placed]:
    passings = passings_of(scene, lines)
    blocks = [*solid_blocks(scene, passings), *ladder_blocks(scene, lines, ladder_numbers)]
    rows, strands = rows_of(scene), strands_of(scene)
    return [
        *end_clips(scene),
        *plate_nails(scene),
        *ply_clips(scene),
        *lap_plates(scene, pairs),
        *blocks,
        *straps(scene, passings, blocks),
        *sheathing(scene, rows, strands, beams),
        *sheathing_cleats(scene, rows, strands),
    ]
