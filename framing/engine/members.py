"""Framing members: what layout makes, and what fit-out, sizing, bundling and drawing read.

A member is one built-up thing at one place (a 2-ply trimmer is one member); a piece is one C-section of it.
Positions are frame coordinates of the bay (`geometry.Frame`), in sixteenths.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from framing.engine.errors import Problem
from framing.engine.floor import Bay
from framing.engine.geometry import Frame, Point


class MemberKind(StrEnum):
    """The letter in a mark (R11)."""

    JOIST = "J"
    TRIMMER = "T"
    HEADER = "H"
    BEAM = "B"
    BLOCK = "K"


class EndKind(StrEnum):
    """What a member's end meets; decides clip, nails and cut length (R4, R5, R7, R20-R23)."""

    PLATFORM = "platform"  # exterior bearing under a wall: bearing clip to the rim, nails to the plate
    BALLOON = "balloon"  # ledger: clip angle, no plate
    LAP = "lap"  # interior bearing, runs 6 in past the centre beside its neighbour
    BUTT = "butt"  # interior bearing, stops 3/16 in short of the centre
    HEADER = "header"  # a tail at a header
    TRIMMER = "trimmer"  # a header at a trimmer
    FLUSH = "flush"  # a joist at a flush beam: clip angle, host is the beam's member id
    FREE = "free"  # the rim of an edge under which nothing stands: clip angle, no plate; no bearing


@dataclass(frozen=True, slots=True)
class MemberEnd:
    """One end of a member.

    Attributes:
        kind: what it meets.
        host: id of what it meets: `edge:3`, `support:W1` or a member id.
        face_16: coordinate (on the member's own axis) of the bearing's face towards the span, for clear spans;
            at a free edge the rim's inside face.
    """

    kind: EndKind
    host: str
    face_16: int


@dataclass(frozen=True, slots=True)
class Crossing:
    """An interior bearing that a through piece passes over: centre and faces on the member's axis."""

    support: str
    centre_16: int
    low_face_16: int
    high_face_16: int


@dataclass(frozen=True, slots=True)
class Member:
    """One member in place.

    Attributes:
        id: stable and unique on the floor, `<bay>.<kind><running number>`, as `A.J7`.
        kind, bay, profile, plies: what it is made of.
        mark: R11, set by the marks step; pieces of equal profile, length, holes and end preparation share it.
        runs: "along" for joists and trimmers, "across" for headers and flush beams.
        centre_16: middle of all plies on the other axis (across for joists, along for headers).
        width_16: plies x flange width.
        low_16, high_16: cut ends on its own axis; length_16 = high_16 - low_16. Low is the printed end (R9).
        low, high: what the ends meet.
        crossings: interior bearings passed over by a through piece (or a flush beam), low to high.
        line: 0 for the first line of joists from the low bearing, 1 for the second (lapped or butted floors), ...
        shifted: True where a lapped line stands one flange width off its station (R5).
        station: index k of its station (R3); None for members that stand on none.
        holes_16: centres of the service holes from the printed end (R10).
        omitted: (position_16 from the printed end, reason) of grid holes left out of this member.
        sequence: place in the floor's install order, from 1 (R12).
        why: the rule and the reason in words, as `R7 tail at opening Stair`.
    """

    id: str
    kind: MemberKind
    bay: str
    profile: str
    plies: int
    runs: Literal["along", "across"]
    centre_16: int
    width_16: int
    low_16: int
    high_16: int
    low: MemberEnd
    high: MemberEnd
    crossings: tuple[Crossing, ...] = ()
    line: int = 0
    shifted: bool = False
    station: int | None = None
    holes_16: tuple[int, ...] = ()
    omitted: tuple[tuple[int, str], ...] = ()
    mark: str = ""
    sequence: int = 0
    why: str = ""

    @property
    def length_16(self) -> int:
        return self.high_16 - self.low_16

    def plan_ends(self, frame: Frame) -> tuple[Point, Point]:
        """Plan positions of the centre line's low and high end."""
        if self.runs == "along":
            return frame.point(self.centre_16, self.low_16), frame.point(self.centre_16, self.high_16)
        return frame.point(self.low_16, self.centre_16), frame.point(self.high_16, self.centre_16)


@dataclass(frozen=True, slots=True)
class Piece:
    """One C-section to roll: ply `ply` of a member. `id` is `<member id>/<ply>`."""

    id: str
    member: str
    mark: str
    profile: str
    length_16: int
    sequence: int
    zone: str


@dataclass(frozen=True, slots=True)
class FramedOpening:
    """An opening with the members around it, in frame coordinates (clear opening).

    Header None: that edge lies on a bearing. Trimmer None: an outside wall leaves it no room, headers run to the wall.
    """

    opening: str
    across_low_16: int
    across_high_16: int
    along_low_16: int
    along_high_16: int
    trimmer_low: str | None
    trimmer_high: str | None
    header_low: str | None
    header_high: str | None


@dataclass(frozen=True, slots=True)
class Span:
    """One span of a bay between two bearings (R24): the largest clear span sets the bridging.

    Faces are along-coordinates of the supports' inside faces where the span is largest; `reach` lists the
    (across_low_16, across_high_16, low_face_16, high_face_16) strips of the span where its faces differ (an L).
    """

    index: int
    low_face_16: int
    high_face_16: int
    reach: tuple[tuple[int, int, int, int], ...]

    @property
    def clear_16(self) -> int:
        return self.high_face_16 - self.low_face_16


@dataclass(frozen=True, slots=True)
class BayLayout:
    """Everything that layout found for one bay."""

    bay: Bay
    frame: Frame
    profile: str
    members: tuple[Member, ...]
    openings: tuple[FramedOpening, ...]
    spans: tuple[Span, ...]
    hole_phase_16: int | None
    beams: tuple[tuple[str, str], ...] = ()  # flush beams of this bay: support id, member id
    left_out: tuple[Problem, ...] = ()  # pieces at skewed walls too short to set, in words with their place
