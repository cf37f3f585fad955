"""The floor seen from one bay: walls and bearing lines in its frame, and the scan line across them (R1-R3).

Scan rule: half open, a station at `across` meets what lies just away from the start edge. All edges here run
along or across the joists (`floor_checks` refuses others).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from framing.engine.floor import Bay, Edge, FloorPlan, Joint, SupportKind
from framing.engine.geometry import Frame, Point
from framing.engine.practice import Practice

SAME_LINE_16 = 24 * 16
"""Bearings drawn within 24 in of each other, end to end, are meant as one bearing line."""


@dataclass(frozen=True, slots=True)
class Wall:
    """An outline edge in the frame; `closes` is True beside a floor that lies on its low-across side."""

    edge: Edge
    across_low_16: int
    across_high_16: int
    along_low_16: int
    along_high_16: int
    closes: bool = False

    @property
    def beside(self) -> bool:
        """True for an edge that runs along the joists."""
        return self.across_low_16 == self.across_high_16

    def overlaps(self, low_16: int, high_16: int) -> bool:
        """Whether the wall runs beside some of the stretch from low to high (touching is not enough)."""
        return self.along_low_16 < high_16 and low_16 < self.along_high_16


@dataclass(frozen=True, slots=True)
class Line:
    """An interior bearing across the joists: its along-position and the stretch it covers."""

    id: str
    kind: SupportKind
    joint: Joint
    along_16: int
    across_low_16: int
    across_high_16: int
    width_16: int
    row: int = 0


@dataclass(frozen=True, slots=True)
class Reach:
    """One stretch of floor under a station, from outline to outline."""

    low_16: int
    high_16: int
    low_wall: Wall
    high_wall: Wall

    def overlaps(self, other: Reach) -> bool:
        return self.low_16 < other.high_16 and other.low_16 < self.high_16


@dataclass(frozen=True, slots=True)
class Ground:
    """One bay's walls and lines in its frame; each of `rows` is the lines that form one bearing line."""

    bay: Bay
    frame: Frame
    walls: tuple[Wall, ...]
    lines: tuple[Line, ...]
    rows: tuple[tuple[Line, ...], ...]
    practice: Practice

    @property
    def across_high_16(self) -> int:
        return max(wall.across_high_16 for wall in self.walls)

    def reaches(self, across_16: int) -> tuple[Reach, ...]:
        """Stretches of floor that a station at `across_16` meets, low to high."""
        met = sorted(
            (wall for wall in self.walls if wall.across_low_16 <= across_16 < wall.across_high_16),
            key=lambda wall: wall.along_low_16,
        )
        pairs = zip(met[::2], met[1::2], strict=True)
        return tuple(Reach(a.along_low_16, b.along_low_16, a, b) for a, b in pairs)


def survey(plan: FloorPlan, bay: Bay, practice: Practice) -> Ground:
    """The ground of `bay` in a floor that `check_floor` let pass."""
    ring = bay.ring or plan.outline
    others = [p.x_16 if bay.axis == "y" else p.y_16 for p in ring]
    reverse = bay.start == "high"
    frame = Frame(bay.axis, max(others) if reverse else min(others), reverse)
    walls = tuple(
        _wall(frame, edge, a, b)
        for edge, a, b in zip(plan.edges, plan.outline, plan.outline[1:] + plan.outline[:1], strict=True)
    )
    lines = sorted(_lines(plan, frame, walls), key=lambda line: (line.along_16, line.across_low_16, line.id))
    rows = _rows(lines)
    numbered = tuple(replace(line, row=i) for i, row in enumerate(rows) for line in row)
    ground = Ground(bay, frame, walls, numbered, rows, practice)
    return replace(ground, walls=tuple(replace(wall, closes=_closes(ground, wall)) for wall in walls))


def _closes(ground: Ground, wall: Wall) -> bool:
    middle = (wall.along_low_16 + wall.along_high_16) / 2
    before = ground.reaches(wall.across_low_16 - 1)
    return wall.beside and any(reach.low_16 < middle < reach.high_16 for reach in before)


def _wall(frame: Frame, edge: Edge, a: Point, b: Point) -> Wall:
    across = sorted((frame.across_16(a), frame.across_16(b)))
    along = sorted((frame.along_16(a), frame.along_16(b)))
    return Wall(edge, across[0], across[1], along[0], along[1])


def _lines(plan: FloorPlan, frame: Frame, walls: tuple[Wall, ...]) -> list[Line]:
    lines = []
    for support in plan.supports:
        along_16 = frame.along_16(support.start)
        if along_16 != frame.along_16(support.end):
            continue  # runs with the joists and carries none; floor_checks warns
        across = sorted((frame.across_16(support.start), frame.across_16(support.end)))
        low, high = _stretched(across[0], across[1], along_16, walls)
        lines.append(Line(support.id, support.kind, support.joint, along_16, low, high, support.width_16))
    return lines


def _stretched(low_16: int, high_16: int, along_16: int, walls: tuple[Wall, ...]) -> tuple[int, int]:
    """A bearing drawn to a wall's inside carries on over that wall to the outline."""
    for wall in walls:
        if wall.beside and wall.along_low_16 <= along_16 <= wall.along_high_16:
            at_16, width_16 = wall.across_low_16, wall.edge.width_16
            if 0 < low_16 - at_16 <= width_16:
                low_16 = at_16
            if 0 < at_16 - high_16 <= width_16:
                high_16 = at_16
    return low_16, high_16


def _rows(lines: list[Line]) -> tuple[tuple[Line, ...], ...]:
    rows: list[list[Line]] = []
    for line in lines:
        for row in rows:
            near = all(abs(line.along_16 - other.along_16) <= SAME_LINE_16 for other in row)
            apart = all(
                line.across_low_16 >= other.across_high_16 or other.across_low_16 >= line.across_high_16
                for other in row
            )
            if near and apart:
                row.append(line)
                break
        else:
            rows.append([line])
    return tuple(tuple(row) for row in rows)
