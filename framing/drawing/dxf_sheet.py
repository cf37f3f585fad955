"""The model space of the DXF drawing: lines, rings and texts in inches."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from framing.drawing.dxf_layers import APPLICATION, TEXT_STYLE
from framing.drawing.dxf_marks import Place
from framing.drawing.svg import CAP_HEIGHT

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

SCALE: Final = 48.0  # strings and texts are sized to be read at 1 : 48
TEXT_IN: Final = 3.0 * CAP_HEIGHT * SCALE / 25.4  # height of capitals in inches


class DxfSheet:
    """The model space with what the plan is made of; remembers how far it reaches."""

    def __init__(self, space: Modelspace) -> None:
        self.space = space
        self.places: list[Place] = []

    def line(self, layer: str, a: Place, b: Place) -> None:
        self.places += (a, b)
        self.space.add_line(a, b, dxfattribs={"layer": layer})

    def ring(
        self, layer: str, corners: Iterable[Place], data: Sequence[tuple[int, str | float]] = ()
    ) -> None:
        places = list(corners)
        self.places += places
        ring = self.space.add_lwpolyline(places, close=True, dxfattribs={"layer": layer})
        if data:
            ring.set_xdata(APPLICATION, list(data))

    def circle(self, layer: str, centre: Place, radius: float) -> None:
        self.space.add_circle(centre, radius, dxfattribs={"layer": layer})

    def text(
        self,
        layer: str,
        words: str,
        at: Place,
        *,
        turned: bool = False,
        angle: float = 0.0,
        height: float = TEXT_IN,
        to: str = "middle",
    ) -> None:
        """Words on one line at the middle of their height; `to` says which part of them stands at the place.

        Turned ones read upwards, others at `angle` degrees counter-clockwise.
        """
        from ezdxf.enums import TextEntityAlignment as Align

        self.places.append(at)
        attributes = {"layer": layer, "style": TEXT_STYLE, "rotation": 90 if turned else angle}
        text = self.space.add_text(_one_line(words), height=height, dxfattribs=attributes)
        align = {"start": Align.MIDDLE_LEFT, "middle": Align.MIDDLE_CENTER, "end": Align.MIDDLE_RIGHT}[to]
        text.set_placement(at, align=align)


def _one_line(words: str) -> str:
    """No line ends and no control signs, which a DXF text can't hold."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in words).split())
