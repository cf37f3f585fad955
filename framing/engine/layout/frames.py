"""Openings: trimmers both sides, headers across the ends, and where each stands (R7)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from framing.engine.catalogue import JoistProfile
from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import FloorPlan, Opening
from framing.engine.layout.ground import Ground, Wall
from framing.engine.layout.stops import Bent, Stop, find_bents, with_overhang
from framing.engine.lean import cut_16, half_up
from framing.engine.members import EndKind, FramedOpening, Member, MemberEnd, MemberKind

TRIMMER_LOW, TRIMMER_HIGH, HEADER_LOW, HEADER_HIGH = (
    "trimmer_low",
    "trimmer_high",
    "header_low",
    "header_high",
)


@dataclass(frozen=True, slots=True)
class FramedSet:
    """An opening framed: its place in the bay's frame, its span and its members under provisional ids.

    `across_16` are the far faces of the two trimmers; the outline where an outside wall stands in a trimmer's place.
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


def frame_openings(
    plan: FloorPlan, ground: Ground, profile: JoistProfile, plies: Mapping[str, int]
) -> tuple[FramedSet, ...]:
    """All openings of the bay. `plies` by `<opening id>:<part>`; others take the default of R7.

    Raises FloorRefused where an opening can't be framed within one span.
    """
    maker = _Maker(ground, profile, plies)
    frames = []
    for index, opening in enumerate(plan.openings):
        if len(plan.bays) == 1 or _lies_in(opening, ground):
            frames.append(maker.frame(opening, f"openings.{index}"))
    _refuse_crossed(frames, plan)
    return tuple(frames)


