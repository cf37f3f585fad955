"""How one opening is framed: trimmers both sides, headers across the ends (R7).

Openings in line in one span share trimmers where their sides are in line; the trimmers of a narrower one hang on
the header of the wider one that stands in their way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from framing.engine.catalogue import JoistProfile
from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import Opening
from framing.engine.layout.framed_set import FramedSet
from framing.engine.layout.ground import Ground, Wall
from framing.engine.layout.stops import Bent, Cut, Stop, find_bents, with_overhang
from framing.engine.lean import cut_16, half_up
from framing.engine.members import EndKind, FramedOpening, Member, MemberEnd, MemberKind

TRIMMER_LOW, TRIMMER_HIGH, HEADER_LOW, HEADER_HIGH = (
    "trimmer_low",
    "trimmer_high",
    "header_low",
    "header_high",
)

_NO_ROOM = "leaves no room for its header before the wall; end it at the wall or move it away from it"


def reach_of(opening: Opening, ground: Ground) -> tuple[tuple[int, int], tuple[int, int]]:
    """The opening in the frame: low and high across, low and high along."""
    corners = (opening.rect.low, opening.rect.high)
    across = sorted(ground.frame.across_16(corner) for corner in corners)
    along = sorted(ground.frame.along_16(corner) for corner in corners)
    return (across[0], across[1]), (along[0], along[1])


class FrameMaker:
    """Frames one opening after another, the widest first, so that narrower ones in line find what they hang on."""

    def __init__(self, ground: Ground, profile: JoistProfile, plies: Mapping[str, int]) -> None:
        self.ground = ground
        self.profile = profile
        self.plies = plies
        self.stand_off = ground.practice.opening_stand_off_16

    def frame(self, opening: Opening, place: str, done: Sequence[FramedSet]) -> FramedSet:
        """The opening with its members. Raises FloorRefused where it can't be framed within one span."""
        across, along = reach_of(opening, self.ground)
        bent = self._bent(across[0], along, opening, place)
        hosts = self._hosts(opening, place, across, along, bent, done)
        low = self._side(opening, TRIMMER_LOW, across, along, place, hosts)
        high = self._side(opening, TRIMMER_HIGH, across, along, place, hosts)
        beyond = self._bent(across[1] - 1, along, opening, place)
        bents = (bent, beyond)
        header_low = header_high = None
        if not all(b.low.holds(along[0]) for b in bents):
            header_low = self._header(opening, HEADER_LOW, low, high, along[0], bent)
        if not all(b.high.holds(along[1]) for b in bents):
            header_high = self._header(opening, HEADER_HIGH, low, high, along[1], bent)
        self._refuse_tight(opening, place, header_low, [b.low for b in bents], 1)
        self._refuse_tight(opening, place, header_high, [b.high for b in bents], -1)
        for trimmer in (side.trimmer for side in (low, high) if side.trimmer):
            slack = self.ground.practice.end_clearance_16
            if any(header and _off_end(header, trimmer, slack) for header in (header_low, header_high)):
                raise _refused(opening, place, _NO_ROOM)
        for host in hosts:
            facing, side = host.facing(along)
            header = header_low if side < 0 else header_high
            if header is not None and facing is not None and _clash(facing, header):
                raise _in_the_way(opening, place, host)
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
        own = (None if side.shared else side.trimmer for side in (low, high))
        made = (*own, header_low, header_high)
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
                raise _refused(opening, place, _NO_ROOM)

    def _hosts(
        self,
        opening: Opening,
        place: str,
        across: tuple[int, int],
        along: tuple[int, int],
        bent: Bent,
        done: Sequence[FramedSet],
    ) -> list[FramedSet]:
        """Wider openings in line in the same span, which this one shares trimmers with or hangs on."""
        found = []
        widths = [self._width(f"{opening.id}:{part}")[1] for part in (TRIMMER_LOW, TRIMMER_HIGH)]
        low, high = across[0] - self.stand_off - widths[0], across[1] + self.stand_off + widths[1]
        middle = (along[0] + along[1]) // 2
        for other in done:
            share = bent.holds(other.middle_16) or other.bent.holds(middle)
            if not share or other.across_16[1] <= low or high <= other.across_16[0]:
                continue
            sides = [
                other.side(edge, sign, self.stand_off, width)
                for edge, sign, width in zip(across, (-1, 1), widths, strict=True)
            ]
            if other.facing(along)[0] is None or None in sides:
                raise _in_the_way(opening, place, other)
            found.append(other)
        return found

    def _at_header(self, header: Member, inward: int) -> Cut:
        """Where a trimmer is cut that hangs on a header of an opening in line."""
        face = header.centre_16 - header.width_16 // 2 + (header.width_16 if inward > 0 else 0)
        end = MemberEnd(EndKind.HEADER, header.id, face)
        return face + inward * self.ground.practice.end_clearance_16, end

    def _width(self, key: str) -> tuple[int, int]:
        plies = self.plies.get(key, self.ground.practice.plies_default)
        return plies, plies * self.profile.flange_16

    def _side(
        self,
        opening: Opening,
        part: str,
        across: tuple[int, int],
        along: tuple[int, int],
        place: str,
        hosts: Sequence[FramedSet],
    ) -> _Side:
        """The trimmer on one side, or the outside wall that leaves it no room."""
        low = part == TRIMMER_LOW
        edge_16, sign = (across[0], -1) if low else (across[1], 1)
        _, width = self._width(f"{opening.id}:{part}")
        wall = self._wall_beside(edge_16, sign, along)
        rim = self.ground.practice.rim_thickness_16
        if wall is not None and abs(wall.across_low_16 - edge_16) < self.stand_off + width + rim:
            return self._at_wall(wall, sign)
        near, clearance = edge_16 + sign * self.stand_off, self.ground.practice.end_clearance_16
        same = (h.trimmer(sign) for h in hosts if h.side(edge_16, sign, self.stand_off, width) == "same")
        shared = next((member for member in same if member is not None), None)
        trimmer = shared or self._trimmer(opening, part, near, along, place, hosts)
        end = MemberEnd(EndKind.TRIMMER, trimmer.id, near)
        far = near + sign * trimmer.width_16
        return _Side(trimmer, near - sign * clearance, end, far, shared is not None)

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
        self,
        opening: Opening,
        part: str,
        face_16: int,
        along: tuple[int, int],
        place: str,
        hosts: Sequence[FramedSet],
    ) -> Member:
        key = f"{opening.id}:{part}"
        plies, width = self._width(key)
        centre = face_16 - width // 2 if part == TRIMMER_LOW else face_16 + width // 2
        bents, bent = self._bents(centre, along, opening, place)
        run, practice = with_overhang(bents, [bent]), self.ground.practice
        low, high = run[0].low.leaving(practice, width), run[-1].high.arriving(practice, width)
        below, above = (_nearest(hosts, along, centre, self.stand_off, side) for side in (-1, 1))
        if below is not None:
            run, low = run[run.index(bent) :], self._at_header(below, 1)
        if above is not None:
            run, high = run[: run.index(bent) + 1], self._at_header(above, -1)
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
    shared: bool = False


