"""Bridging strap, its turned-up ends and its screws (R27)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from framing.engine.fitout.bridging import crossed
from framing.engine.fitout.fasteners import group
from framing.engine.fitout.scene import Scene
from framing.engine.placement import BridgingLine, BridgingRun, Item, Placed


def straps(scene: Scene, lines: Sequence[BridgingLine], blocks: Sequence[Placed]) -> Iterator[Placed]:
    """One strap per run, six inches more at each outside wall, screws to joists and blocks.

    Args:
        scene: the bay.
        lines: its bridging lines.
        blocks: solid blocks, ladder blocks and packers already placed on this bay.
    """
    for line in lines:
        for number, run in enumerate(line.runs):
            strap_id = f"strap:{line.id}:{number}"
            yield from _strap(scene, line, run, strap_id)
            yield from _screws(scene, line, run, strap_id, blocks)


def _strap(scene: Scene, line: BridgingLine, run: BridgingRun, strap_id: str) -> Iterator[Placed]:
    low, high = scene.at(run.across_low_16, line.along_16), scene.at(run.across_high_16, line.along_16)
    length = run.across_high_16 - run.across_low_16
    yield Placed(
        strap_id, Item.STRAP, "", length, "length_16", low, "R27", "under the joists", line.id, to=high
    )
    for name, stop, at in (("low", run.low_stop, low), ("high", run.high_stop, high)):
        if not stop.startswith("edge:"):
            continue
        turned = f"{strap_id}:{name}"
        up = scene.practice.strap_turn_up_16
        yield Placed(turned, Item.STRAP, "", up, "length_16", at, "R27", "turned up the rims", line.id)
        yield group(
            turned, Item.BEARING_NAIL, scene.practice.strap_end_nails, at, "R27", "strap ends up the rims"
        )


def _screws(
    scene: Scene, line: BridgingLine, run: BridgingRun, strap_id: str, blocks: Sequence[Placed]
) -> Iterator[Placed]:
    for member in crossed(scene, run, line.along_16):
        at = scene.at(member.centre_16, line.along_16)
        why = "one per ply crossed"
        yield group(strap_id, Item.STRAP_SCREW, member.plies, at, "R27", why, part=member.id)
    frame = scene.layout.frame
    for block in blocks:
        if block.item not in (Item.SOLID_BLOCK, Item.LADDER_BLOCK):
            continue
        across, along = frame.across_16(block.at), frame.along_16(block.at)
        if along == line.along_16 and run.across_low_16 <= across <= run.across_high_16:
            yield group(strap_id, Item.STRAP_SCREW, 2, block.at, "R27", "two at each block", part=block.id)
