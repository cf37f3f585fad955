"""Rim board: pieces of every edge and of stair openings, and the sticks they are cut from (R28)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from framing.engine.fitout.cutting import cut_from
from framing.engine.fitout.scene import Scene
from framing.engine.fitout.shape import FrameEdge
from framing.engine.geometry import Frame, Point
from framing.engine.members import FramedOpening
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice

FOOT_16 = 192


@dataclass(frozen=True, slots=True)
class Board:
    """One board in place before it is split into sticks: its centre line on the plan, low end first."""

    id: str
    host: str
    why: str
    runs_along: bool
    beside_16: int
    low_16: int
    high_16: int

    def point(self, frame: Frame, position_16: int) -> Point:
        if self.runs_along:
            return frame.point(self.beside_16, position_16)
        return frame.point(position_16, self.beside_16)


def rim_boards(scenes: Sequence[Scene], practice: Practice) -> Iterator[Placed]:
    """Rim pieces of a floor, then the sticks bought for them. Bays of one floor share sticks."""
    pieces: list[Placed] = []
    for index, scene in enumerate(scenes):
        boards = [*_outer(scene)] if index == 0 else []
        boards += [board for opening in scene.stair_openings() for board in _inner(scene, opening)]
        for board in boards:
            pieces.extend(_pieces(scene, board))
    yield from pieces
    stocks = [feet * FOOT_16 for feet in practice.rim_sticks_ft]
    plan = cut_from([piece.quantity for piece in pieces], stocks)
    why = "shared by exact cutting" if plan.exact else "shared first-fit: too many pieces for an exact plan"
    for number, stick in enumerate(plan.sticks):
        first = pieces[stick.pieces[0]]
        size = str(stick.stock_16 // FOOT_16)
        hosts = ",".join(pieces[i].id for i in stick.pieces)
        yield Placed(
            f"stick:{number}", Item.RIM_STICK, size, 1, "piece", first.at, "R28", why, hosts, to=first.to
        )


def outer_length_16(edge: FrameEdge, practice: Practice) -> tuple[int, int]:
    """Where an edge's board begins and ends on the edge's axis, by the corner rules."""
    thickness = practice.rim_thickness_16
    if edge.runs == "across":
        low, high = (thickness if corner == "re-entrant" else 0 for corner in edge.corners)
    else:
        low, high = (-thickness if corner == "outside" else 0 for corner in edge.corners)
    return edge.low_16 - low, edge.high_16 + high


def _outer(scene: Scene) -> Iterator[Board]:
    half = scene.practice.rim_thickness_16 // 2
    for edge in scene.shape.edges:
        low, high = outer_length_16(edge, scene.practice)
        why = "parallel edges" if edge.runs == "along" else "bearing edges"
        beside = edge.at_16 + edge.inward * half
        yield Board(edge.id, edge.id, why, edge.runs == "along", beside, low, high)


def _inner(scene: Scene, opening: FramedOpening) -> Iterator[Board]:
    rim = scene.practice.opening_stand_off_16
    half = scene.practice.rim_thickness_16 // 2
    a_low, a_high = opening.across_low_16, opening.across_high_16
    l_low, l_high = opening.along_low_16, opening.along_high_16
    host = f"opening:{opening.opening}"
    for name, beside in (("low", a_low - half), ("high", a_high + half)):
        why = "stair openings, along trimmers"
        yield Board(f"{host}:along:{name}", host, why, True, beside, l_low - rim, l_high + rim)
    for name, beside in (("low", l_low - half), ("high", l_high + half)):
        why = "stair openings, across the ends"
        yield Board(f"{host}:across:{name}", host, why, False, beside, a_low, a_high)


def split_lengths_16(length_16: int, practice: Practice) -> tuple[int, ...]:
    """A board as whole sticks of the longest stock and one rest that is never too short."""
    longest = max(practice.rim_sticks_ft) * FOOT_16
    whole, rest = divmod(length_16, longest)
    if whole == 0 or rest == 0:
        return (longest,) * whole if whole else (length_16,)
    least = practice.rim_rest_least_16
    if rest >= least:
        return (longest,) * whole + (rest,)
    return (longest,) * (whole - 1) + (longest - (least - rest), least)


def _pieces(scene: Scene, board: Board) -> Iterator[Placed]:
    position = board.low_16
    for number, length in enumerate(split_lengths_16(board.high_16 - board.low_16, scene.practice)):
        at = board.point(scene.layout.frame, position)
        position += length
        to = board.point(scene.layout.frame, position)
        yield Placed(
            f"rim:{board.id}:{number}",
            Item.RIM_BOARD,
            "",
            length,
            "length_16",
            at,
            "R28",
            board.why,
            board.host,
            to=to,
        )
