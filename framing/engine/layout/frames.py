"""Openings: trimmers both sides, headers across the ends, and where each stands (R7)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from framing.engine.catalogue import JoistProfile
from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import FloorPlan, Opening
from framing.engine.layout.ground import Ground
from framing.engine.layout.stops import Bent, find_bents
from framing.engine.members import EndKind, FramedOpening, Member, MemberEnd, MemberKind

TRIMMER_LOW, TRIMMER_HIGH, HEADER_LOW, HEADER_HIGH = (
    "trimmer_low",
    "trimmer_high",
    "header_low",
    "header_high",
)


@dataclass(frozen=True, slots=True)
class FramedSet:
    """An opening framed: its place in the bay's frame, its span and its members under provisional ids."""

    opening: Opening
    framed: FramedOpening
    bent: Bent
    members: tuple[Member, ...]

    def member(self, ident: str | None) -> Member | None:
        return next((member for member in self.members if member.id == ident), None)

    @property
    def middle_16(self) -> int:
        return (self.framed.along_low_16 + self.framed.along_high_16) // 2

    @property
    def trimmers(self) -> tuple[Member, Member]:
        return self.members[0], self.members[1]

    @property
    def across_16(self) -> tuple[int, int]:
        """Far faces of the two trimmers."""
        low, high = self.trimmers
        return low.centre_16 - low.width_16 // 2, high.centre_16 + high.width_16 // 2

    def between(self, centre_16: int, stand_off_16: int) -> bool:
        """Whether a joist line runs between the trimmers."""
        low, high = self.framed.across_low_16 - stand_off_16, self.framed.across_high_16 + stand_off_16
        return low < centre_16 < high


def frame_openings(
    plan: FloorPlan, ground: Ground, profile: JoistProfile, plies: Mapping[str, int]
) -> tuple[FramedSet, ...]:
    """All openings of the bay. `plies` by `<opening id>:<part>`; others take the default of R7.

    Raises FloorRefused where an opening can't be framed within one span.
    """
    maker = _Maker(ground, profile, plies)
    frames = []
    for index, opening in enumerate(plan.openings):
        frames.append(maker.frame(opening, f"openings.{index}"))
    _refuse_crossed(frames, plan)
    return tuple(frames)


class _Maker:
    def __init__(self, ground: Ground, profile: JoistProfile, plies: Mapping[str, int]) -> None:
        self.ground = ground
        self.profile = profile
        self.plies = plies
        self.stand_off = ground.practice.opening_stand_off_16

    def frame(self, opening: Opening, place: str) -> FramedSet:
        frame = self.ground.frame
        across = sorted((frame.across_16(opening.rect.low), frame.across_16(opening.rect.high)))
        along = sorted((frame.along_16(opening.rect.low), frame.along_16(opening.rect.high)))
        bent = self._bent(across[0], along, opening, place)
        low_face, high_face = across[0] - self.stand_off, across[1] + self.stand_off
        trimmer_low = self._trimmer(opening, TRIMMER_LOW, low_face, along, place)
        trimmer_high = self._trimmer(opening, TRIMMER_HIGH, high_face, along, place)
        header_low = header_high = None
        if not bent.low.holds(along[0]):
            header_low = self._header(opening, HEADER_LOW, low_face, high_face, along[0], bent)
        if not bent.high.holds(along[1]):
            header_high = self._header(opening, HEADER_HIGH, low_face, high_face, along[1], bent)
        framed = FramedOpening(
            opening=opening.id,
            across_low_16=across[0],
            across_high_16=across[1],
            along_low_16=along[0],
            along_high_16=along[1],
            trimmer_low=trimmer_low.id,
            trimmer_high=trimmer_high.id,
            header_low=header_low.id if header_low else None,
            header_high=header_high.id if header_high else None,
        )
        members = tuple(m for m in (trimmer_low, trimmer_high, header_low, header_high) if m is not None)
        return FramedSet(opening, framed, bent, members)

    def _bent(self, across_16: int, along: list[int], opening: Opening, place: str) -> Bent:
        """The one span that the opening lies in, its ends within the bearings' far faces."""
        middle = (along[0] + along[1]) // 2
        for reach in self.ground.reaches(across_16):
            for bent in find_bents(self.ground, across_16, reach):
                if bent.holds(middle):
                    if bent.low.low_face_16 <= along[0] and along[1] <= bent.high.high_face_16:
                        return bent
                    raise _refused(
                        opening, place, "crosses a bearing; end it at the bearing or move the bearing"
                    )
        raise _refused(opening, place, "lies beyond the floor on one side; keep it and its trimmers inside")

    def _width(self, key: str) -> tuple[int, int]:
        plies = self.plies.get(key, self.ground.practice.plies_default)
        return plies, plies * self.profile.flange_16

    def _trimmer(self, opening: Opening, part: str, face_16: int, along: list[int], place: str) -> Member:
        key = f"{opening.id}:{part}"
        plies, width = self._width(key)
        centre = face_16 - width // 2 if part == TRIMMER_LOW else face_16 + width // 2
        bent = self._bent(centre, along, opening, place)
        low_16, low = bent.low.leaving(self.ground.practice)
        high_16, high = bent.high.arriving(self.ground.practice)
        return Member(
            id=key,
            kind=MemberKind.TRIMMER,
            bay=self.ground.bay.id,
            profile=self.profile.designator,
            plies=plies,
            runs="along",
            centre_16=centre,
            width_16=width,
            low_16=low_16,
            high_16=high_16,
            low=low,
            high=high,
            line=bent.line,
            why=f"R7 trimmer at opening {opening.name}",
        )

    def _header(
        self, opening: Opening, part: str, low_face: int, high_face: int, edge_16: int, bent: Bent
    ) -> Member:
        key = f"{opening.id}:{part}"
        plies, width = self._width(key)
        lower = part == HEADER_LOW
        face = edge_16 - self.stand_off if lower else edge_16 + self.stand_off
        clearance = self.ground.practice.end_clearance_16
        return Member(
            id=key,
            kind=MemberKind.HEADER,
            bay=self.ground.bay.id,
            profile=self.profile.designator,
            plies=plies,
            runs="across",
            centre_16=face - width // 2 if lower else face + width // 2,
            width_16=width,
            low_16=low_face + clearance,
            high_16=high_face - clearance,
            low=MemberEnd(EndKind.TRIMMER, f"{opening.id}:{TRIMMER_LOW}", low_face),
            high=MemberEnd(EndKind.TRIMMER, f"{opening.id}:{TRIMMER_HIGH}", high_face),
            line=bent.line,
            why=f"R7 header at opening {opening.name}",
        )


def _refused(opening: Opening, place: str, words: str) -> FloorRefused:
    low = opening.rect.low
    return FloorRefused((Problem(place, f"Opening {opening.name} {words}.", low.x_16, low.y_16),))


def _refuse_crossed(frames: list[FramedSet], plan: FloorPlan) -> None:
    """A trimmer runs its whole span, so two frames in one span must lie clear of each other across it."""
    for index, one in enumerate(frames):
        for other in frames[:index]:
            (low, high), (other_low, other_high) = one.across_16, other.across_16
            share = one.bent.holds(other.middle_16) or other.bent.holds(one.middle_16)
            if share and low < other_high and other_low < high:
                words = (
                    f"and opening {other.opening.name} are in each other's way; leave room for both frames "
                    "side by side, join them, or put a bearing between them"
                )
                raise _refused(one.opening, f"openings.{plan.openings.index(one.opening)}", words)
