"""What a joist line meets on its way: bearings outside and inside, and how pieces end there (R2, R4, R5)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import EdgeKind, Joint
from framing.engine.layout.ground import Ground, Line, Reach, Track, Wall
from framing.engine.lean import Lean, Number, half_up
from framing.engine.members import Crossing, EndKind, MemberEnd
from framing.engine.practice import Practice

_KINDS = {
    EdgeKind.PLATFORM: EndKind.PLATFORM,
    EdgeKind.BALLOON: EndKind.BALLOON,
    EdgeKind.FREE: EndKind.FREE,
    EdgeKind.PARALLEL: EndKind.PLATFORM,  # refused by floor_checks where joists end
}
Cut = tuple[Number, MemberEnd]


@dataclass(frozen=True, slots=True)
class Stop:
    """A bearing, a flush beam or a free rim met by a joist line.

    Attributes:
        host: `edge:3`, `support:W1` or a flush beam's member id.
        centre_16: the outline at an exterior stop, the centre of an interior one.
        before_16, behind_16: how far it reaches from there towards the low and the high end.
        end: how pieces that end here are made.
        track: the line that it stands on, to find it beside the station.
        through: whether one piece may pass (R5).
        row: number of the bearing line, None at the bay's sides.
    """

    host: str
    centre_16: Number
    before_16: int
    behind_16: int
    end: EndKind
    track: Track
    through: bool = False
    row: int | None = None

    @property
    def lean(self) -> Lean:
        """How far it stands askew to the joists."""
        return self.track.lean

    @property
    def low_face_16(self) -> int:
        return half_up(self.centre_16 - self.before_16)

    @property
    def high_face_16(self) -> int:
        return half_up(self.centre_16 + self.behind_16)

    def at(self, across_16: int) -> Stop:
        """The same stop on a line near by: what a joist off its station meets."""
        if not self.lean.rise_16:
            return self
        return replace(self, centre_16=self.track.along_16(across_16))

    def leaving(self, practice: Practice, width_16: int) -> Cut:
        """Low cut and low end of a piece of that width that goes up from here."""
        end = MemberEnd(self.end, self.host, self.high_face_16)
        if self.end is EndKind.FLUSH:
            return self.high_face_16 + practice.end_clearance_16, end
        return self.centre_16 + self._set_back(practice, width_16), end

    def arriving(self, practice: Practice, width_16: int) -> Cut:
        """High cut and high end of a piece of that width that comes up to here."""
        end = MemberEnd(self.end, self.host, self.low_face_16)
        if self.end is EndKind.FLUSH:
            return self.low_face_16 - practice.end_clearance_16, end
        return self.centre_16 - self._set_back(practice, width_16), end

    def crossing(self) -> Crossing:
        support = self.host.removeprefix("support:")
        return Crossing(support, half_up(self.centre_16), self.low_face_16, self.high_face_16)

    def holds(self, along_16: int) -> bool:
        """Whether a position lies within the bearing's width, faces included."""
        return self.low_face_16 <= along_16 <= self.high_face_16

    def _set_back(self, practice: Practice, width_16: int) -> Number:
        if self.end is EndKind.LAP:
            return -practice.lap_past_centre_16
        if self.end is EndKind.BUTT:
            return practice.butt_gap_16
        return self.lean.set_back_16(practice.rim_thickness_16, practice.end_clearance_16, width_16)


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

    def at(self, across_16: int) -> Bent:
        """The same span on a line near by."""
        return replace(self, low=self.low.at(across_16), high=self.high.at(across_16))


def find_bents(ground: Ground, across_16: int, reach: Reach, scan_16: int | None = None) -> tuple[Bent, ...]:
    """The spans of a joist line at `across_16` over `reach`, low to high.

    `scan_16` is the place that tells which bearings are met, where the line stands on the bay's far side.
    Raises FloorRefused where a joist would have no bearing under it.
    """
    scan = across_16 if scan_16 is None else scan_16
    stops = _resolve(ground, across_16, _stops(ground, across_16, reach, scan))
    below = _rows_below(ground, across_16, reach)
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


def with_overhang(bents: Sequence[Bent], run: Sequence[Bent]) -> list[Bent]:
    """A run of spans with the overhang beside it, which its pieces hold up; an overhang with the span behind it."""
    first, last = bents.index(run[0]), bents.index(run[-1])
    if bents[-1].high.end is EndKind.FREE and last >= len(bents) - 2:
        first, last = min(first, len(bents) - 2), len(bents) - 1
    if bents[0].low.end is EndKind.FREE and first <= 1:
        first, last = 0, max(last, 1)
        if bents[-1].high.end is EndKind.FREE and last == len(bents) - 2:
            last += 1
    return list(bents[first : last + 1])


