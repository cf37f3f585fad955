"""Placed: one countable thing at a position, with the rule that put it there.

A bill of materials only adds up placed items, so each number can say why it is what it is (domain principle).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from framing.engine.geometry import Point


class Item(StrEnum):
    """Countable things other than rolled members. Depth-dependent ones carry the depth in `Placed.size`."""

    BEARING_CLIP = "bearing_clip"
    CLIP_ANGLE = "clip_angle"
    PLY_CLIP = "ply_clip"
    LAP_PLATE = "lap_plate"
    SOLID_BLOCK = "solid_block"
    LADDER_BLOCK = "ladder_block"
    WOOD_PACKER = "wood_packer"
    STRAP = "strap"
    RIM_BOARD = "rim_board"  # pieces cut to length
    RIM_STICK = "rim_stick"  # sticks bought; size is the stock length in feet
    WEB_BACKING = "web_backing"  # strips cut to length
    BACKING_SHEET = "backing_sheet"  # 4 x 8 plywood sheets bought
    SHEATHING_CELL = "sheathing_cell"  # panel pieces laid
    SHEATHING_PANEL = "sheathing_panel"  # panels opened
    SHEATHING_CLEAT = "sheathing_cleat"
    STEEL_SCREW = "steel_screw"  # #12 x 1 in self-drilling
    WOOD_SCREW = "wood_screw"  # #12 x 1 in
    BEARING_NAIL = "bearing_nail"  # 2 in
    STRAP_SCREW = "strap_screw"
    SHEATHING_NAIL = "sheathing_nail"
    ADHESIVE_BEAD = "adhesive_bead"  # length of bead
    ADHESIVE_TUBE = "adhesive_tube"  # tubes bought


Unit = Literal["piece", "length_16"]


@dataclass(frozen=True, slots=True)
class Placed:
    """One placed thing.

    Attributes:
        id: unique on the floor, readable: `clip:A.J7:low:0`.
        item: what it is.
        size: what tells two sizes of one item apart: profile depth in 1/100 in ("1000"), stock length in ft ("16"),
            profile designator for blocks, or "".
        quantity: pieces, or sixteenths of an inch where unit is `length_16`. Never 0.
        at: plan position (the middle for a long thing).
        to: the other end of a long thing whose first end is `at`; None for a thing at a point.
        rule: rule number, `R20`.
        why: short words that group equal reasons in a derivation: `joist ends at platform bearings`.
        host: id of the member, edge, line or opening it belongs to.
    """

    id: str
    item: Item
    size: str
    quantity: int
    unit: Unit
    at: Point
    rule: str
    why: str
    host: str
    to: Point | None = None


@dataclass(frozen=True, slots=True)
class BridgingRun:
    """One run of a bridging line (R24, R25); ends are at a rim or at a trimmer of an opening it meets."""

    across_low_16: int
    across_high_16: int
    low_stop: str
    high_stop: str


@dataclass(frozen=True, slots=True)
class BridgingLine:
    """A straight line of strap and blocks across a span.

    `along_16` is in the bay's frame; `clear_16` is the clear distance to the next line or face.
    """

    id: str
    bay: str
    span: int
    along_16: int
    clear_16: int
    runs: tuple[BridgingRun, ...]
