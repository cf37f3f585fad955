"""Details over inner bearings: lap, butt and through (R5, R21, R23)."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from framing.drawing.conditions import Conditions
from framing.drawing.detail_ends import draw_joist, draw_wall, spread
from framing.drawing.pane import Detail, Pane, large_scale
from framing.engine.floor import Support
from framing.engine.members import Crossing, EndKind, Member
from framing.engine.placement import Item, Placed

_PLATE_HALF_16 = 40  # half of the width a lap plate is drawn with
Pair = tuple[Placed, Member, Member, Support]


def bearing_details(found: Conditions) -> Iterator[Detail]:
    """Lap and butt by profile and bearing width, then joists that run through."""
    groups: dict[tuple[EndKind, str, int], list[Pair]] = {}
    for plate in found.placed(Item.LAP_PLATE):
        _, low, high = plate.id.split(":")
        support = found.supports.get(plate.host)
        if support is None:
            continue
        before, behind = found.members[low], found.members[high]
        key = (before.high.kind, before.profile, support.width_16)
        groups.setdefault(key, []).append((plate, before, behind, support))
    for (kind, profile, _), pairs in sorted(groups.items(), key=lambda row: row[0][0] is EndKind.BUTT):
        first = min(pairs, key=lambda pair: pair[1].plies + pair[2].plies)
        words = "Lap over an inner bearing" if kind is EndKind.LAP else "Butt over an inner bearing"
        places = f"{len(pairs)} pair{'s' if len(pairs) > 1 else ''}"
        draw = partial(_draw_pair, found, first)
        title = f"{words}, {profile}"
        yield Detail(kind.value, title, "R5, R21, R23", places, large_scale(found.units), found.units, draw)
    yield from _through(found)


def _draw_pair(found: Conditions, pair: Pair, pane: Pane) -> None:
    plate, low, high, support = pair
    past = low.high_16 - found.centre_16(support, low)
    before = found.centre_16(support, high) - high.low_16
    profile, width = found.profile(low), support.width_16
    depth, middle = profile.depth_16, pane.right_16 / 2
    draw_joist(pane, profile, 0, middle + past, broken="low")
    behind = middle + past if past + before > 0 else None
    draw_joist(pane, profile, middle - before, pane.right_16, broken="high", hidden_to=behind)
    draw_wall(pane, middle - width / 2, middle + width / 2, depth)
    screws = found.count(plate.id, Item.STEEL_SCREW)
    _draw_plate(pane, middle, depth, screws)
    each = found.count(low.id, Item.BEARING_NAIL, "high") // low.plies
    other = found.count(high.id, Item.BEARING_NAIL, "low") // high.plies
    nails = spread(middle - width / 2, middle + width / 2, each + other)
    pane.shanks([(x, depth - 6, x, depth + 20) for x in nails], "bearing-nail")
    pane.depth(0, 0, depth)
    row = spread(8, depth - 8, max(screws // 2, 1))
    pane.note("Lap plate, one per pair", middle + _PLATE_HALF_16, depth * 0.08)
    words = f"{screws // 2} self-drilling screws in each of the two"
    pane.note(words, middle + _PLATE_HALF_16 / 2 + 4, row[len(row) // 3])
    _note_joint(pane, low, high, past, before, middle, depth)
    pane.note(f"{each} bearing nails per ply, both members", nails[-1], depth + 13)
    pane.note(f"Bearing {pane.length(width)} wide", middle + width / 2, depth + 40)


def _note_joint(
    pane: Pane, low: Member, high: Member, past: int, before: int, middle: float, depth: float
) -> None:
    if past + before <= 0:
        pane.note(f"Each stops {pane.length(-past)} short of the center", middle, depth * 0.8)
        return
    apart = abs(low.centre_16 - high.centre_16)
    pane.note(f"Joist beside it, {pane.length(apart)} to the side", pane.right_16 - 8, depth * 0.6)
    pane.note(f"Each runs {pane.length(past)} past the center", middle + past, depth * 0.85)


def _draw_plate(pane: Pane, middle: float, depth: float, screws: int) -> None:
    half = screws // 2
    pane.box("dw-header", middle - _PLATE_HALF_16, 8, middle + _PLATE_HALF_16, depth - 8)
    places = [(middle - _PLATE_HALF_16 / 2, y) for y in spread(8, depth - 8, half)]
    places += [(middle + _PLATE_HALF_16 / 2, y) for y in spread(8, depth - 8, screws - half)]
    pane.fasteners(places, "steel-screw")


def _through(found: Conditions) -> Iterator[Detail]:
    groups: dict[tuple[str, int], list[tuple[Member, Crossing]]] = {}
    for member in found.result.members:
        for crossing in member.crossings:
            key = (member.profile, found.supports[f"support:{crossing.support}"].width_16)
            groups.setdefault(key, []).append((member, crossing))
    for (profile, width), rows in groups.items():
        member, crossing = min(rows, key=lambda row: row[0].plies)
        nails = found.count(member.id, Item.BEARING_NAIL, crossing.support) // member.plies
        draw = partial(_draw_through, found, member, width, nails)
        title = f"Through an inner bearing, {profile}"
        places = f"{len(rows)} crossing{'s' if len(rows) > 1 else ''}"
        yield Detail("through", title, "R5, R21", places, large_scale(found.units), found.units, draw)


def _draw_through(found: Conditions, member: Member, width: int, nails: int, pane: Pane) -> None:
    profile, middle = found.profile(member), pane.right_16 / 2
    depth = profile.depth_16
    draw_joist(pane, profile, 0, pane.right_16, broken="both")
    draw_wall(pane, middle - width / 2, middle + width / 2, depth)
    low, high = middle - width / 2, middle + width / 2
    pane.depth(0, 0, depth)
    pane.shanks([(x, depth - 6, x, depth + 20) for x in spread(low, high, nails)], "bearing-nail")
    pane.note(f"One piece, {pane.length(member.length_16)} long; no clip, no plate", middle, depth * 0.3)
    pane.note(f"{nails} bearing nails per ply to the plate", spread(low, high, nails)[-1], depth + 13)
    pane.note(f"Bearing {pane.length(width)} wide", high, depth + 40)
