"""Fastener groups: how many of which, at the thing they hold; and the nails into wood plates (R21)."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from framing.engine.fitout.scene import Scene, ends
from framing.engine.geometry import Point
from framing.engine.members import EndKind, MemberKind
from framing.engine.placement import Item, Placed

_WHY = {
    EndKind.PLATFORM: "plates at platform bearings",
    EndKind.LAP: "plates under laps",
    EndKind.BUTT: "plates under butts",
}


def group(host: str, item: Item, quantity: int, at: Point, rule: str, why: str, *, part: str = "") -> Placed:
    """`quantity` fasteners that hold the placed thing `host`; `part` tells equal groups of one host apart."""
    place = f"{host}/{part}" if part else host
    group_id = ":".join((item, place, _dashed(why)))
    return Placed(group_id, item, "", quantity, "piece", at, rule, why, host)


@lru_cache(maxsize=128)
def _dashed(why: str) -> str:
    return why.replace(" ", "-")


def plate_nails(scene: Scene) -> Iterator[Placed]:
    """Bearing nails of every ply at each plate that its member ends on or crosses (R21).

    None at ledgers, headers, flush beams and free edges: there is no plate.
    """
    nails = scene.practice.bearing_nails
    for member in scene.members:
        count = nails * member.plies
        for name, end, cut_16 in ends(member):
            if end.kind in _WHY:
                at = scene.on_member(member, cut_16)
                yield group(member.id, Item.BEARING_NAIL, count, at, "R21", _WHY[end.kind], part=name)
        for crossing in member.crossings:
            at = scene.on_member(member, crossing.centre_16)
            beam = member.kind is MemberKind.BEAM and member.runs == "across"
            why = "plates that flush beams cross" if beam else "plates that through joists cross"
            yield group(member.id, Item.BEARING_NAIL, count, at, "R21", why, part=crossing.support)
