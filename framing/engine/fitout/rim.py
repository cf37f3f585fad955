"""Rim board: pieces of every outline edge and of stair openings, and the sticks they are cut from (R28).

An edge has one board, drawn once however many bays lie on it: bearing for one bay, parallel for another. How it
meets its neighbour at a corner is told by the bay that lies in that corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import floor, sqrt
from typing import NamedTuple

from framing.engine.fitout.bridging import trimmers_of
from framing.engine.fitout.cutting import cut_from
from framing.engine.fitout.intervals import root_up
from framing.engine.fitout.scene import Scene
from framing.engine.fitout.shape import Corner, FrameSide, shape_of
from framing.engine.floor import EdgeKind, FloorPlan
from framing.engine.geometry import Frame, Point
from framing.engine.members import FramedOpening
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice
from framing.engine.regions import Region, Side

FOOT_16 = 192
_WHY_MIXED = "edges in part bearing, in part parallel"
_WHY = {
    EdgeKind.PLATFORM: "bearing edges",
    EdgeKind.BALLOON: "bearing edges",
    EdgeKind.FREE: "free edges",
    EdgeKind.PARALLEL: "bearing edges",  # typed so, but joists of a bay end on it
}


@dataclass(frozen=True, slots=True)
class Board:
    """One board in place before it is split into sticks.

    Attributes:
        id, host, why: as its pieces carry them.
        start: the edge's first end in the frame (across, along), on the board's centre line.
        step: direction along the board, a unit vector.
        low_16, high_16: where the board begins and ends, from `start`.
    """

    id: str
    host: str
    why: str
    start: tuple[float, float]
    step: tuple[float, float]
    low_16: int
    high_16: int

    def point(self, frame: Frame, position_16: int) -> Point:
        """Plan position on its centre line, to the nearest sixteenth."""
        across, along = (a + position_16 * b for a, b in zip(self.start, self.step, strict=True))
        return frame.point(floor(across + 0.5), floor(along + 0.5))


def rim_boards(plan: FloorPlan, scenes: Sequence[Scene], practice: Practice) -> Iterator[Placed]:
    """Rim pieces of a floor, then the sticks bought for them. Bays of one floor share sticks."""
    pieces: list[Placed] = []
    for board in _outer(plan, scenes[0], practice):
        pieces.extend(_pieces(board, scenes[0].frame, practice))
    for scene in scenes:
        for opening in scene.stair_openings():
            for board in _inner(scene, opening):
                pieces.extend(_pieces(board, scene.frame, practice))
    yield from pieces
    stocks = [feet * FOOT_16 for feet in practice.rim_sticks_ft]
    cut = cut_from([piece.quantity for piece in pieces], stocks)
    why = "shared by exact cutting" if cut.exact else "shared first-fit: too many pieces for an exact plan"
    for number, stick in enumerate(cut.sticks):
        first = pieces[stick.pieces[0]]
        size = str(stick.stock_16 // FOOT_16)
        hosts = ",".join(pieces[i].id for i in stick.pieces)
        yield Placed(
            f"stick:{number}", Item.RIM_STICK, size, 1, "piece", first.at, "R28", why, hosts, to=first.to
        )


def longer_by_16(corner: Corner, parallel: bool, other_parallel: bool, practice: Practice) -> int:
    """How far a board runs on at a corner; less than 0 where it stops short.

    Args:
        corner: the outline's turn there.
        parallel: whether joists run beside this edge at the corner, else they end on it.
        other_parallel: the same for the edge that it meets. Two alike are mitred on site.
    """
    if parallel == other_parallel or corner == "straight":
        return 0
    if parallel:
        return -practice.rim_thickness_16 if corner == "outside" else 0
    return practice.rim_thickness_16 if corner == "re-entrant" else 0


def _outer(plan: FloorPlan, scene: Scene, practice: Practice) -> Iterator[Board]:
    """Boards of all outline edges, each from its low end in the first bay's frame."""
    kinds = _parallel_ends(plan, scene.regions)
    sides = _drawn(plan, scene)
    count = len(sides)
    for index, side in enumerate(sides):
        own = kinds[index]
        turns = [(own.first, kinds[index - 1].last), (own.last, kinds[(index + 1) % count].first)]
        if not _forward(side):
            turns.reverse()
        low, high = (
            longer_by_16(corner, *turn, practice) for corner, turn in zip(side.corners, turns, strict=True)
        )
        why = "parallel edges" if own.first else _WHY[plan.edges[index].kind]
        why = _WHY_MIXED if own.mixed else why
        yield _edge_board(side, why, low, high, practice)


