"""The floor that the engine designs: input dataclasses only, lengths in sixteenths (R1, R2, R7, R8, R13)."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from typing import Literal

from framing.engine.geometry import Axis, Point, Rect

Units = Literal["imperial", "metric"]
FARTHEST_16 = 1000 * 12 * 16
"""No place lies farther from the origin, and no floor is longer: beyond 1,000 ft units are mistaken."""


class EdgeKind(StrEnum):
    """What an outline edge does for the joists that end on it (R2); parallel ones carry no joist end.

    Under a free edge nothing stands: joists run out to it over their last bearing. Where joists run along an
    edge it is parallel whatever its kind (an edge of two bays can be both, in parts).
    """

    PLATFORM = "platform"
    BALLOON = "balloon"
    FREE = "free"
    PARALLEL = "parallel"


class SupportKind(StrEnum):
    """What bears inside. Joists stand on a wall or beam; at a flush beam they end, at the beam's own level."""

    WALL = "wall"
    BEAM = "beam"
    FLUSH_BEAM = "flush_beam"


class Joint(StrEnum):
    """How joists meet over an interior bearing (R5)."""

    LAP = "lap"
    BUTT = "butt"
    THROUGH = "through"


class OpeningKind(StrEnum):
    """Only a stair opening gets an inner rim (R28) and web backing (R29)."""

    STAIR = "stair"
    SHAFT = "shaft"


@dataclass(frozen=True, slots=True)
class Edge:
    """One outline edge, from outline corner `index` to the next. `width_16` is the wall's width under it."""

    index: int
    kind: EdgeKind
    width_16: int


@dataclass(frozen=True, slots=True)
class Support:
    """An interior bearing line; the segment is its centre line, `width_16` centred on it."""

    id: str
    kind: SupportKind
    start: Point
    end: Point
    width_16: int
    joint: Joint


@dataclass(frozen=True, slots=True)
class Opening:
    """A framed hole in the floor; `rect` is the clear opening."""

    id: str
    name: str
    kind: OpeningKind
    rect: Rect


@dataclass(frozen=True, slots=True)
class Partition:
    """A wall on the floor. A bearing one parallel to the joists gets a two-ply joist under it (R8)."""

    id: str
    start: Point
    end: Point
    bearing: bool
    load_plf: float


@dataclass(frozen=True, slots=True)
class StandingLoad:
    """A load that stands on one place of the floor, a post or a tub, say: dead and live part in lb."""

    id: str
    name: str
    at: Point
    dead_lb: float
    live_lb: float

    @property
    def label(self) -> str:
        """What it is called beside figures: its id, and its name where it has one."""
        return f"{self.id} {self.name}" if self.name else self.id


@dataclass(frozen=True, slots=True)
class DeadLayer:
    name: str
    load_psf: float


@dataclass(frozen=True, slots=True)
class LoadCase:
    """Uniform loads on a bay. `occupancy` names the row the live load came from."""

    occupancy: str
    live_psf: float
    layers: tuple[DeadLayer, ...]
    partition_psf: float = 0.0

    @property
    def dead_psf(self) -> float:
        return sum(layer.load_psf for layer in self.layers)


@dataclass(frozen=True, slots=True)
class Bay:
    """A region with one joist direction and spacing (R1, R3).

    Attributes:
        ring: the bay's own polygon; empty means the whole outline.
        axis: plan axis that joists run along.
        start: which side stations count from, the low or the high side of the other axis.
        spacing_16: exact spacing (19.2 in is no whole sixteenth); stations are rounded half up.
        offset_16: first station from the outline at the start edge.
        profile: designator fixed by the user, or None to let the engine choose.
        plies: plies of every joist and tail; 2 for double joists.
        load_case: the bay's own loads, None for the floor's.
    """

    id: str
    ring: tuple[Point, ...]
    axis: Axis
    start: Literal["low", "high"]
    spacing_16: Fraction
    offset_16: Fraction
    profile: str | None = None
    plies: int = 1
    load_case: LoadCase | None = None


@dataclass(frozen=True, slots=True)
class FloorPlan:
    """One floor. The outline is the far face of the board that clips are screwed to (R1).

    The outline is counter-clockwise and closed implicitly; `edges[i]` is the edge from corner i to i + 1.
    `plies` are those the user fixed, as (`<opening, partition or flush beam id>:<part>`, plies), such as
    ("O1:header_low", 3) or ("B1:beam", 3).
    """

    name: str
    level: str
    units: Units
    outline: tuple[Point, ...]
    edges: tuple[Edge, ...]
    bays: tuple[Bay, ...]
    load_case: LoadCase
    supports: tuple[Support, ...] = ()
    openings: tuple[Opening, ...] = ()
    partitions: tuple[Partition, ...] = ()
    repeat: int = field(default=1)
    plies: tuple[tuple[str, int], ...] = ()
    point_loads: tuple[StandingLoad, ...] = ()

    def load_on(self, bay: Bay) -> LoadCase:
        """The loads of one bay: its own, else the floor's (R1, R13)."""
        return bay.load_case or self.load_case
