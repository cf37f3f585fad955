"""Details of built-up members: the plies across, and where the ply clips stand (R7, R22)."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from itertools import pairwise

from framing.drawing.conditions import Conditions
from framing.drawing.detail_frames import draw_section
from framing.drawing.elevation_rows import KINDS
from framing.drawing.elevation_views import draw_break
from framing.drawing.labels import TEXT
from framing.drawing.pane import PANE_WIDTH, Detail, Pane, large_scale, wrapped
from framing.drawing.paper import MM_PER_16, Box, Spot, Stroke
from framing.drawing.stretch import lay_stretch
from framing.drawing.svg import text_width
from framing.engine.floor import Units
from framing.engine.members import Member
from framing.engine.placement import Item, Placed
from framing.engine.units import format_length

_ELEVATION, _TOP = 42.0, 13.5  # mm from the pane's corner
_ROOM = PANE_WIDTH - _ELEVATION - 4.0
_SCALES: dict[Units, tuple[tuple[float, str], ...]] = {
    "imperial": ((24.0, '1/2" = 1\'-0"'), (48.0, '1/4" = 1\'-0"'), (96.0, '1/8" = 1\'-0"')),
    "metric": ((25.0, "1 : 25"), (50.0, "1 : 50"), (100.0, "1 : 100")),
}


def ply_details(found: Conditions) -> Iterator[Detail]:
    """One for each kind of built-up member: the one with the most plies, then the longest."""
    kinds: dict[str, list[Member]] = {}
    for member in found.result.members:
        if member.plies > 1:
            kinds.setdefault(member.kind.value, []).append(member)
    scale, words = large_scale(found.units)
    for kind, members in kinds.items():
        member = min(members, key=lambda m: (-m.plies, -m.length_16, m.id))
        title = f"Built-up {KINDS[kind]}, {member.mark}, {member.plies} plies of {member.profile}"
        places = f"{len(members)} member{'s' if len(members) > 1 else ''}"
        both = (scale, f"{words}, along {_along_scale(found, member)[1]}")
        yield Detail(
            f"plies-{kind}", title, "R7, R22", places, both, found.units, partial(_draw, found, member)
        )


def _along_scale(found: Conditions, member: Member) -> tuple[float, str]:
    """The largest usual scale at which the whole member fits; it is broken only at the smallest."""
    scales = _SCALES[found.units]
    return next((row for row in scales if member.length_16 * MM_PER_16 / row[0] <= _ROOM), scales[-1])


def clips_of(found: Conditions, member: Member) -> tuple[list[Placed], list[int]]:
    """Ply clips of the first interface and their places from the member's low end."""
    frame = found.frames[member.bay]
    clips = [thing for thing in found.by_host.get(member.id, ())
             if thing.item is Item.PLY_CLIP and thing.id.startswith(f"ply:{member.id}:1:")]  # fmt: skip
    read = frame.along_16 if member.runs == "along" else frame.across_16
    return clips, [read(clip.at) - member.low_16 for clip in clips]


def _draw(found: Conditions, member: Member, pane: Pane) -> None:
    profile = found.profile(member)
    for ply in range(member.plies):
        draw_section(pane, profile, profile.flange_16 * ply, 0)
    pane.depth(0, 0, profile.depth_16)
    pane.level(0, member.width_16, profile.depth_16, 4.0)
    clips, places = clips_of(found, member)
    bottom = _draw_along(found, member, places, pane)
    screws = found.count(clips[0].id, Item.STEEL_SCREW)
    widest = max((b - a for a, b in pairwise(places)), default=0)
    words = (
        f"{len(clips)} ply clips per interface, {member.plies - 1} interface{'s' if member.plies > 2 else ''}; "
        f"{screws} self-drilling screws each; widest space {pane.length(widest)}."
    )
    most = int(_ROOM / text_width("n", TEXT, mono=False))
    for index, line in enumerate(wrapped(words, most)):
        spot = Spot(pane.corner.x + _ELEVATION, bottom + 4.0 + 3.9 * index)
        pane.canvas.text(line, spot, TEXT, "dw-text", anchor="start")


def _draw_along(found: Conditions, member: Member, places: list[int], pane: Pane) -> float:
    """The member from the side with its clips and their running lengths; the y under them."""
    scale = _along_scale(found, member)[0]
    stretch = lay_stretch(pane.corner.x + _ELEVATION, member.length_16, places, scale, _ROOM)
    upper = pane.corner.y + _TOP
    lower = upper + found.profile(member).depth_in * 25.4 / scale
    canvas = pane.canvas
    canvas.open("dw-trimmer")
    canvas.strokes(Stroke(Spot(a, y), Spot(b, y)) for y in (upper, lower) for a, b in stretch.parts)
    canvas.strokes(Stroke(Spot(x, upper), Spot(x, lower)) for x in (stretch.xs[0], stretch.xs[-1]))
    canvas.close()
    canvas.open("dw-run")
    for pair in stretch.breaks:
        for x in pair:
            draw_break(canvas, x, upper - 0.8, lower + 0.8)
    canvas.close()
    texts = [format_length(place, pane.units) for place in places]
    tall = max(text_width(words, TEXT, mono=True) for words in texts)
    canvas.open("dw-dim")
    canvas.strokes((Stroke(Spot(stretch.xs[0], lower + 3), Spot(stretch.x(places[-1]), lower + 3)),))
    canvas.circle(Spot(stretch.xs[0], lower + 3), 0.6)
    for place, words in zip(places, texts, strict=True):
        x = stretch.x(place)
        canvas.rect(Box(x - 0.6, upper + 0.4, x + 0.6, lower - 0.4), {"data-clip-16": str(place)})
        canvas.strokes((Stroke(Spot(x, lower + 0.6), Spot(x, lower + 3.8)),))
        canvas.text(words, Spot(x, lower + 4.8 + tall / 2), TEXT, "dw-dim-text", mono=True, turned=True)
    canvas.close()
    return lower + 4.8 + tall