def _stops(ground: Ground, across_16: int, reach: Reach, scan_16: int) -> list[Stop]:
    first = _side(ground, scan_16, reach.low_wall, reach.low_16, low=True)
    last = _side(ground, scan_16, reach.high_wall, reach.high_16, low=False)
    # A step of the outline over a bearing keeps its exterior wall (R2); a free edge has none.
    inside_low = reach.low_16 if first.end is EndKind.FREE else first.high_face_16
    inside_high = reach.high_16 if last.end is EndKind.FREE else last.low_face_16
    inner = []
    for line in ground.lines:
        if line.covers(scan_16):
            along = line.track.along_16(across_16)
            if (
                _inside_edge(inside_low, reach.low_wall, reach.low_16, 1)
                < along
                < _inside_edge(inside_high, reach.high_wall, reach.high_16, -1)
            ):
                inner.append(_interior(line, along))
    return [first, *sorted(inner, key=lambda stop: stop.centre_16), last]


def _inside_edge(face_16: Number, wall: Wall, at_16: Number, inward: int) -> Number:
    """Where a wall's own width ends; at a ledger, whose face is the ledger's, that is the drawn width all the same."""
    if wall.edge is None or wall.edge.kind is EdgeKind.FREE:
        return face_16
    return at_16 + inward * wall.track.lean.through_16(wall.edge.width_16)


def _interior(line: Line, along_16: Number) -> Stop:
    half, behind = line.half_16, line.half_16
    if line.flush:
        host, end = line.flush.id, EndKind.FLUSH
        half, behind = line.width_16 // 2, line.width_16 - line.width_16 // 2
    else:
        host, end = f"support:{line.id}", EndKind.BUTT if line.joint is Joint.BUTT else EndKind.LAP
    through = line.joint is Joint.THROUGH
    return Stop(host, along_16, half, behind, end, line.track, through, line.row)


def _side(ground: Ground, across_16: int, wall: Wall, at_16: Number, *, low: bool) -> Stop:
    """The stop at one side of the bay: an outside wall, a free rim, or the bearing under a border."""
    if wall.edge is None:
        return _border(ground, across_16, at_16)
    practice, lean = ground.practice, wall.track.lean
    end = _KINDS[wall.edge.kind]
    # At a ledger the support's face is the ledger's inside face, which counts as rim board (R2); so at a free rim.
    rim_only = end in (EndKind.BALLOON, EndKind.FREE)
    depth = lean.through_16(practice.rim_thickness_16 if rim_only else wall.edge.width_16)
    before, behind = (0, depth) if low else (depth, 0)
    return Stop(wall.host, at_16, before, behind, end, wall.track)


def _border(ground: Ground, across_16: int, at_16: Number) -> Stop:
    """Joists of two bays butt over the bearing under their border, or end at its flush beam."""
    for line in ground.bearings:
        if line.under(across_16) and line.holds(across_16, at_16):
            made = _interior(line, line.track.along_16(across_16))
            end = EndKind.FLUSH if line.flush else EndKind.BUTT
            return replace(made, end=end, through=False, row=None)
    at = ground.frame.point(across_16, half_up(at_16))
    words = f"Joists of bay {ground.bay.id} end at a border with nothing under it; draw a bearing there."
    raise FloorRefused((Problem(f"bays.{ground.number}", words, at.x_16, at.y_16),))


def _rows_below(ground: Ground, across_16: int, reach: Reach) -> list[int]:
    limit = reach.low_16 + reach.low_wall.track.lean.through_16(reach.low_wall.width_16)
    return [i for i, row in enumerate(ground.rows) if row[0].along_near_16(across_16) <= limit]


def _resolve(ground: Ground, across_16: int, stops: list[Stop]) -> list[Stop]:
    """A through bearing stays one only while the piece is within the longest; else pieces lap there (R5).

    The bearing next to a free rim is always passed in one piece: that is what holds the overhang up.
    """
    practice, width = ground.practice, 0
    held = _next_to_free(ground, across_16, stops)
    start, _ = stops[0].leaving(practice, width)
    resolved = stops[:1]
    for index, (stop, after) in enumerate(pairwise(stops[1:]), start=1):
        fits = after.arriving(practice, width)[0] - start <= practice.longest_piece_16
        keeps = index in held or (stop.through and fits)
        made = stop if stop.through is keeps else replace(stop, through=keeps)
        resolved.append(made)
        if not keeps:
            start, _ = made.leaving(practice, width)
    return [*resolved, stops[-1]]


def _next_to_free(ground: Ground, across_16: int, stops: list[Stop]) -> set[int]:
    """Stops that a piece with a free end passes over. Raises FloorRefused where it would not bear twice."""
    last = len(stops) - 1
    held = {1} if stops[0].end is EndKind.FREE else set()
    held |= {last - 1} if stops[-1].end is EndKind.FREE else set()
    free = sum(stop.end is EndKind.FREE for stop in (stops[0], stops[-1]))
    stands = all(0 < i < last and stops[i].end is not EndKind.FLUSH for i in held)
    if free and not (stands and len(stops) - free >= 2):
        at = ground.frame.point(across_16, half_up(stops[0].centre_16))
        words = (
            "A joist runs out to a free edge without two bearings behind it; draw a wall or beam under it, "
            "or say what stands under that edge."
        )
        raise FloorRefused((Problem("supports", words, at.x_16, at.y_16),))
    return held
