"""Bridging strap, its turned-up ends and its screws (R27)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from framing.engine.fitout.bridging import Passing
from framing.engine.fitout.fasteners import group
from framing.engine.fitout.scene import Scene
from framing.engine.placement import Item, Placed

Blocks = Mapping[int, Sequence[tuple[int, Placed]]]


def straps(scene: Scene, passings: Sequence[Passing], blocks: Sequence[Placed]) -> Iterator[Placed]:
    """One strap per run, six inches more at each outside wall, screws to joists and blocks.

    Args:
        scene: the bay.
        passings: its runs, with the members over them. One that ends at a border just ends there.
        blocks: solid blocks, ladder blocks and packers already placed on this bay.
    """
    by_along = _by_along(scene, blocks)
    for passing in passings:
        strap_id = f"strap:{passing.line.id}:{passing.number}"
        yield from _strap(scene, passing, strap_id)
        yield from _screws(scene, passing, strap_id, by_along)


def _strap(scene: Scene, passing: Passing, strap_id: str) -> Iterator[Placed]:
    line, run = passing.line, passing.run
    low, high = scene.at(run.across_low_16, line.along_16), scene.at(run.across_high_16, line.along_16)
    length, why = run.across_high_16 - run.across_low_16, "under the joists"
    yield Placed(strap_id, Item.STRAP, "", length, "length_16", low, "R27", why, line.id, to=high)
    for name, stop, at in (("low", run.low_stop, low), ("high", run.high_stop, high)):
        if not stop.startswith("edge:"):
            continue
        turned, why = f"{strap_id}:{name}", "turned up the rims"
        up, nails = scene.practice.strap_turn_up_16, scene.practice.strap_end_nails
        yield Placed(turned, Item.STRAP, "", up, "length_16", at, "R27", why, line.id)
        yield group(turned, Item.BEARING_NAIL, nails, at, "R27", "strap ends up the rims")


def _by_along(scene: Scene, blocks: Sequence[Placed]) -> Blocks:
    """Solid and ladder blocks with their across-coordinate, by their along-coordinate."""
    frame = scene.frame
    found: dict[int, list[tuple[int, Placed]]] = {}
    for block in blocks:
        if block.item in (Item.SOLID_BLOCK, Item.LADDER_BLOCK):
            found.setdefault(frame.along_16(block.at), []).append((frame.across_16(block.at), block))
    return found


def _screws(scene: Scene, passing: Passing, strap_id: str, blocks: Blocks) -> Iterator[Placed]:
    along, run = passing.line.along_16, passing.run
    for member in passing.members:
        at = scene.at(member.centre_16, along)
        why = "one per ply crossed"
        yield group(strap_id, Item.STRAP_SCREW, member.plies, at, "R27", why, part=member.id)
    for across, block in blocks.get(along, ()):
        if run.across_low_16 <= across <= run.across_high_16:
            why = "two at each block"
            yield group(strap_id, Item.STRAP_SCREW, 2, block.at, "R27", why, part=block.id)
