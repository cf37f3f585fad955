"""Building a floor document from the few figures of a plain rectangle, for entry by dimensions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from framing.engine.document.reading import read_document
from framing.engine.document.shape import FloorDocument, Length
from framing.engine.floor import Units


def rectangle_document(
    *,
    name: str,
    width: Length,
    depth: Length,
    direction: Literal["x", "y"] = "y",
    spacing: Length = "16",
    level: str = "1",
    units: Units = "imperial",
    start: Literal["low", "high"] = "low",
    profile: str | None = None,
    edges: Sequence[Mapping[str, Any]] = (),
    supports: Sequence[Mapping[str, Any]] = (),
    openings: Sequence[Mapping[str, Any]] = (),
    load_case: Mapping[str, Any] | None = None,
    repeat: int = 1,
) -> FloorDocument:
    """A rectangle of `width` (plan x) by `depth` (plan y) with its low corner at 0, 0.

    Edges 0 to 3 are bottom, right, top, left. `edges`, `supports`, `openings` and `load_case` are entries of
    the published shape. Raises DocumentRefused as `read_document` does.
    """
    zero = "0"
    return read_document(
        {
            "format": "spanyard.floor",
            "version": 1,
            "name": name,
            "level": level,
            "units": units,
            "repeat": repeat,
            "outline": [[zero, zero], [width, zero], [width, depth], [zero, depth]],
            "edges": [dict(entry) for entry in edges],
            "supports": [dict(entry) for entry in supports],
            "openings": [dict(entry) for entry in openings],
            "bays": [
                {"id": "A", "direction": direction, "start": start, "spacing": spacing, "profile": profile}
            ],
            "load_case": dict(load_case) if load_case is not None else DWELLING,
        }
    )


DWELLING: Mapping[str, Any] = {
    "occupancy": "Living rooms (other than sleeping)",
    "live_psf": 40,
    "layers": [{"name": "Floor and ceiling", "psf": 10}],
    "partition_psf": 0,
}
"""Live load of dwelling rooms (IRC Table R301.5) and the 10 psf dead load of the IRC joist tables."""
