"""What a joist line meets on its way: bearings outside and inside, and how pieces end there (R2, R4, R5)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from framing.engine.floor import EdgeKind, Joint
from framing.engine.layout.ground import Ground, Reach, Wall
from framing.engine.members import Crossing, EndKind, MemberEnd
from framing.engine.practice import Practice


@dataclass(frozen=True, slots=True)
class Stop:
    """A bearing met by a joist line.

    Attributes:
        host: `edge:3` or `support:W1`.
        centre_16: the outline at an exterior bearing, the centre of an interior one.
        low_face_16, high_face_16: its faces; at an exterior bearing one of them is the outline.
        end: how pieces that end here are made.
        through: whether one piece may pass (R5).
        row: number of the bearing line, None at the outline.
    """

    host: str
    centre_16: int
    low_face_16: int
    high_face_16: int
    end: EndKind
    through: bool = False
    row: int | None = None

    def leaving(self, practice: Practice) -> tuple[int, MemberEnd]:
        """Low cut and low end of a piece that goes up from here."""
        return self.centre_16 + self._set_back(practice), MemberEnd(self.end, self.host, self.high_face_16)

    def arriving(self, practice: Practice) -> tuple[int, MemberEnd]:
        """High cut and high end of a piece that comes up to here."""
        return self.centre_16 - self._set_back(practice), MemberEnd(self.end, self.host, self.low_face_16)

    def crossing(self) -> Crossing:
        support = self.host.removeprefix("support:")
        return Crossing(support, self.centre_16, self.low_face_16, self.high_face_16)

    def holds(self, along_16: int) -> bool:
        """Whether a position lies within the bearing's width, faces included."""
        return self.low_face_16 <= along_16 <= self.high_face_16

    def _set_back(self, practice: Practice) -> int:
        if self.end is EndKind.LAP:
            return -practice.lap_past_centre_16
        if self.end is EndKind.BUTT:
            return practice.butt_gap_16
        return practice.rim_thickness_16 + practice.end_clearance_16


@dataclass(frozen=True, slots=True)
class Bent:
    """One span of a joist line between neighbouring stops.

    `line` counts the joints below it over the whole bay, `shifted` whether the laps below are odd (R5); `row`
    counts all bearing lines below it (R24's span).
    """

    low: Stop
    high: Stop
    line: int
    shifted: bool
    row: int

    def holds(self, along_16: int) -> bool:
        return self.low.centre_16 <= along_16 < self.high.centre_16


def find_bents(ground: Ground, across_16: int, reach: Reach) -> tuple[Bent, ...]:
    """The spans of a joist line at `across_16` over `reach`, low to high."""
    stops = _resolve(ground, _stops(ground, across_16, reach))
    below = _rows_below(ground, reach)
    line = sum(1 for row in below if ground.rows[row][0].joint is not Joint.THROUGH)
    laps = sum(1 for row in below if ground.rows[row][0].joint is Joint.LAP)
    count = len(below)
    bents = []
    for low, high in pairwise(stops):
        if low.row is not None:
            count += 1
            line += 0 if low.through else 1
            laps += 1 if low.end is EndKind.LAP and not low.through else 0
        bents.append(Bent(low, high, line, laps % 2 == 1, count))
    return tuple(bents)


def find_chains(bents: Sequence[Bent]) -> list[list[Bent]]:
    """Spans grouped by the pieces that cover them: neighbours joined over a through bearing."""
    chains: list[list[Bent]] = []
    for bent in bents:
        if chains and bent.low.through and chains[-1][-1].high.host == bent.low.host:
            chains[-1].append(bent)
        else:
            chains.append([bent])
    return chains


def _stops(ground: Ground, across_16: int, reach: Reach) -> list[Stop]:
    low_wall, high_wall = reach.low_wall, reach.high_wall
    stops = [_exterior(low_wall, reach.low_16, True, ground.practice)]
    for line in ground.lines:
        covers = line.across_low_16 <= across_16 < line.across_high_16
        # A step of the outline over a bearing keeps its exterior wall (R2).
        inside = (
            reach.low_16 + low_wall.edge.width_16 < line.along_16 < reach.high_16 - high_wall.edge.width_16
        )
        if covers and inside:
            half = line.width_16 // 2
            end = EndKind.BUTT if line.joint is Joint.BUTT else EndKind.LAP
            low_face, high_face = line.along_16 - half, line.along_16 + half
            through = line.joint is Joint.THROUGH
            stops.append(
                Stop(f"support:{line.id}", line.along_16, low_face, high_face, end, through, line.row)
            )
    stops.append(_exterior(high_wall, reach.high_16, False, ground.practice))
    return stops


def _exterior(wall: Wall, at_16: int, low: bool, practice: Practice) -> Stop:
    balloon = wall.edge.kind is EdgeKind.BALLOON
    # At a ledger the support's face is the ledger's inside face, and the ledger counts as rim board (R2).
    depth = practice.rim_thickness_16 if balloon else wall.edge.width_16
    end = EndKind.BALLOON if balloon else EndKind.PLATFORM
    host = f"edge:{wall.edge.index}"
    return (
        Stop(host, at_16, at_16, at_16 + depth, end) if low else Stop(host, at_16, at_16 - depth, at_16, end)
    )


def _rows_below(ground: Ground, reach: Reach) -> list[int]:
    limit = reach.low_16 + reach.low_wall.edge.width_16
    return [index for index, row in enumerate(ground.rows) if row[0].along_16 <= limit]


def _resolve(ground: Ground, stops: list[Stop]) -> list[Stop]:
    """A through bearing stays one only while the piece is within the longest; else pieces lap there (R5)."""
    practice = ground.practice
    start, _ = stops[0].leaving(practice)
    resolved = stops[:1]
    for stop, after in pairwise(stops[1:]):
        keeps = stop.through and after.arriving(practice)[0] - start <= practice.longest_piece_16
        made = replace(stop, through=keeps)
        resolved.append(made)
        if not keeps:
            start, _ = made.leaving(practice)
    return [*resolved, stops[-1]]
