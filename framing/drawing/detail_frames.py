"""Details inside the floor: built-up members, headers at trimmers with tails, bridging with solid blocks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from framing.drawing.conditions import Conditions
from framing.drawing.detail_ends import spread
from framing.drawing.pane import Detail, Pane, large_scale, middle_scale
from framing.engine.catalogue import JoistProfile
from framing.engine.floor import Opening, OpeningKind
from framing.engine.members import FramedOpening, Member
from framing.engine.placement import BridgingLine, Item, Placed

_REACH_16 = 116  # how far a trimmer is drawn beside the opening
_TAIL_16 = 72  # where the nearest tail is drawn; between is a break


def frame_details(found: Conditions) -> Iterator[Detail]:
    """Headers at trimmers (R7, R20), then bridging (R24, R25, R27)."""
    yield from _headers(found)
    yield from _bridging(found)


def _headers(found: Conditions) -> Iterator[Detail]:
    openings = {opening.id: opening for opening in found.result.plan.openings}
    rows = [(framed, header) for layout in found.result.bays for framed in layout.openings
            if framed.trimmer_low or framed.trimmer_high
            for header in (framed.header_low, framed.header_high) if header]  # fmt: skip
    if not rows:
        return
    rows.sort(
        key=lambda row: (openings[row[0].opening].kind is not OpeningKind.STAIR, not _tails(found, row[1]))
    )
    framed, header = rows[0]
    draw = partial(_draw_header, found, _corner(found, framed, header), openings[framed.opening])
    title = f"Header at a trimmer, {found.members[header].profile}, from above"
    places = f"{len(rows)} header{'s' if len(rows) > 1 else ''}"
    yield Detail("header", title, "R7, R20", places, large_scale(found.units), found.units, draw)


@dataclass(frozen=True, slots=True)
class _Corner:
    """The corner of a header and a trimmer: distances in sixteenths, `end` is the header's end there."""

    trimmer: Member
    header: Member
    end: str
    beside_16: int  # from the opening's edge to the trimmer's near face
    off_16: int  # and to the header's
    gap_16: int  # from the header's end to the trimmer


