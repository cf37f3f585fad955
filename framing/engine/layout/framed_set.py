"""An opening framed, and what of it other openings in its span hang on (R7)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from framing.engine.floor import Opening
from framing.engine.layout.stops import Bent
from framing.engine.members import FramedOpening, Member, MemberKind

Side = Literal["same", "inside"]


@dataclass(frozen=True, slots=True)
class FramedSet:
    """An opening framed: its place in the bay's frame, its span and its members under provisional ids.

    `across_16` are the far faces of the two trimmers; the outline where an outside wall stands in a trimmer's place.
    Trimmers that it shares with a wider opening in line are that one's members.
    """

    opening: Opening
    framed: FramedOpening
    bent: Bent
    members: tuple[Member, ...]
    across_16: tuple[int, int]

    def member(self, ident: str | None) -> Member | None:
        return next((member for member in self.members if member.id == ident), None)

    @property
    def middle_16(self) -> int:
        return (self.framed.along_low_16 + self.framed.along_high_16) // 2

    @property
    def trimmers(self) -> tuple[Member, ...]:
        return tuple(member for member in self.members if member.kind is MemberKind.TRIMMER)

    @property
    def place_16(self) -> int:
        """The centre of the first trimmer, or the wall in its place: the opening's turn in the install order."""
        first = self.member(self.framed.trimmer_low)
        return first.centre_16 if first else self.across_16[0]

    def between(self, centre_16: int, stand_off_16: int) -> bool:
        """Whether a joist line runs between the trimmers, or between a trimmer and the wall in the other's place."""
        low = self.framed.across_low_16 - stand_off_16 if self.framed.trimmer_low else self.across_16[0]
        high = self.framed.across_high_16 + stand_off_16 if self.framed.trimmer_high else self.across_16[1]
        return low < centre_16 < high

    def side(self, edge_16: int, sign: int, stand_off_16: int, width_16: int) -> Side | None:
        """How the side of an opening in line with this one lies to this one's.

        "same" where the edges are in line, so that they share a trimmer; "inside" where a trimmer of that width stands
        between this one's trimmers; None where it would stand in the way of one. `sign` is -1 for the low side.
        """
        own = self.framed.across_low_16 if sign < 0 else self.framed.across_high_16
        if edge_16 == own:
            return "same"
        far, near = edge_16 + sign * (stand_off_16 + width_16), own + sign * stand_off_16
        return "inside" if (near - far) * sign >= 0 else None

    def trimmer(self, sign: int) -> Member | None:
        """The trimmer on one side, -1 for the low one, where it is this opening's own."""
        return self.member(self.framed.trimmer_low if sign < 0 else self.framed.trimmer_high)

    def facing(self, along_16: tuple[int, int]) -> tuple[Member | None, int]:
        """The header that faces an opening in line, and where it stands: -1 below that, 1 above, 0 beside."""
        if self.framed.along_high_16 <= along_16[0]:
            return self.member(self.framed.header_high), -1
        if along_16[1] <= self.framed.along_low_16:
            return self.member(self.framed.header_low), 1
        return None, 0
