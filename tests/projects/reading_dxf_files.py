"""DXF drawings that tests make: by the library in every version, and by hand as plain tags."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Sequence
from math import cos, radians, sin
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf import units as dxf_units

from framing.projects.reading.dxf import read_dxf

Corner = tuple[float, float]
L_SHAPE: tuple[Corner, ...] = ((0, 0), (480, 0), (480, 216), (288, 216), (288, 384), (0, 384))
"""40 ft by 32 ft in inches, a corner of 16 ft by 14 ft cut off."""


def drawing(version: str = "R2010", *, units: int | None = dxf_units.IN) -> Any:
    """A new drawing; units None leaves the file without a word about them."""
    made = ezdxf.new(version, units=units or 0)
    if units is None:
        for name in ("$INSUNITS", "$MEASUREMENT"):
            if name in made.header:
                del made.header[name]
    return made


def text_of(made: Any) -> bytes:
    stream = io.StringIO()
    made.write(stream)
    return stream.getvalue().encode(made.encoding, "dxfreplace")


def binary_of(made: Any, folder: Path) -> bytes:
    path = folder / "binary.dxf"
    made.saveas(path, fmt="bin")
    return path.read_bytes()


def facts_of(data: Any) -> dict[str, Any]:
    """What the reader says of a drawing or of its bytes."""
    facts, blobs = read_dxf(data if isinstance(data, bytes) else text_of(data), {})
    assert blobs == []
    return facts


def drawn(draw: Callable[[Any], object], **options: Any) -> dict[str, Any]:
    """The facts of a drawing in whose model space `draw` drew."""
    made = drawing(**options)
    draw(made.modelspace())
    return facts_of(made)


def ring(space: Any, corners: Sequence[Corner], layer: str, **attributes: Any) -> None:
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer, **attributes})


def lines(space: Any, corners: Sequence[Corner], layer: str) -> None:
    """A closed chain of separate lines."""
    for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
        space.add_line(a, b, dxfattribs={"layer": layer})


def box(low: Corner, high: Corner) -> list[Corner]:
    return [low, (high[0], low[1]), high, (low[0], high[1])]


def tags(*entities: str, header: str = "") -> bytes:
    """A minimal file by hand: entities as the text of their tags."""
    head = f"0\nSECTION\n2\nHEADER\n{header}0\nENDSEC\n" if header else ""
    return f"{head}0\nSECTION\n2\nENTITIES\n{''.join(entities)}0\nENDSEC\n0\nEOF\n".encode()


def line_tags(a: Iterable[float], b: Iterable[float], layer: str = "A") -> str:
    (x1, y1), (x2, y2) = a, b
    return f"0\nLINE\n8\n{layer}\n10\n{x1}\n20\n{y1}\n11\n{x2}\n21\n{y2}\n"


def paths_on(facts: dict[str, Any], layer: str) -> list[list[float]]:
    found: list[list[float]] = next(row["paths"] for row in facts["layers"] if row["name"] == layer)
    return found


def townhouse() -> bytes:
    """An L-shaped floor as an architect draws one: turned, walls as two faces with a door, a stair with treads."""
    made = drawing("R2013")
    space = made.modelspace()

    def place(corner: Corner) -> Corner:
        c, s = cos(radians(12)), sin(radians(12))
        return 3000 + corner[0] * c - corner[1] * s, 800 + corner[0] * s + corner[1] * c

    def placed(low: Corner, high: Corner, layer: str) -> None:
        ring(space, [place(corner) for corner in box(low, high)], layer)

    inside = ((5.5, 5.5), (474.5, 5.5), (474.5, 210.5), (282.5, 210.5), (282.5, 378.5), (5.5, 378.5))
    lines(space, [place(corner) for corner in L_SHAPE], "1-SLAB")
    for corners in (L_SHAPE, inside):
        lines(space, [place(corner) for corner in corners], "2-WALLS")
    placed((5.5, 190), (180, 193.5), "2-WALLS")
    placed((216, 190), (474.5, 193.5), "2-WALLS")
    placed((140, 193.5), (143.5, 378.5), "2-WALLS")
    placed((40, 40), (84, 160), "3-HOLES")
    for y in range(50, 160, 10):
        space.add_line(place((40, y)), place((84, y)), dxfattribs={"layer": "3-HOLES"})
    space.add_text("STAIR UP", dxfattribs={"insert": place((50, 100)), "layer": "4-WORDS"})
    chair = made.blocks.new("CHAIR")
    chair.add_circle((0, 0), 9)
    for step in range(6):
        space.add_blockref("CHAIR", place((320 + 24 * step, 120)), dxfattribs={"layer": "5-CHAIRS"})
    space.add_hatch(dxfattribs={"layer": "6-FILL"}).paths.add_polyline_path(
        [place(corner) for corner in L_SHAPE]
    )
    return text_of(made)
