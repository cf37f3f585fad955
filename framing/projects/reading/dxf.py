"""Reading a DXF drawing into what an import needs: paths by layer, texts, units as the file names them, what was left.

Facts are small, plain JSON; lengths in drawing units, the drawing moved so that its low corner is 0, 0. Which layer is
what, and in what units, is decided later, by a person.
"""

from __future__ import annotations

import io
import logging
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import TYPE_CHECKING, Any, Final

from framing.common.bounded import JobRefused
from framing.projects.reading.dxf_blocks import BROKEN, attribute, check_blocks, walk_things
from framing.projects.reading.dxf_guess import guess_layers
from framing.projects.reading.dxf_paths import FARTHEST, TAKEN, DrawnPath, Left, path_of_thing
from framing.projects.reading.dxf_text import drawn_parts, tagged_text
from framing.projects.reading.dxf_words import name_of, why_left

if TYPE_CHECKING:
    from ezdxf.audit import Auditor
    from ezdxf.document import Drawing

PIECES_MOST: Final = 20_000
LAYERS_MOST: Final = 200
TEXTS_MOST: Final = 500
_MENDED_MOST: Final = 8
_TEXTS: Final = frozenset({"TEXT", "MTEXT"})
PAPER_SPACE: Final = "lies in paper space"
_DAMAGED: Final = "The file is damaged; what could still be read was read."
_CANT: Final = (
    "This DXF is damaged so far that its lines can't be found. Open it in the program that made it, save it anew as "
    "DXF (the 2000 format or later) and add that."
)


@dataclass
class _Gathered:
    """What was found so far, by layer name."""

    paths: dict[str, list[DrawnPath]] = field(default_factory=dict)
    texts: list[tuple[float, float, str]] = field(default_factory=list)
    taken: Counter[tuple[str, str]] = field(default_factory=Counter)
    left: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    pieces: int = 0


def read_dxf(data: bytes, options: Mapping[str, Any]) -> tuple[dict[str, Any], list[bytes]]:
    """The facts of a DXF drawing, text or binary, R12 to 2018. Raises JobRefused with words."""
    del options
    text, mended = tagged_text(data)
    drawing, audit = _drawing(text)
    check_blocks(drawing)
    found = _gather(drawing)
    _check_found(found)
    return _facts(drawing, found, [*mended, *audit]), []


def _drawing(text: bytes) -> tuple[Drawing, list[str]]:
    """The drawing, mended as far as it can be, and what had to be."""
    logging.getLogger("ezdxf").setLevel(logging.CRITICAL)  # its warnings go into the report instead
    error: Exception | None = None
    for text_now, searching, words in (
        (text, False, []),
        (text, True, [_DAMAGED]),
        (drawn_parts(text), False, [_DAMAGED]),
        (drawn_parts(text), True, [_DAMAGED]),
    ):
        try:
            drawing, auditor = _recovered(text_now, searching)
        except MemoryError:
            raise
        except (
            Exception
        ) as fault:  # whatever a damaged file brings the library to: the next way looks for what is whole
            error = fault
        else:
            return drawing, [*words, *_audit_words(auditor)]
    raise JobRefused(_CANT) from error


def _recovered(text: bytes, searching: bool) -> tuple[Drawing, Auditor]:
    """The library's own recovery; with `searching` it passes over what is no tag."""
    from ezdxf import recover  # a second to load

    if not searching:
        return recover.read(io.BytesIO(text))
    tool = recover.Recover.run(io.BytesIO(text), loader=recover.synced_bytes_loader, errors="ignore")
    return recover._load_and_audit_document(tool)


def _audit_words(auditor: Auditor) -> list[str]:
    """What was wrong with the file, each kind of fault once."""
    faults = Counter(_plain(fault.message) for fault in (*auditor.errors, *auditor.fixes))
    words = [
        f"File mended: {message}" + (f" ({count} times)" if count > 1 else "")
        for message, count in faults.most_common(_MENDED_MOST)
    ]
    rest = sum(faults.values()) - sum(count for _, count in faults.most_common(_MENDED_MOST))
    return [*words, f"{rest:,} more small faults of the file were mended."] if rest else words


def _gather(drawing: Drawing) -> _Gathered:
    found = _Gathered()
    for thing, layer, why in walk_things(drawing):
        kind = thing.dxftype()
        name = _plain(layer) or "0"
        if kind in TAKEN:
            _take(found, thing, kind, name)
            continue
        found.left[name, kind, why or why_left(kind)] += 1
        if kind in _TEXTS and len(found.texts) < TEXTS_MOST:
            _note_text(found, thing)
    for layout in drawing.layouts:
        if layout.is_any_paperspace:
            for thing in layout:
                if thing.dxftype() != "VIEWPORT":
                    found.left[_plain(attribute(thing, "layer", "0")), thing.dxftype(), PAPER_SPACE] += 1
    return found