def _refused(opening: Opening, place: str, words: str) -> FloorRefused:
    low = opening.rect.low
    return FloorRefused((Problem(place, f"Opening {opening.name} {words}.", low.x_16, low.y_16),))


def _in_the_way(opening: Opening, place: str, other: FramedSet) -> FloorRefused:
    words = (
        f"and opening {other.opening.name} are in each other's way; leave room for both frames, line up their sides, "
        "join them, or put a bearing between them"
    )
    return _refused(opening, place, words)


def _off_end(header: Member, trimmer: Member, slack_16: int) -> bool:
    """Whether a header would stand beyond its trimmer's end and clearance, as where the outline steps between them."""
    low = header.centre_16 - header.width_16 // 2
    return low < trimmer.low_16 - slack_16 or trimmer.high_16 + slack_16 < low + header.width_16


def _clash(one: Member, other: Member) -> bool:
    """Whether two headers would stand in each other."""
    return 2 * abs(one.centre_16 - other.centre_16) < one.width_16 + other.width_16


def _nearest(
    hosts: Sequence[FramedSet], along: tuple[int, int], centre_16: int, stand_off_16: int, side: int
) -> Member | None:
    """The nearest header below or above that stands across a trimmer's line, of openings in line."""
    facing = [host.facing(along) for host in hosts if host.between(centre_16, stand_off_16)]
    headers = [header for header, where in facing if where == side and header is not None]
    return max(headers, key=lambda header: -side * header.centre_16, default=None)