def _corner(found: Conditions, framed: FramedOpening, name: str) -> _Corner:
    """At the low trimmer, or at the high one where the low side lies at a wall."""
    header, trimmer = found.members[name], found.members[framed.trimmer_low or framed.trimmer_high or ""]
    if framed.trimmer_low:
        face = 2 * trimmer.centre_16 + trimmer.width_16
        beside, gap, end = 2 * framed.across_low_16 - face, 2 * header.low_16 - face, "low"
    else:
        face = 2 * trimmer.centre_16 - trimmer.width_16
        beside, gap, end = face - 2 * framed.across_high_16, face - 2 * header.high_16, "high"
    if name == framed.header_low:
        off = 2 * framed.along_low_16 - (2 * header.centre_16 + header.width_16)
    else:
        off = (2 * header.centre_16 - header.width_16) - 2 * framed.along_high_16
    return _Corner(trimmer, header, end, beside // 2, off // 2, gap // 2)


def _tails(found: Conditions, header: str) -> list[tuple[Member, str]]:
    return [(m, name) for m in found.result.members for name, end in (("low", m.low), ("high", m.high))
            if end.host == header and m.runs == "along"]  # fmt: skip


def _draw_header(found: Conditions, corner: _Corner, opening: Opening, pane: Pane) -> None:
    """The opening's corner at a trimmer: the trimmer upright, the header level under the opening, a tail under it."""
    trimmer, header = corner.trimmer, corner.header
    beside, off, gap = corner.beside_16, corner.off_16, corner.gap_16
    face, near = trimmer.width_16, 64 + off  # the trimmer's near face, the header's
    far = near + header.width_16
    bottom = far + _REACH_16
    _plies(pane, trimmer, 0, 0, bottom)
    tails = _tails(found, header.id)
    for ply in range(header.plies + 1):
        y = near + header.width_16 * ply / header.plies
        pane.path("dw-header", ((face + gap, y), (pane.right_16, y)))
    pane.path("dw-header", ((face + gap, near), (face + gap, far)))
    pane.cut(pane.right_16, near, far)
    pane.path("dw-opening", ((face + beside, 0), (face + beside, near - off), (pane.right_16, near - off)))
    pane.path("dw-opening", ((face + beside, near - off), (face + beside + 60, 0)))
    _header_clips(found, pane, corner, face, near)
    label = "trimmer and header" + (", inner rim board between" if opening.kind is OpeningKind.STAIR else "")
    pane.note(f"Opening edge {pane.length(off)} off {label}", face + beside + 40, near - off)
    pane.note(
        f"Header of {header.plies} plies ends {pane.length(gap)} short of the trimmer", face + gap, near + 6
    )
    clip = f"clip:{header.id}:{corner.end}:0"
    each = found.count(clip, Item.STEEL_SCREW) // 2
    pane.note(f"Clip angle per ply, {each} self-drilling screws in each leg", face + gap + 14, far - 6)
    if tails:
        _draw_tail(found, pane, header, tails[0], face + _TAIL_16, far, bottom)
    pane.note(f"Trimmer of {trimmer.plies} plies, full length of its span", face / 2, bottom - 30)


def _plies(pane: Pane, member: Member, left: float, top: float, bottom: float) -> None:
    for ply in range(member.plies + 1):
        x = left + member.width_16 * ply / member.plies
        pane.path("dw-trimmer", ((x, top), (x, bottom)))
    for y in (top, bottom):
        pane.path("dw-run", ((left - 8, y), (left + member.width_16 + 8, y)))


def _header_clips(found: Conditions, pane: Pane, corner: _Corner, face: float, near: float) -> None:
    """One angle per ply of the header, both legs seen from above."""
    header = corner.header
    clips = [thing for thing in found.by_host.get(header.id, ())
             if thing.item is Item.CLIP_ANGLE and thing.id.startswith(f"clip:{header.id}:{corner.end}:")]  # fmt: skip
    flange = header.width_16 / header.plies
    for index, _ in enumerate(clips):
        y = near + flange * (index + 0.25)
        pane.path("dw-block", ((face + 1, y + flange / 2), (face + 1, y), (face + 24, y)))


def _draw_tail(
    found: Conditions,
    pane: Pane,
    header: Member,
    tail: tuple[Member, str],
    left: float,
    far: float,
    bottom: float,
) -> None:
    member, name = tail
    twice = 2 * header.centre_16 - header.width_16 - 2 * member.high_16 if name == "high" else (
        2 * member.low_16 - 2 * header.centre_16 - header.width_16
    )  # fmt: skip
    gap, width = twice // 2, member.width_16
    for x in (left, left + width):
        pane.path("dw-joist", ((x, far + gap), (x, bottom)))
    pane.path("dw-joist", ((left, far + gap), (left + width, far + gap)))
    pane.path("dw-run", ((left - 8, bottom), (left + width + 8, bottom)))
    pane.path("dw-block", ((left - 20, far + 1), (left, far + 1), (left, far + 24)))
    clip = f"clip:{member.id}:{name}:0"
    each = found.count(clip, Item.STEEL_SCREW) // 2
    words = f"Tail ends {pane.length(gap)} short of the header: clip angle, {each} self-drilling screws in each leg"
    pane.note(words, left + width, far + gap + 16)


def _bridging(found: Conditions) -> Iterator[Detail]:
    blocks = found.placed(Item.SOLID_BLOCK)
    lines = {line.id: line for line in found.result.lines}
    done: set[str] = set()
    for block in blocks:
        if block.size in done or block.to is None:
            continue
        done.add(block.size)
        alike = [other for other in blocks if other.size == block.size]
        draw = partial(_draw_bridging, found, block, lines[block.host])
        title = f"Bridging strap and solid block, {block.size}"
        places = f"{len(alike)} block{'s' if len(alike) > 1 else ''}"
        yield Detail("bridging", title, "R24, R25, R27", places, middle_scale(found.units), found.units, draw)


def _draw_bridging(found: Conditions, block: Placed, line: BridgingLine, pane: Pane) -> None:
    """Along the joists: two of them, the block between, the strap under all."""
    profile = found.catalogue.profile(block.size)
    frame = found.frames[line.bay]
    low, high = sorted((frame.across_16(block.at), frame.across_16(block.to or block.at)))
    clear, flange, depth, left = high - low, profile.flange_16, profile.depth_16, 24.0
    draw_section(pane, profile, left, 0)
    draw_section(pane, profile, left + flange + clear, 0)
    right = left + 2 * flange + clear
    pane.box("dw-joist", left + flange + 2, 2, left + flange + clear - 2, depth - 2)
    under = depth + 5
    pane.path("dw-block", ((0, under), (right + 24, under)))
    screws = found.count(block.id, Item.STEEL_SCREW)
    half = screws // 2
    places = [(left + flange + 10, y) for y in spread(depth * 0.25, depth * 0.75, half)]
    places += [(left + flange + clear - 10, y) for y in spread(depth * 0.25, depth * 0.75, screws - half)]
    pane.fasteners(places, "steel-screw")
    strap = sum(t.quantity for t in found.placed(Item.STRAP_SCREW) if f"/{block.id}:" in t.id)
    xs = spread(left + flange, left + flange + clear, strap)
    pane.shanks([(x, depth - 10, x, under + 6) for x in xs], "strap-screw")
    pane.shanks(
        [(x, depth - 10, x, under + 6) for x in (left + flange / 2, right - flange / 2)], "strap-screw"
    )
    pane.depth(left, 0, depth)
    pane.level(left + flange, left + flange + clear, under, 4.0)
    middle = left + flange + clear / 2
    pane.note(f"Solid block, {profile.designator}", middle, depth * 0.2)
    pane.note(f"{half} self-drilling screws at each end", left + flange + clear - 10, depth * 0.62)
    pane.note(f"Strap screws: one per ply crossed, {strap} at the block", xs[-1] if xs else middle, depth - 6)
    words = f"Strap under the joists; clear to the next line or bearing {pane.length(line.clear_16)}"
    pane.note(words, right + 16, under)


def draw_section(pane: Pane, profile: JoistProfile, left: float, top: float) -> None:
    """A lipped C across, open to the right."""
    flange, depth, lip = profile.flange_16, profile.depth_16, profile.lip_in * 16
    right, bottom = left + flange, top + depth
    pane.path(
        "dw-header",
        (
            (right, top + lip),
            (right, top),
            (left, top),
            (left, bottom),
            (right, bottom),
            (right, bottom - lip),
        ),
    )
