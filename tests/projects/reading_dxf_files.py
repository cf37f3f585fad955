"""DXF drawings that tests make: by the library in every version, and by hand as plain tags."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Sequence
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
