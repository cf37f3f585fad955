"""Details of member ends at outside bearings: platform and ledger, square and skewed (R4, R20, R21)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from math import atan, degrees, hypot

from framing.drawing.conditions import Conditions, End
from framing.drawing.pane import Detail, Pane, large_scale
from framing.engine.catalogue import JoistProfile
from framing.engine.floor import Edge
from framing.engine.members import EndKind, MemberKind
from framing.engine.placement import Item

_PLATE_16 = 24  # how thick a wood plate is drawn
LEG_16 = 24  # how long a clip's leg is drawn
SHORT = 0.7  # of the depth: how tall a clip angle is drawn


WORDS = {
    MemberKind.JOIST: "Joist",
    MemberKind.TRIMMER: "Joist",
    MemberKind.HEADER: "Header",
    MemberKind.BEAM: "Flush beam",
    MemberKind.BLOCK: "Block",
}
_RANK = ("Joist", "Header", "Flush beam", "Block")


@dataclass(frozen=True, slots=True)
class EndGroup:
    """Outside ends that one detail shows: the first as it occurs, and how many there are."""

    first: End
    word: str
    skewed: bool
    count: int

    def detail(
        self, found: Conditions, meets: str, rules: str, draw: Callable[[Conditions, End, Pane], None]
    ) -> Detail:
        """Named by what it meets, the member where it is no joist, and whether it is skewed."""
        member = self.first.member
        title = f"{self.word} end at {meets}{', skewed' if self.skewed else ''}, {member.profile}"
        parts = [self.first.meets.kind.value, "" if self.word == "Joist" else member.kind.value]
        name = "-".join(part for part in (*parts, "skewed" if self.skewed else "") if part)
        places = f"{self.count} member end{'s' if self.count > 1 else ''}"
        scale = large_scale(found.units)
        return Detail(name, title, rules, places, scale, found.units, partial(draw, found, self.first))


def group_ends(found: Conditions, kind: EndKind) -> list[EndGroup]:
    """Ends of a kind at the outline by member, profile and wall width, square walls before skewed ones."""
    groups: dict[tuple[int, bool, str, int], list[End]] = {}
    for end in found.ends():
        if end.meets.kind is kind:
            rank, skewed = _RANK.index(WORDS[end.member.kind]), bool(met(found, end)[1])
            key = (rank, skewed, end.member.profile, edge_of(found, end).width_16)
            groups.setdefault(key, []).append(end)
    return [
        EndGroup(min(ends, key=lambda end: end.member.plies), _RANK[rank], skewed, len(ends))
        for (rank, skewed, *_), ends in sorted(groups.items(), key=lambda row: row[0][:2])
    ]


def end_details(found: Conditions) -> Iterator[Detail]:
    """One for each kind of outside bearing, member, profile and wall width."""
    for group in group_ends(found, EndKind.PLATFORM):
        yield group.detail(found, "a platform bearing", "R4, R20, R21", _draw_end)
    for group in group_ends(found, EndKind.BALLOON):
        yield group.detail(found, "a ledger", "R2, R4, R20", _draw_end)


def edge_of(found: Conditions, end: End) -> Edge:
    """The outline edge that an outside end meets."""
    return found.result.plan.edges[int(end.meets.host.removeprefix("edge:"))]


def met(found: Conditions, end: End) -> tuple[Fraction, Fraction]:
    """From the cut end to the outline along the member's middle line, and the slope of the wall there."""
    outline, index = found.result.plan.outline, edge_of(found, end).index
    corners = outline[index], outline[(index + 1) % len(outline)]
    place, slope = found.crossing_16(end.member, *corners)
    return abs(end.cut_16 - place), slope


def rim_16(found: Conditions, slope: Fraction) -> float:
    """The way along a member through the board at a wall of that slope."""
    return found.practice.rim_thickness_16 * hypot(1.0, float(slope))


def _draw_end(found: Conditions, end: End, pane: Pane) -> None:
    back_16, slope = met(found, end)
    profile, rim = found.profile(end.member), rim_16(found, slope)
    depth, start = profile.depth_16, float(back_16)
    platform = end.meets.kind is EndKind.PLATFORM
    pane.box("dw-trimmer", 0, 0, rim, depth)
    draw_joist(pane, profile, start, pane.right_16, broken="high")
    top = 0.0 if platform else depth * (1 - SHORT) / 2
    pane.depth(0, 0, depth)
    (_draw_platform if platform else _draw_ledger)(found, end, pane, depth)
    what = "Full-depth bearing clip" if platform else "Clip angle"
    clip_at_board(found, end, pane, (rim, top, depth - top), (what, "rim board" if platform else "ledger"))
    note_clearance(pane, (back_16, slope), rim, depth - top - 5)


