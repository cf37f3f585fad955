"""Outline edges: what joists end on bears, what they run along is parallel, behind a free one a bearing stands (R2)."""

from __future__ import annotations

from collections.abc import Iterator

from framing.engine.errors import Problem
from framing.engine.floor import Bay, Edge, EdgeKind, SupportKind
from framing.engine.floor_checks.lines import Line
from framing.engine.floor_checks.site import Site, beside, line_of
from framing.engine.geometry import Axis, Point


def edge_problems(site: Site) -> Iterator[Problem]:
    """Kinds that contradict the joists, walls too narrow to stand on, free edges with nothing behind them."""
    parts: dict[int, list[tuple[Bay, Line]]] = {}
    for bay, region in site.pairs:
        for side in region.sides:
            if side.edge is not None:
                parts.setdefault(side.edge.index, []).append((bay, (side.start, side.end)))
    for edge, line in zip(site.plan.edges, site.sides, strict=True):
        ends = [(bay, part) for bay, part in parts.get(edge.index, []) if not beside(line, bay.axis)]
        words = _words(site, edge, ends)
        if words:
            where = f"The edge from {site.where(line[0])} to {site.where(line[1])}"
            yield site.problem(f"edges.{edge.index}", f"{where} {words}", line[0])


def _words(site: Site, edge: Edge, ends: list[tuple[Bay, Line]]) -> str:
    """What is wrong with an edge on parts of which joists of some bays end; "" where nothing is."""
    kind = edge.kind
    if ends and kind is EdgeKind.PARALLEL:
        return "has joists with no bearing; make it platform, balloon or free, or turn the joists."
    # With several bays platform is only the kind that none was given for.
    if not ends and kind is not EdgeKind.PARALLEL and (kind is not EdgeKind.PLATFORM or _one_bay(site)):
        return "runs along the joists, so none end on it; make it parallel or turn the joists."
    if kind is EdgeKind.FREE:
        bare = next((bay for bay, part in ends if not _bearing_behind(site, bay, part)), None)
        if bare is not None:
            return (
                f"is free, but the joists of bay {bare.id} cross no wall or beam behind it; draw one that they "
                "run over, or make the edge platform or balloon."
            )
        return ""
    least_16 = site.practice.rim_thickness_16 + site.practice.end_clearance_16
    if edge.width_16 <= least_16 and kind is not EdgeKind.BALLOON:
        width, least = site.length(edge.width_16), site.length(least_16)
        return f"has a wall {width} wide; it must be over {least}, where the joist ends."
    return ""


def _one_bay(site: Site) -> bool:
    return len(site.plan.bays) == 1


def _bearing_behind(site: Site, bay: Bay, part: Line) -> bool:
    """Whether some wall or beam that joists run over stands across the joists that end on this part of an edge."""
    low, high = sorted(_across(point, bay.axis) for point in part)
    for support in site.plan.supports:
        ends = sorted(_across(point, bay.axis) for point in line_of(support))
        passes = support.kind is not SupportKind.FLUSH_BEAM and not beside(line_of(support), bay.axis)
        if passes and ends[0] < high and low < ends[1]:
            return True
    return False


def _across(point: Point, axis: Axis) -> int:
    return point.x_16 if axis == "y" else point.y_16
