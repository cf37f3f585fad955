"""Joists on their stations: cut lengths, joints over bearings, tails at openings (R4, R5, R7, R9)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from framing.engine.catalogue import JoistProfile
from framing.engine.layout.framed_set import FramedSet
from framing.engine.layout.ground import Ground
from framing.engine.layout.stations import Station
from framing.engine.layout.stops import Bent, Cut, find_bents, find_chains
from framing.engine.lean import cut_16
from framing.engine.members import Crossing, EndKind, Member, MemberEnd, MemberKind

LEAST_PIECE_16 = 12 * 16
"""A shorter piece at a skewed wall is not set; the floor says where."""


@dataclass(frozen=True, slots=True)
class Band:
    """Ground taken by a trimmer or a partition's joist: faces across, cut ends and clear span along."""

    low_16: int
    high_16: int
    along_low_16: int
    along_high_16: int
    clear_low_16: int
    clear_high_16: int

    @staticmethod
    def of(member: Member) -> Band:
        half = member.width_16 // 2
        return Band(
            member.centre_16 - half,
            member.centre_16 - half + member.width_16,
            member.low_16,
            member.high_16,
            member.low.face_16,
            member.high.face_16,
        )

    def hit_by(self, centre_16: int, half_16: int) -> bool:
        """Whether a flange of that half width would overlap the band; touching is no overlap."""
        return self.low_16 < centre_16 + half_16 and centre_16 - half_16 < self.high_16


def lay_joists(
    ground: Ground,
    profile: JoistProfile,
    stations: Sequence[Station],
    frames: Sequence[FramedSet],
    carried: Sequence[Member],
) -> tuple[Member, ...]:
    """One member per joist and tail on the stations; `carried` are the partitions' joists, placed before."""
    setter = _Setter(ground, profile, frames, carried)
    members: list[Member] = []
    for number, station in enumerate(stations):
        bents = find_bents(ground, station.across_16, station.reach, station.scan_16)
        for chain in find_chains(bents):
            members += setter.lay(station, chain, f"s{number}")
    return _part_laps(members, setter)