def note_clearance(pane: Pane, met: tuple[Fraction, Fraction], rim: float, y: float) -> None:
    """What is left between the board and the cut end; at a skewed wall, how far it is cut back."""
    back_16, slope = met
    if not slope:
        gap = round(back_16 - round(rim))
        pane.note(f"End clearance {pane.length(gap)}, made up by the clip", float(back_16), y)
        return
    angle, back = degrees(atan(slope)), pane.length(round(back_16))
    words = f"Rim {angle:.1f}\N{DEGREE SIGN} off square; cut square, {back} back from the outline"
    pane.note(words, float(back_16), y)


def clip_at_board(
    found: Conditions, end: End, pane: Pane, place: tuple[float, float, float], words: tuple[str, str]
) -> None:
    """One clip with its screws and its notes; `place` is the board's inner face, the clip's top and bottom."""
    face, top, bottom = place
    clip = f"clip:{end.member.id}:{end.name}:0"
    steel, wood = found.count(clip, Item.STEEL_SCREW), found.count(clip, Item.WOOD_SCREW)
    _draw_clip(pane, face, top, bottom, steel, wood)
    steels, woods = spread(top, bottom, steel), spread(top, bottom, wood)
    pane.note(f"{words[0]}, one per ply", face + LEG_16, top + (bottom - top) * 0.04)
    member = WORDS[end.member.kind].lower()
    pane.note(
        f"{steel} self-drilling screws to the {member}", face + LEG_16 / 2 + 4, steels[len(steels) // 3]
    )
    thick = pane.length(found.practice.rim_thickness_16)
    pane.note(f"{wood} wood screws to the {words[1]}, {thick} thick", face - 4, woods[len(woods) * 2 // 3])


def draw_joist(
    pane: Pane, profile: JoistProfile, low: float, high: float, *, broken: str, hidden_to: float | None = None
) -> None:
    """A joist from its open side: flanges and lips, cut ends, a break line where it goes on.

    `hidden_to`: up to there it stands behind another one and is dashed.
    """
    depth, lip = profile.depth_16, profile.lip_in * 16
    seen = low if hidden_to is None else hidden_to
    for y, css in ((0.0, "dw-joist"), (lip, "dw-run"), (depth - lip, "dw-run"), (float(depth), "dw-joist")):
        pane.path(css, ((seen, y), (high, y)))
    for name, x in (("low", low), ("high", high)):
        if broken in (name, "both"):
            pane.cut(x, 0, depth)
        else:
            pane.path("dw-joist", ((x, 0), (x, depth)), dashed=seen > x)


def spread(low: float, high: float, count: int) -> list[float]:
    """`count` places evenly between two, half a step from each."""
    return [low + (high - low) * (index + 0.5) / count for index in range(count)]


def _draw_clip(pane: Pane, face: float, top: float, bottom: float, steel: int, wood: int) -> None:
    pane.box("dw-header", face, top, face + LEG_16, bottom)
    pane.fasteners([(face + LEG_16 / 2, y) for y in spread(top, bottom, steel)], "steel-screw")
    pane.shanks([(face, y, face - 14, y) for y in spread(top, bottom, wood)], "wood-screw")


def _draw_platform(found: Conditions, end: End, pane: Pane, depth: float) -> None:
    """Plate and wall under the joist, and the nails of one ply."""
    width, member = edge_of(found, end).width_16, end.member
    draw_wall(pane, 0, width, depth)
    nails = found.count(member.id, Item.BEARING_NAIL, end.name) // member.plies
    start = found.practice.rim_thickness_16 + LEG_16 + 8
    pane.shanks([(x, depth - 6, x, depth + 20) for x in spread(start, width, nails)], "bearing-nail")
    pane.note(f"{nails} bearing nails per ply to the plate", start + (width - start) / 2 + 4, depth + 12)
    pane.note(f"Wall {pane.length(width)} wide", width - 6, depth + _PLATE_16 + 20)


def draw_wall(pane: Pane, low: float, high: float, top: float) -> None:
    """A plate and the broken-off wall under it."""
    foot = top + _PLATE_16 + 30
    pane.box("dw-wall", low, top, high, top + _PLATE_16)
    for x in (low, high):
        pane.path("dw-wall", ((x, top + _PLATE_16), (x, foot)))
    pane.path("dw-run", ((low - 6, foot), ((low + high) / 2 - 6, foot), ((low + high) / 2 - 2, foot - 8),
                         ((low + high) / 2 + 2, foot + 8), ((low + high) / 2 + 6, foot), (high + 6, foot)))  # fmt: skip


def _draw_ledger(found: Conditions, end: End, pane: Pane, depth: float) -> None:
    """The wall's face that goes on above and below the floor."""
    del found
    pane.path("dw-wall", ((0, -14), (0, 0)))
    pane.path("dw-wall", ((0, depth), (0, depth + 40)))
    pane.note(
        f"Ledger on the wall; no plate under the {'joist' if end.member.plies == 1 else 'member'}",
        0,
        depth + 24,
    )
