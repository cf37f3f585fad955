"""The floor as numbers for a page that draws it itself: plan inches, x to the right, y up, no markup.

Inches are decimals of whole sixteenths (at most four digits), whole ones without a point, so that a large floor stays
small on the line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

from framing.engine.errors import FloorRefused
from framing.engine.floor import Bay, FloorPlan
from framing.engine.geometry import Point, signed_area_2
from framing.engine.members import BayLayout, Member
from framing.engine.placement import Item, Placed
from framing.engine.regions import regions_of
from framing.engine.result import FloorResult

Inches = int | float
Spot = list[Inches]
SIXTEENTHS: Final = 16
_BLOCKS: Final = (Item.SOLID_BLOCK, Item.LADDER_BLOCK)
_BLOCK_SHARE: Final = 0.32  # of a joist space on each side of a block's middle, as on the sketch


def inches(length_16: int) -> Inches:
    """Sixteenths as inches, exact; a whole number where it is one."""
    return length_16 / SIXTEENTHS if length_16 % SIXTEENTHS else length_16 // SIXTEENTHS


def spot(point: Point) -> Spot:
    return [inches(point.x_16), inches(point.y_16)]


def plan_layer(plan: FloorPlan, typed: Sequence[Point]) -> dict[str, Any]:
    """What was drawn, as the engine read it; corners and edges are numbered as in the document.

    Args:
        plan: the floor, its outline counter-clockwise.
        typed: the outline's corners in the document's order, which may be clockwise.
    """
    return {
        "outline": [spot(corner) for corner in typed],
        "edges": _edges(plan, turned=signed_area_2(tuple(typed)) < 0),
        "supports": [
            {
                "id": support.id,
                "kind": support.kind.value,
                "from": spot(support.start),
                "to": spot(support.end),
                "width": inches(support.width_16),
            }
            for support in plan.supports
        ],
        "openings": [
            {
                "id": opening.id,
                "name": opening.name,
                "kind": opening.kind.value,
                "low": spot(opening.rect.low),
                "high": spot(opening.rect.high),
            }
            for opening in plan.openings
        ],
        "partitions": [
            {"id": wall.id, "from": spot(wall.start), "to": spot(wall.end), "bearing": wall.bearing}
            for wall in plan.partitions
        ],
        "point_loads": [
            {
                "id": load.id,
                "name": load.name,
                "at": spot(load.at),
                "dead_lb": load.dead_lb,
                "live_lb": load.live_lb,
            }
            for load in plan.point_loads
        ],
        "bays": [
            {"id": bay.id, "direction": bay.axis, "start": bay.start, "ring": [spot(p) for p in ring]}
            for bay, ring in _rings(plan)
        ],
    }


def frame_layer(result: FloorResult) -> dict[str, Any]:
    """What the engine put into the floor: members with holes, bridging lines, blocks."""
    failing = {member for case in result.checks if not case.passes for member in case.members}
    frames = {layout.bay.id: layout.frame for layout in result.bays}
    return {
        "members": [
            _member(member, layout, fails=member.id in failing)
            for layout in result.bays
            for member in layout.members
        ],
        "bridging": [
            {
                "id": line.id,
                "runs": [
                    [
                        *spot(frames[line.bay].point(run.across_low_16, line.along_16)),
                        *spot(frames[line.bay].point(run.across_high_16, line.along_16)),
                    ]
                    for run in line.runs
                ],
            }
            for line in result.lines
        ],
        "blocks": [_block(thing, result.bays) for thing in result.placed if thing.item in _BLOCKS],
    }


def place_layer(result: FloorResult, code: str) -> list[dict[str, Any]]:
    """Where the things of one bill line are, each once; [] for a code that the bill does not hold.

    Bought stock that is cut up (sticks, sheets, tubes) lies where its pieces lie.
    """
    ids = [name for line in result.bill if line.code == code for term in line.terms for name in term.places]
    ends = {member.id: member.plan_ends(layout.frame) for layout in result.bays for member in layout.members}
    things = {thing.id: thing for thing in result.placed}
    found: dict[str, dict[str, Any]] = {}
    for name in dict.fromkeys(ids):
        if name in ends:
            found[name] = {"id": name, "at": spot(ends[name][0]), "to": spot(ends[name][1])}
            continue
        for part in _parts(things[name], things):
            to = None if part.to is None else spot(part.to)
            found.setdefault(part.id, {"id": part.id, "at": spot(part.at), "to": to})
    return list(found.values())


def _parts(thing: Placed, things: dict[str, Placed]) -> list[Placed]:
    cut = [things[host] for host in thing.host.split(",") if host in things]
    return cut if thing.item in (Item.RIM_STICK, Item.BACKING_SHEET) else [thing]


def _edges(plan: FloorPlan, *, turned: bool) -> list[dict[str, Any]]:
    last = len(plan.edges) - 1
    edges = [
        {
            "index": last - edge.index if turned else edge.index,
            "kind": edge.kind.value,
            "width": inches(edge.width_16),
        }
        for edge in plan.edges
    ]
    return edges[::-1] if turned else edges


def _rings(plan: FloorPlan) -> Iterator[tuple[Bay, tuple[Point, ...]]]:
    """Each bay with its ground in the floor; with its ring as drawn where the bays don't fit the floor."""
    try:
        rings = {region.bay: region.ring for region in regions_of(plan)}
    except FloorRefused:
        rings = {}
    for bay in plan.bays:
        yield bay, rings.get(bay.id, bay.ring or plan.outline)


def _member(member: Member, layout: BayLayout, *, fails: bool) -> dict[str, Any]:
    low, high = member.plan_ends(layout.frame)
    return {
        "id": member.id,
        "kind": member.kind.name.lower(),
        "mark": member.mark,
        "bay": member.bay,
        "plies": member.plies,
        "width": inches(member.width_16),
        "line": [*spot(low), *spot(high)],
        "holes": _holes(low, high, member.holes_16),
        "fails": fails,
    }


def _holes(low: Point, high: Point, from_end_16: Sequence[int]) -> list[Spot]:
    """Places on a member's centre line, measured from its printed (low) end."""
    if low.x_16 == high.x_16:
        x, way = inches(low.x_16), 1 if high.y_16 > low.y_16 else -1
        return [[x, inches(low.y_16 + way * place_16)] for place_16 in from_end_16]
    y, way = inches(low.y_16), 1 if high.x_16 > low.x_16 else -1
    return [[inches(low.x_16 + way * place_16), y] for place_16 in from_end_16]


def _block(thing: Placed, bays: Sequence[BayLayout]) -> list[Inches]:
    """A block as a line across the joist space that it stands in."""
    if thing.to is not None:
        return [*spot(thing.at), *spot(thing.to)]
    layout = next((bay for bay in bays if thing.host.startswith(f"{bay.bay.id}.")), bays[0])
    half_16 = round(layout.bay.spacing_16 * _BLOCK_SHARE)
    dx, dy = (half_16, 0) if layout.frame.axis == "y" else (0, half_16)
    at = thing.at
    return [*spot(Point(at.x_16 - dx, at.y_16 - dy)), *spot(Point(at.x_16 + dx, at.y_16 + dy))]
