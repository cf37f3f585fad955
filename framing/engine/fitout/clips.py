"""End clips and their screws (R20)."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache

from framing.engine.fitout.fasteners import group
from framing.engine.fitout.scene import Scene, ends
from framing.engine.lean import Number, whole
from framing.engine.members import EndKind, Member, MemberEnd, MemberKind
from framing.engine.placement import Item, Placed

_WHY = {
    EndKind.PLATFORM: "joist ends at platform bearings",
    EndKind.BALLOON: "joist ends at ledgers",
    EndKind.FREE: "joist ends at free edges",
    EndKind.HEADER: "tail ends at headers",
    EndKind.TRIMMER: "header ends at trimmers",
    EndKind.FLUSH: "joist ends at flush beams",
}
_WHY_OF = {
    (MemberKind.HEADER, EndKind.PLATFORM): "header ends at outside walls",
    (MemberKind.BEAM, EndKind.PLATFORM): "beam ends at outside walls",
    (MemberKind.TRIMMER, EndKind.HEADER): "trimmer ends at headers",
}
_INTO_WOOD = (EndKind.PLATFORM, EndKind.BALLOON, EndKind.FREE)


def end_clips(scene: Scene) -> Iterator[Placed]:
    """One clip per ply at each end that meets a rim, ledger, header, trimmer or flush beam; none at a lap or butt."""
    for member in scene.members:
        for name, end, cut_16 in ends(member):
            if end.kind in _WHY:
                yield from _clips_of_end(scene, member, name, end, cut_16)


def _clips_of_end(scene: Scene, member: Member, name: str, end: MemberEnd, cut_16: int) -> Iterator[Placed]:
    item, label = _clip_at(end.kind)
    size, screws, why = (
        scene.size(member),
        scene.screws(member),
        _WHY_OF.get((member.kind, end.kind), _WHY[end.kind]),
    )
    leg = f"{label}, joist leg"
    for ply, beside in enumerate(_off_centre(member.width_16, member.plies)):
        clip_id = f"clip:{member.id}:{name}:{ply}"
        at = scene.on_member(member, cut_16, beside)
        yield Placed(clip_id, item, size, 1, "piece", at, "R20", why, member.id)
        yield group(clip_id, Item.STEEL_SCREW, screws, at, "R20", leg)
        if end.kind in _INTO_WOOD:
            yield group(clip_id, Item.WOOD_SCREW, screws, at, "R20", f"{label}, leg on rim or ledger")
        else:
            yield group(clip_id, Item.STEEL_SCREW, screws, at, "R20", f"{label}, leg on steel")


def _clip_at(kind: EndKind) -> tuple[Item, str]:
    """Full depth under a wall that stands on the floor, a short angle elsewhere."""
    if kind is EndKind.PLATFORM:
        return Item.BEARING_CLIP, "bearing clip"
    return Item.CLIP_ANGLE, "clip angle"


@lru_cache(maxsize=64)
def _off_centre(width_16: int, plies: int) -> tuple[Number, ...]:
    """The middle of each ply, measured from the middle of all."""
    flange = Fraction(width_16, plies)
    return tuple(whole(flange * ply + (flange - width_16) / 2) for ply in range(plies))