def _take(found: _Gathered, thing: Any, kind: str, layer: str) -> None:
    try:
        path = path_of_thing(thing)
    except Left as error:
        found.left[layer, kind, str(error)] += 1
        return
    except MemoryError:
        raise
    except Exception:  # a thing whose parts are missing or of the wrong kind
        found.left[layer, kind, BROKEN] += 1
        return
    found.paths.setdefault(layer, []).append(path)
    found.taken[layer, kind] += 1
    found.pieces += len(path.corners) - (not path.closed)


def _note_text(found: _Gathered, thing: Any) -> None:
    try:
        words = _plain(thing.plain_text())
        at = thing.dxf.insert
        if thing.dxftype() == "TEXT" and thing.dxf.hasattr("align_point") and thing.dxf.get("halign", 0):
            at = thing.dxf.align_point
    except (ValueError, TypeError, AttributeError, IndexError, KeyError):
        return
    if words and all(isfinite(value) and abs(value) <= FARTHEST for value in (at.x, at.y)):
        found.texts.append((at.x, at.y, words))


def _check_found(found: _Gathered) -> None:
    if not found.paths:
        paper = sum(count for (_, _, why), count in found.left.items() if why == PAPER_SPACE)
        where = f" {paper:,} things lie in paper space; draw the floor in model space." if paper else ""
        raise JobRefused(
            f"The drawing has no lines in its model space.{where} Save the floor plan as DXF and add that."
        )
    if found.pieces > PIECES_MOST:
        most = Counter({layer: len(paths) for layer, paths in found.paths.items()}).most_common(3)
        layers = ", ".join(f"“{layer}” ({count:,})" for layer, count in most)
        raise JobRefused(
            f"The drawing has {found.pieces:,} pieces of line; at most {PIECES_MOST:,} are read. Most lie on "
            f"{layers}. Save only the floor's own layers as a DXF and add that."
        )
    if len(found.paths) > LAYERS_MOST:
        raise JobRefused(
            f"The drawing has lines on {len(found.paths):,} layers; at most {LAYERS_MOST} are read. Save only the "
            "floor's own layers as a DXF and add that."
        )


def _facts(drawing: Drawing, found: _Gathered, mended: list[str]) -> dict[str, Any]:
    corners = [corner for paths in found.paths.values() for path in paths for corner in path.corners]
    low = (min(x for x, _, _ in corners), min(y for _, y, _ in corners))
    high = (max(x for x, _, _ in corners), max(y for _, y, _ in corners))
    names = sorted(found.paths, key=lambda name: (name.casefold(), name))
    layers = [
        {
            "name": name,
            "off": _is_off(drawing, name),
            "paths": [_packed(path, low) for path in found.paths[name]],
        }
        for name in names
    ]
    facts = {
        "format": drawing.acad_release,
        "units": _header(drawing, "$INSUNITS"),
        "measurement": _header(drawing, "$MEASUREMENT"),
        "size": [round(high[0] - low[0], 6), round(high[1] - low[1], 6)],
        "layers": layers,
        "texts": [[round(x - low[0], 6), round(y - low[1], 6), words] for x, y, words in found.texts],
        "taken": [[layer, name_of(kind, count)] for (layer, kind), count in sorted(found.taken.items())],
        "left": [
            [layer, name_of(kind, count), why] for (layer, kind, why), count in sorted(found.left.items())
        ],
        "mended": mended,
    }
    return facts | guess_layers(facts)


def _packed(path: DrawnPath, low: tuple[float, float]) -> list[float]:
    """[closed, fitted, x, y, bulge, x, y, bulge, ...]."""
    flags: list[float] = [int(path.closed), int(path.fitted)]
    for x, y, bulge in path.corners:
        flags += [round(x - low[0], 6), round(y - low[1], 6), round(bulge, 9)]
    return flags


def _header(drawing: Drawing, name: str) -> int | None:
    try:
        return int(drawing.header[name]) if name in drawing.header else None
    except (KeyError, ValueError, TypeError, OverflowError):
        return None


def _is_off(drawing: Drawing, name: str) -> bool:
    try:
        layer = drawing.layers.get(name)
        return bool(layer.is_off() or layer.is_frozen())
    except Exception:  # a layer that the file does not describe, or describes wrongly
        return False


def _plain(text: str) -> str:
    """One printable line of at most 80 signs."""
    clean = "".join(sign if sign.isprintable() else " " for sign in text[:400])
    return " ".join(clean.split())[:80]