def _lies_in(opening: Opening, ground: Ground) -> bool:
    """Whether the middle of an opening lies in the bay."""
    across, along = _reach_of(opening, ground)
    middle = (along[0] + along[1]) // 2
    return any(
        reach.low_16 <= middle < reach.high_16 for reach in ground.reaches((across[0] + across[1]) // 2)
    )


def _reach_of(opening: Opening, ground: Ground) -> tuple[tuple[int, int], tuple[int, int]]:
    """The opening in the frame: low and high across, low and high along."""
    corners = (opening.rect.low, opening.rect.high)
    across = sorted(ground.frame.across_16(corner) for corner in corners)
    along = sorted(ground.frame.along_16(corner) for corner in corners)
    return (across[0], across[1]), (along[0], along[1])


class _Maker:
    def __init__(self, ground: Ground, profile: JoistProfile, plies: Mapping[str, int]) -> None:
        self.ground = ground
        self.profile = profile
        self.plies = plies
        self.stand_off = ground.practice.opening_stand_off_16

    def frame(self, opening: Opening, place: str) -> FramedSet:
        across, along = _reach_of(opening, self.ground)
        bent = self._bent(across[0], along, opening, place)
        low = self._side(opening, TRIMMER_LOW, across, along, place)
        high = self._side(opening, TRIMMER_HIGH, across, along, place)
        beyond = self._bent(across[1] - 1, along, opening, place)
        bents = (bent, beyond)
        header_low = header_high = None
        if not all(b.low.holds(along[0]) for b in bents):
            header_low = self._header(opening, HEADER_LOW, low, high, along[0], bent)
        if not all(b.high.holds(along[1]) for b in bents):
            header_high = self._header(opening, HEADER_HIGH, low, high, along[1], bent)
        self._refuse_tight(opening, place, header_low, [b.low for b in bents], 1)
        self._refuse_tight(opening, place, header_high, [b.high for b in bents], -1)
        framed = FramedOpening(
            opening=opening.id,
            across_low_16=across[0],
            across_high_16=across[1],
            along_low_16=along[0],
            along_high_16=along[1],
            trimmer_low=low.trimmer.id if low.trimmer else None,
            trimmer_high=high.trimmer.id if high.trimmer else None,
            header_low=header_low.id if header_low else None,
            header_high=header_high.id if header_high else None,
        )
        made = (low.trimmer, high.trimmer, header_low, header_high)
        members = tuple(member for member in made if member is not None)
        return FramedSet(opening, framed, bent, members, (low.far_16, high.far_16))

    def _bent(self, across_16: int, along: tuple[int, int], opening: Opening, place: str) -> Bent:
        return self._bents(across_16, along, opening, place)[1]

    def _bents(
        self, across_16: int, along: tuple[int, int], opening: Opening, place: str
    ) -> tuple[tuple[Bent, ...], Bent]:
        """All spans there, and the one that the opening lies in, its ends within the bearings' far faces."""
        middle = (along[0] + along[1]) // 2
        for reach in self.ground.reaches(across_16):
            bents = find_bents(self.ground, across_16, reach)
            for bent in bents:
                if bent.holds(middle):
                    if bent.low.low_face_16 <= along[0] and along[1] <= bent.high.high_face_16:
                        return bents, bent
                    raise _refused(
                        opening, place, "crosses a bearing; end it at the bearing or move the bearing"
                    )
        raise _refused(opening, place, "lies beyond the floor on one side; keep it and its trimmers inside")

    def _refuse_tight(
        self, opening: Opening, place: str, header: Member | None, stops: Sequence[Stop], inward: int
    ) -> None:
        """A header needs room before the rim or the flush beam behind it, and so do tails where they fit at all."""
        if header is None:
            return
        far = header.centre_16 - header.width_16 // 2 + (header.width_16 if inward < 0 else 0)
        for stop in stops:
            if stop.end in (EndKind.LAP, EndKind.BUTT):
                continue
            bears = face = stop.high_face_16 if inward > 0 else stop.low_face_16
            if stop.end is not EndKind.FLUSH:
                face = half_up(stop.centre_16) + inward * stop.lean.through_16(
                    self.ground.practice.rim_thickness_16
                )
            room = (far - face) * inward
            tails = (far - bears) * inward > 0
            if room < 0 or (tails and room <= 2 * self.ground.practice.end_clearance_16):
                words = "leaves no room for its header before the wall; end it at the wall or move it away from it"
                raise _refused(opening, place, words)

    def _width(self, key: str) -> tuple[int, int]:
        plies = self.plies.get(key, self.ground.practice.plies_default)
        return plies, plies * self.profile.flange_16

    def _side(
        self, opening: Opening, part: str, across: tuple[int, int], along: tuple[int, int], place: str
    ) -> _Side:
        """The trimmer on one side, or the outside wall that leaves it no room."""
        low = part == TRIMMER_LOW
        edge_16, sign = (across[0], -1) if low else (across[1], 1)
        _, width = self._width(f"{opening.id}:{part}")
        wall = self._wall_beside(edge_16, sign, along)
        rim = self.ground.practice.rim_thickness_16
        if wall is not None and abs(wall.across_low_16 - edge_16) < self.stand_off + width + rim:
            return self._at_wall(wall, sign)
        trimmer = self._trimmer(opening, part, edge_16 + sign * self.stand_off, along, place)
        near, clearance = edge_16 + sign * self.stand_off, self.ground.practice.end_clearance_16
        end = MemberEnd(EndKind.TRIMMER, trimmer.id, near)
        return _Side(trimmer, near - sign * clearance, end, near + sign * width)

    def _wall_beside(self, edge_16: int, sign: int, along: tuple[int, int]) -> Wall | None:
        """The outside wall that runs beside all of the opening on one side, the nearest one."""
        walls = [
            wall
            for wall in self.ground.rims
            if (wall.across_low_16 - edge_16) * sign >= 0
            and wall.closes is (sign > 0)
            and wall.along_low_16 <= along[0]
            and along[1] <= wall.along_high_16
        ]
        return min(walls, key=lambda wall: abs(wall.across_low_16 - edge_16), default=None)

    def _at_wall(self, wall: Wall, sign: int) -> _Side:
        practice, at = self.ground.practice, wall.across_low_16
        cut = at - sign * (practice.rim_thickness_16 + practice.end_clearance_16)
        end = MemberEnd(EndKind.PLATFORM, wall.host, at - sign * wall.width_16)
        return _Side(None, cut, end, at)

    def _trimmer(
        self, opening: Opening, part: str, face_16: int, along: tuple[int, int], place: str
    ) -> Member:
        key = f"{opening.id}:{part}"
        plies, width = self._width(key)
        centre = face_16 - width // 2 if part == TRIMMER_LOW else face_16 + width // 2
        bents, bent = self._bents(centre, along, opening, place)
        run, practice = with_overhang(bents, [bent]), self.ground.practice
        low, high = run[0].low.leaving(practice, width), run[-1].high.arriving(practice, width)
        low_16, high_16 = cut_16(low[0], high[0])
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
            low=low[1],
            high=high[1],
            crossings=tuple(passed.high.crossing() for passed in run[:-1]),
            line=run[0].line,
            why=f"R7 trimmer at opening {opening.name}",
        )

    def _header(
        self, opening: Opening, part: str, low: _Side, high: _Side, edge_16: int, bent: Bent
    ) -> Member:
        key = f"{opening.id}:{part}"
        plies, width = self._width(key)
        lower = part == HEADER_LOW
        face = edge_16 - self.stand_off if lower else edge_16 + self.stand_off
        return Member(
            id=key,
            kind=MemberKind.HEADER,
            bay=self.ground.bay.id,
            profile=self.profile.designator,
            plies=plies,
            runs="across",
            centre_16=face - width // 2 if lower else face + width // 2,
            width_16=width,
            low_16=low.cut_16,
            high_16=high.cut_16,
            low=low.end,
            high=high.end,
            line=bent.line,
            why=f"R7 header at opening {opening.name}",
        )


@dataclass(frozen=True, slots=True)
class _Side:
    """What stands on one side of an opening: where headers are cut, what they meet, its far face across."""

    trimmer: Member | None
    cut_16: int
    end: MemberEnd
    far_16: int


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
