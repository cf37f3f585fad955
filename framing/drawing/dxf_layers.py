"""Layers of the DXF drawing: names in the trade's plain words, colours by index, line weights."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from framing.engine.members import MemberKind

APPLICATION: Final = "SPANYARD"
TEXT_STYLE: Final = "PLAN"
DASHED: Final = "DASHED"


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer. `colour` is an index of DXF's 255 colours (7 is black or white by the ground), `line_weight`
    in hundredths of a millimetre."""

    name: str
    colour: int
    line_weight: int
    words: str
    dashed: bool = False


LAYERS: Final = (
    Layer("OUTLINE", 7, 50, "Floor outline: the outer face of the rim"),
    Layer("JOISTS", 142, 25, "Joists and tails, one outline a piece"),
    Layer("TRIMMERS", 32, 35, "Trimmers, one outline a ply"),
    Layer("HEADERS", 12, 35, "Headers, one outline a ply"),
    Layer("SUPPORTS", 54, 25, "Inner bearing walls and beams", dashed=True),
    Layer("OPENINGS", 212, 25, "Clear openings with name and size"),
    Layer("BRIDGING", 94, 18, "Lines of strap"),
    Layer("BLOCKS", 84, 25, "Solid blocks, ladder blocks, packers"),
    Layer("HOLES", 172, 18, "Service holes"),
    Layer("MARKS", 7, 18, "Marks, and triangles at the printed ends"),
    Layer("DIMENSIONS", 8, 13, "Dimension strings"),
    Layer("NOTES", 7, 18, "Title and cautions"),
)

FLUSH: Final = Layer("BEAMS", 22, 40, "Flush beams, one outline a ply")
BORDERS: Final = Layer("BAYS", 9, 13, "Borders between bays", dashed=True)
LOADS: Final = Layer("LOADS", 1, 25, "Point loads with name and weight")
FURTHER: Final = (FLUSH, BORDERS, LOADS)
"""Layers of what few floors have: only in the drawing where something stands on them."""

KIND_LAYERS: Final = {
    MemberKind.JOIST: "JOISTS",
    MemberKind.TRIMMER: "TRIMMERS",
    MemberKind.HEADER: "HEADERS",
    MemberKind.BEAM: FLUSH.name,
    MemberKind.BLOCK: "BLOCKS",
}
