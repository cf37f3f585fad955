"""Fastener groups: how many of which, at the thing they hold; and the nails into wood plates (R21)."""

from __future__ import annotations

from collections.abc import Iterator

from framing.engine.fitout.scene import Scene, ends
from framing.engine.geometry import Point
from framing.engine.members import EndKind
from framing.engine.placement import Item, Placed

_ON_PLATE = (EndKind.PLATFORM, EndKind.LAP, EndKind.BUTT)
_WHY = {
    EndKind.PLATFORM: "plates at platform bearings",
    EndKind.LAP: "plates under laps",
    EndKind.BUTT: "plates under butts",
}


def group(host: str, item: Item, quantity: int, at: Point, rule: str, why: str, *, part: str = "") -> Placed:
    """`quantity` fasteners that hold the placed thing `host`; `part` tells equal groups of one host apart."""
    place = f"{host}/{part}" if part else host
    return Placed(
        f"{item.value}:{place}:{why.replace(' ', '-')}", item, "", quantity, "piece", at, rule, why, host
    )


def plate_nails(scene: Scene) -> Iterator[Placed]:
    """Bearing nails of every ply at each plate that its member ends on or crosses (R21)."""
    nails = scene.practice.bearing_nails
    for member in scene.members:
        count = nails * member.plies
        for name, end, cut_16 in ends(member):
            if end.kind in _ON_PLATE:
                at = scene.on_member(member, cut_16)
                yield group(member.id, Item.BEARING_NAIL, count, at, "R21", _WHY[end.kind], part=name)
        for crossing in member.crossings:
            at = scene.on_member(member, crossing.centre_16)
            why = "plates that through joists cross"
            yield group(member.id, Item.BEARING_NAIL, count, at, "R21", why, part=crossing.support)
