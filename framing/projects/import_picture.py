"""Pictures of a drawing for the import page: all of it by what each layer was chosen for, and one small one a layer.

SVG without style or script; the page's style sheet gives the tones. y points up in drawings and down in SVG.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Any, Final

from framing.projects.import_choice import PARTS, Choice
from framing.projects.reading.loops_curves import straight_path
from framing.projects.reading.loops_shapes import Path

_WIDE, _TALL, _EDGE = 600.0, 420.0, 8.0
_SMALL: Final = (96.0, 64.0, 4.0)
_STROKES_MOST: Final = 6_000
_SMALL_MOST: Final = 150
_MAY_CHORD: Final = 0.4  # of a unit of the picture


def drawing_svg(facts: Mapping[str, Any], choice: Choice) -> str:
    """The whole drawing; layers without a part are drawn first and quietly, at most 6,000 lines of them."""
    frame = _Frame(facts["size"], _WIDE, _TALL, _EDGE)
    parts = {
        number: part for part, number in reversed(list(zip(PARTS, choice.layers, strict=True))) if number >= 0
    }
    rest = [number for number in range(len(facts["layers"])) if number not in parts]
    left = _STROKES_MOST
    drawn: list[str] = []
    for number in rest:
        paths = frame.paths(facts["layers"][number]["paths"], left)
        left -= sum(len(path.strokes) for path in paths)
        drawn.append(f'<path class="im-rest" d="{_d(paths, frame)}"/>')
    for number, part in sorted(parts.items(), key=lambda item: -PARTS.index(item[1])):
        paths = frame.paths(facts["layers"][number]["paths"], _STROKES_MOST)
        drawn.append(f'<path class="im-{part}" d="{_d(paths, frame)}"/>')
    chosen = [f"{part}: {facts['layers'][number]['name']}" for number, part in parts.items()]
    title = "The drawing. " + ("; ".join(sorted(chosen)) if chosen else "No layer is chosen yet") + "."
    return _svg(frame, drawn, title)


def layer_svg(facts: Mapping[str, Any], number: int) -> str:
    """A small picture of one layer, where it lies in the drawing; its first 150 lines."""
    frame = _Frame(facts["size"], *_SMALL)
    paths = frame.paths(facts["layers"][number]["paths"], _SMALL_MOST)
    return _svg(frame, [f'<path class="im-layer" d="{_d(paths, frame)}"/>'], "")


class _Frame:
    """A drawing's place in a picture of given size."""

    def __init__(self, size: Sequence[float], wide: float, tall: float, edge: float) -> None:
        width, height = max(size[0], 1e-9), max(size[1], 1e-9)
        self.scale = min((wide - 2 * edge) / width, (tall - 2 * edge) / height)
        self.edge = edge
        self.width, self.height = width * self.scale + 2 * edge, height * self.scale + 2 * edge

    def paths(self, packed: Iterable[Sequence[float]], most: int) -> list[Path]:
        found: list[Path] = []
        for path in packed:
            if most <= 0:
                break
            found.append(straight_path(path, self.scale, _MAY_CHORD))
            most -= len(found[-1].strokes)
        return found

    def spot(self, x: float, y: float) -> str:
        return f"{_number(x + self.edge)} {_number(self.height - self.edge - y)}"


def _d(paths: Iterable[Path], frame: _Frame) -> str:
    parts: list[str] = []
    for path in paths:
        if not path.strokes:
            continue
        ends = [path.strokes[0].a, *(stroke.b for stroke in path.strokes)]
        parts.append("M" + "L".join(frame.spot(x, y) for x, y in ends) + ("Z" if path.closed else ""))
    return "".join(parts)


def _number(value: float) -> str:
    text = f"{value:.1f}"
    return text.removesuffix(".0")


def _svg(frame: _Frame, drawn: Iterable[str], title: str) -> str:
    box = f"0 0 {_number(frame.width)} {_number(frame.height)}"
    said = (
        f' role="img"><title>{escape(title)}</title>' if title else ' aria-hidden="true" focusable="false">'
    )
    body = "".join(drawn)
    return f'<svg xmlns="http://www.w3.org/2000/svg" class="im-drawing" viewBox="{box}"{said}{body}</svg>'