def _drawn(plan: FloorPlan, scene: Scene) -> tuple[FrameSide, ...]:
    """The outline's edges in order, in the first bay's frame; a bay that fills it has them as its sides."""
    if len(plan.bays) == 1 and not plan.bays[0].ring:
        return scene.shape.sides
    corners = (*plan.outline[1:], plan.outline[0])
    drawn = [Side(a, b, edge, (a, b)) for edge, a, b in zip(plan.edges, plan.outline, corners, strict=True)]
    return shape_of(drawn, scene.frame).sides


def _forward(side: FrameSide) -> bool:
    """Whether the drawn edge goes from its low end to its high end."""
    return side.line[2:] > (0, 0)


class _Beside(NamedTuple):
    """Whether joists run beside an edge at its start and at its end, and whether they do so in part only."""

    first: bool
    last: bool
    mixed: bool


def _parallel_ends(plan: FloorPlan, regions: Sequence[Region]) -> list[_Beside]:
    """Of each edge how joists meet it. One too short for any bay's side, under the rounding, is as it was drawn."""
    axes = {bay.id: bay.axis for bay in plan.bays}
    parts: dict[int, list[tuple[Side, bool]]] = {}
    for region in regions:
        for side in region.sides:
            if side.edge is not None:
                parts.setdefault(side.edge.index, []).append((side, side.beside(axes[region.bay])))
    corners = (*plan.outline[1:], plan.outline[0])
    ends = []
    for edge, start, end in zip(plan.edges, plan.outline, corners, strict=True):
        found = parts.get(edge.index)
        if found is None:
            drawn = edge.kind is EdgeKind.PARALLEL
            ends.append(_Beside(drawn, drawn, mixed=False))
            continue
        first = min(found, key=lambda part: _apart(part[0].start, start))[1]
        last = min(found, key=lambda part: _apart(part[0].end, end))[1]
        ends.append(_Beside(first, last, len({beside for _, beside in found}) > 1))
    return ends


def _apart(a: Point, b: Point) -> int:
    return abs(a.x_16 - b.x_16) + abs(a.y_16 - b.y_16)


def _edge_board(side: FrameSide, why: str, low: int, high: int, practice: Practice) -> Board:
    """The board of one edge, its corners' `low` and `high` added; a skewed edge's length rounds up."""
    step_across, step_along = side.line[2:]
    square = step_across**2 + step_along**2
    length, exact = root_up(square), sqrt(square)
    sign = 1 if _forward(side) else -1
    start = side.line[:2] if sign > 0 else (side.line[0] + step_across, side.line[1] + step_along)
    half = practice.rim_thickness_16 // 2
    across, along = sign * step_across / exact, sign * step_along / exact
    inward = abs(along) * side.inward_across * half, abs(across) * side.inward_along * half
    centre = start[0] + inward[0], start[1] + inward[1]
    return Board(side.id, side.id, why, centre, (across, along), -low, length + high)


def _inner(scene: Scene, opening: FramedOpening) -> Iterator[Board]:
    """Two boards along the trimmers and two between them; none along a wall that stands for a trimmer."""
    rim = scene.practice.opening_stand_off_16
    half = scene.practice.rim_thickness_16 // 2
    a_low, a_high = opening.across_low_16, opening.across_high_16
    l_low, l_high = opening.along_low_16, opening.along_high_16
    host = f"opening:{opening.opening}"
    places = ("low", a_low - half), ("high", a_high + half)
    for trimmer, (name, beside) in zip(trimmers_of(scene, opening), places, strict=True):
        if trimmer is not None:
            why = "stair openings, along trimmers"
            yield Board(f"{host}:along:{name}", host, why, (beside, 0), (0, 1), l_low - rim, l_high + rim)
    for name, beside in (("low", l_low - half), ("high", l_high + half)):
        why = "stair openings, across the ends"
        yield Board(f"{host}:across:{name}", host, why, (0, beside), (1, 0), a_low, a_high)


def split_lengths_16(length_16: int, practice: Practice) -> tuple[int, ...]:
    """A board as whole sticks of the longest stock and one rest that is never too short.

    None where the board would have no length: at a step under its own thickness its neighbours meet.
    """
    if length_16 <= 0:
        return ()
    longest = max(practice.rim_sticks_ft) * FOOT_16
    whole, rest = divmod(length_16, longest)
    if whole == 0 or rest == 0:
        return (longest,) * whole if whole else (length_16,)
    least = practice.rim_rest_least_16
    if rest >= least:
        return (longest,) * whole + (rest,)
    return (longest,) * (whole - 1) + (longest - (least - rest), least)


def _pieces(board: Board, frame: Frame, practice: Practice) -> Iterator[Placed]:
    position = board.low_16
    at = board.point(frame, position)
    for number, length in enumerate(split_lengths_16(board.high_16 - board.low_16, practice)):
        position += length
        to = board.point(frame, position)
        piece_id = f"rim:{board.id}:{number}"
        yield Placed(
            piece_id, Item.RIM_BOARD, "", length, "length_16", at, "R28", board.why, board.host, to=to
        )
        at = to
