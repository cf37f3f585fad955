"""The things of a drawing's model space with its blocks taken apart, within limits that are counted beforehand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Final

from framing.common.bounded import JobRefused

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity

DEEPEST: Final = 8
"""Blocks in blocks that are taken apart; what is nested deeper is left."""
EXPLODED_MOST: Final = 40_000
TOO_DEEP: Final = f"is nested more than {DEEPEST} deep"
OF_ITSELF: Final = "holds itself"
UNKNOWN: Final = "names a block that is not in the file"


def check_blocks(drawing: Drawing) -> None:
    """Refuse a drawing whose blocks come to more things than can be taken apart, without taking one apart."""
    known: dict[tuple[str, int], int] = {}
    things = sum(_count(drawing, thing, 1, known) for thing in drawing.modelspace())
    if things > EXPLODED_MOST:
        raise JobRefused(
            f"With its blocks taken apart the drawing has more than {EXPLODED_MOST:,} things; at most so many are "
            "read. Save only the floor's own layers, without furniture, and add that."
        )


def _count(drawing: Drawing, thing: DXFEntity, depth: int, known: dict[tuple[str, int], int]) -> int:
    """Things that an entity comes to, at most a little over the limit."""
    if thing.dxftype() != "INSERT":
        return 1
    name, times = thing.dxf.get("name", ""), array_of(thing)
    if depth > DEEPEST or name not in drawing.blocks:
        return min(times, EXPLODED_MOST + 1)
    key = (str(name).casefold(), depth)
    if key not in known:
        known[key] = 0
        for inner in drawing.blocks[name]:
            known[key] += _count(drawing, inner, depth + 1, known)
            if known[key] > EXPLODED_MOST:
                break
    return min(times * (1 + known[key]), EXPLODED_MOST + 1)


def array_of(thing: Any) -> int:
    """How often an insert repeats its block."""
    columns, rows = thing.dxf.get("column_count", 1), thing.dxf.get("row_count", 1)
    spread = (thing.dxf.get("column_spacing", 0.0), thing.dxf.get("row_spacing", 0.0))
    return max((columns if spread[0] else 1) * (rows if spread[1] else 1), 1)


def walk_things(drawing: Drawing) -> Iterator[tuple[DXFEntity, str, str]]:
    """Each thing of the model space with its layer and, for a block that is not taken apart, the reason.

    Things on layer 0 of a block lie on the layer that the block was set on.
    """
    waiting: list[tuple[Any, str, tuple[str, ...]]] = [
        (thing, "", ()) for thing in reversed(list(drawing.modelspace()))
    ]
    while waiting:
        thing, above, trail = waiting.pop()
        own = str(thing.dxf.get("layer", "0"))
        layer = above if own == "0" and above else own
        if thing.dxftype() != "INSERT":
            yield thing, layer, ""
            continue
        name = str(thing.dxf.get("name", "")).casefold()
        why = _why_whole(drawing, name, trail)
        if why:
            yield thing, layer, why
            continue
        copies = list(thing.multi_insert()) if array_of(thing) > 1 else [thing]
        for copy in reversed(copies):
            inner = list(copy.virtual_entities())
            waiting += [(part, layer, (*trail, name)) for part in reversed(inner)]


def _why_whole(drawing: Drawing, name: str, trail: tuple[str, ...]) -> str:
    if name in trail:
        return OF_ITSELF
    if len(trail) >= DEEPEST:
        return TOO_DEEP
    return "" if name in drawing.blocks else UNKNOWN
