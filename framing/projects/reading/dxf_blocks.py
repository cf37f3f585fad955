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
BROKEN: Final = "is damaged"
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
    name, times = _block_name(thing), array_of(thing)
    if depth > DEEPEST or name not in drawing.blocks:
        return min(times, EXPLODED_MOST + 1)
    key = (name, depth)
    if key not in known:
        known[key] = 0
        for inner in drawing.blocks[name]:
            known[key] += _count(drawing, inner, depth + 1, known)
            if known[key] > EXPLODED_MOST:
                break
    return min(times * (1 + known[key]), EXPLODED_MOST + 1)


def array_of(thing: DXFEntity) -> int:
    """How often an insert repeats its block."""
    columns, rows = attribute(thing, "column_count", 1), attribute(thing, "row_count", 1)
    spread = (attribute(thing, "column_spacing", 0.0), attribute(thing, "row_spacing", 0.0))
    return max((columns if spread[0] else 1) * (rows if spread[1] else 1), 1)


def attribute(thing: Any, name: str, usual: Any) -> Any:
    """A thing's attribute as far as it is one of its kind's; else the usual value."""
    try:
        value = thing.dxf.get(name, usual)
    except Exception:  # a thing that the file holds in a wrong place knows no such attribute
        return usual
    return value if isinstance(value, type(usual)) else usual


def walk_things(drawing: Drawing) -> Iterator[tuple[DXFEntity, str, str]]:
    """Each thing of the model space with its layer and, for a block that is not taken apart, the reason.

    Things on layer 0 of a block lie on the layer that the block was set on.
    """
    waiting: list[tuple[Any, str, tuple[str, ...]]] = [
        (thing, "", ()) for thing in reversed(list(drawing.modelspace()))
    ]
    while waiting:
        thing, above, trail = waiting.pop()
        own = attribute(thing, "layer", "0")
        layer = above if own == "0" and above else own
        if thing.dxftype() != "INSERT":
            yield thing, layer, ""
            continue
        name = _block_name(thing)
        why = _why_whole(drawing, name, trail)
        inner = [] if why else _parts(thing)
        if inner is None:
            why, inner = BROKEN, []
        if why:
            yield thing, layer, why
        waiting += [(part, layer, (*trail, name)) for part in reversed(inner)]


def _parts(insert: Any) -> list[Any] | None:
    """The things of a block where it is set, in all its repeats; None where it can't be set."""
    try:
        copies = list(insert.multi_insert()) if array_of(insert) > 1 else [insert]
        return [part for copy in copies for part in copy.virtual_entities()]
    except MemoryError:
        raise
    except Exception:  # a block whose place or scale is missing or of the wrong kind
        return None


def _block_name(thing: DXFEntity) -> str:
    return str(attribute(thing, "name", "")).casefold()


def _why_whole(drawing: Drawing, name: str, trail: tuple[str, ...]) -> str:
    if name in trail:
        return OF_ITSELF
    if len(trail) >= DEEPEST:
        return TOO_DEEP
    return "" if name in drawing.blocks else UNKNOWN