class _Setter:
    """Sets one station's joist in one chain of spans, clear of trimmers and partitions' joists."""

    def __init__(
        self, ground: Ground, profile: JoistProfile, frames: Sequence[FramedSet], carried: Sequence[Member]
    ) -> None:
        self.ground = ground
        self.practice = ground.practice
        self.profile = profile
        self.width_16 = profile.flange_16 * ground.bay.plies
        self.frames = frames
        self.askew = ground.askew
        self.moved: set[str] = set()
        self.set_from: dict[str, tuple[Station, list[Bent], str]] = {}
        trimmers = [trimmer for frame in frames for trimmer in frame.trimmers]
        self.hung = [Band.of(t) for t in trimmers if EndKind.HEADER in (t.low.kind, t.high.kind)]
        self.bands = [Band.of(t) for t in trimmers if EndKind.HEADER not in (t.low.kind, t.high.kind)]
        self.bands += [Band.of(m) for m in carried]

    def lay(self, station: Station, chain: list[Bent], key: str) -> list[Member]:
        centre = station.across_16 + (self.width_16 if chain[0].shifted else 0)
        if len(chain) > 1:
            taken = [bent for bent in chain if self._settle(centre, [bent]) is None]
            if taken:
                rest = _runs_without(chain, taken)
                return [member for run in rest for member in self.lay(station, run, key)]
        settled = self._settle(centre, chain)
        if settled is None:
            return []
        made = self._pieces(station, self._met(station, chain, settled), settled, key)
        made = self._beside_hung(made)
        if self.askew:
            self.set_from |= dict.fromkeys((member.id for member in made), (station, chain, key))
        if settled != centre:
            self.moved.update(member.id for member in made)
            made = [replace(m, why=f"{m.why}, moved to touch what stands beside it") for m in made]
        return made

    def _beside_hung(self, made: list[Member]) -> list[Member]:
        """Tails clear of trimmers that hang on a header: one in a trimmer's place goes, one that touches it moves."""
        kept = []
        for member in made if self.hung else []:
            hit = [
                band
                for band in self.hung
                if band.along_low_16 < member.high_16 and member.low_16 < band.along_high_16
                if band.hit_by(member.centre_16, member.width_16 // 2)
            ]
            if any(band.low_16 <= member.centre_16 <= band.high_16 for band in hit):
                continue
            for band in hit:
                up = member.centre_16 > band.high_16
                centre = band.high_16 + member.width_16 // 2 if up else band.low_16 - member.width_16 // 2
                words = f"{member.why}, moved to touch what stands beside it"
                member = replace(member, centre_16=centre, why=words)
            kept.append(member)
        return kept if self.hung else made

    def reset(self, member: Member, centre: int) -> Member:
        """The same joist on another centre line: at skewed walls its ends move too."""
        if member.id not in self.set_from:
            return replace(member, centre_16=centre)
        station, chain, key = self.set_from[member.id]
        again = self._pieces(station, self._met(station, chain, centre), centre, key)
        made = next((one for one in again if one.id == member.id), member)
        return replace(made, centre_16=centre, why=member.why)

    def _met(self, station: Station, chain: list[Bent], centre: int) -> list[Bent]:
        """What is met is told by the station; where, by the joist's own centre line."""
        if not self.askew or centre == station.across_16:
            return chain
        return [bent.at(centre) for bent in chain]

    def _settle(self, centre: int, chain: list[Bent]) -> int | None:
        """The centre line clear of all bands, or None where the joist goes (R7).

        A joist of the next span, which only laps here, is not replaced by a trimmer: it gives way; nor is one that runs
        on beyond the trimmer, as past the end of a bearing. Off the trimmer's width any joist moves the short way, so
        that it stays near its station.
        """
        half = self.width_16 // 2
        for _ in range(len(self.bands) + 1):
            hit = next((band for band in self._bands_at(chain) if band.hit_by(centre, half)), None)
            if hit is None:
                return centre
            within = hit.low_16 <= centre <= hit.high_16
            if within and _own_span(hit, chain) and self._covers(hit, chain):
                return None
            up = _gives_way_up(hit, centre, chain) if within else centre > hit.high_16
            centre = hit.high_16 + half if up else hit.low_16 - half
        return None

    def _covers(self, band: Band, chain: list[Bent]) -> bool:
        """Whether a band stands in a joist's place all along, but for less than a piece that could be set."""
        low, _ = chain[0].low.leaving(self.practice, self.width_16)
        high, _ = chain[-1].high.arriving(self.practice, self.width_16)
        return max(band.along_low_16 - low, high - band.along_high_16) <= LEAST_PIECE_16

    def _bands_at(self, chain: list[Bent]) -> list[Band]:
        low, _ = chain[0].low.leaving(self.practice, self.width_16)
        high, _ = chain[-1].high.arriving(self.practice, self.width_16)
        return [band for band in self.bands if band.along_low_16 < high and low < band.along_high_16]

    def _pieces(self, station: Station, chain: list[Bent], centre: int, key: str) -> list[Member]:
        start: Cut | None = chain[0].low.leaving(self.practice, self.width_16)
        crossings: list[Crossing] = []
        made: list[Member] = []
        tail_of = ""
        for number, bent in enumerate(chain):
            for turn, frame in enumerate(self._frames_at(bent, centre)):
                end = self._up_to(frame, bent, crossings, start)
                if start is not None and end is not None:
                    words = f"R7 tail at opening {frame.opening.name}"
                    ident = f"{key}:{bent.row}:low{turn or ''}"
                    made.append(self._joist(ident, station, chain[0], centre, start, end, crossings, words))
                start, crossings, tail_of = self._up_from(frame, bent), [], frame.opening.name
            if number == len(chain) - 1 and start is not None:
                words = f"R7 tail at opening {tail_of}" if tail_of else station.why
                end = bent.high.arriving(self.practice, self.width_16)
                ident = f"{key}:{chain[0].row}:high"
                made.append(self._joist(ident, station, chain[0], centre, start, end, crossings, words))
            elif start is not None:
                crossings.append(bent.high.crossing())
            else:
                start = bent.high.leaving(self.practice, self.width_16)
        return made

    def _frames_at(self, bent: Bent, centre: int) -> list[FramedSet]:
        """Openings of a span that a joist line runs into, low to high."""
        stand_off = self.practice.opening_stand_off_16
        met = [f for f in self.frames if bent.holds(f.middle_16) and f.between(centre, stand_off)]
        return sorted(met, key=lambda frame: frame.middle_16)

    def _up_to(
        self, frame: FramedSet, bent: Bent, crossings: list[Crossing], start: Cut | None
    ) -> Cut | None:
        """High end of the piece below an opening; None where nothing fits there."""
        header = frame.member(frame.framed.header_low)
        face = header.centre_16 - header.width_16 // 2 if header else None
        if header is None or face is None or face <= bent.low.high_face_16:
            if not crossings:
                return None
            # No tail in this span; the piece from the span below ends at the bearing between.
            crossings.pop()
            return bent.low.arriving(self.practice, self.width_16)
        cut = face - self.practice.end_clearance_16
        if start is not None and start[1].kind is EndKind.HEADER and cut <= start[0]:
            return None  # two openings in line leave no room for a tail between their headers
        return cut, MemberEnd(EndKind.HEADER, header.id, face)

    def _up_from(self, frame: FramedSet, bent: Bent) -> Cut | None:
        header = frame.member(frame.framed.header_high)
        if header is None:
            return None
        face = header.centre_16 - header.width_16 // 2 + header.width_16
        if face >= bent.high.low_face_16:
            return None
        return face + self.practice.end_clearance_16, MemberEnd(EndKind.HEADER, header.id, face)

    def _joist(
        self,
        ident: str,
        station: Station,
        bent: Bent,
        centre: int,
        start: Cut,
        end: Cut,
        crossings: Sequence[Crossing],
        why: str,
    ) -> Member:
        low_16, high_16 = cut_16(start[0], end[0])
        return Member(
            id=ident,
            kind=MemberKind.JOIST,
            bay=self.ground.bay.id,
            profile=self.profile.designator,
            plies=self.ground.bay.plies,
            runs="along",
            centre_16=centre,
            width_16=self.width_16,
            low_16=low_16,
            high_16=high_16,
            low=start[1],
            high=end[1],
            crossings=tuple(crossings),
            line=bent.line,
            shifted=bent.shifted,
            station=station.index,
            why=why,
        )


def _own_span(band: Band, chain: list[Bent]) -> bool:
    return any(
        band.clear_low_16 < bent.high.low_face_16 and bent.low.high_face_16 < band.clear_high_16
        for bent in chain
    )


def _gives_way_up(hit: Band, centre: int, chain: list[Bent]) -> bool:
    """Which way a joist goes that only laps beside a trimmer of the next span: away from its own neighbour.

    A shifted joist has its neighbour on the start edge's side, an unshifted one on the other (R5).
    """
    if chain[0].shifted:
        return True
    laps = any(stop.end is EndKind.LAP and not stop.through for stop in (chain[0].low, chain[-1].high))
    return not laps and 2 * centre >= hit.low_16 + hit.high_16


def _runs_without(chain: list[Bent], taken: list[Bent]) -> list[list[Bent]]:
    runs: list[list[Bent]] = [[]]
    for bent in chain:
        if bent in taken:
            runs.append([])
        else:
            runs[-1].append(bent)
    return [run for run in runs if run]


def _part_laps(members: list[Member], setter: _Setter) -> tuple[Member, ...]:
    """A joist moved off its station must not run into the neighbour that it laps: that one moves clear."""
    movers = [member for member in members if member.id in setter.moved]
    flange = setter.width_16
    parted = []
    for member in members:
        for other in movers if member.id not in setter.moved else []:
            meets = member.low_16 < other.high_16 and other.low_16 < member.high_16
            gap = member.centre_16 - other.centre_16
            if member.line != other.line and meets and abs(gap) < flange:
                clear = other.centre_16 + (flange if gap >= 0 else -flange)
                member = setter.reset(member, clear)
                member = replace(member, why=f"{member.why}, moved clear of its neighbour")
        parted.append(member)
    return tuple(parted)
