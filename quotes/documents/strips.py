"""A floor's drawing without what changes with every revision.

Date, revision and sheet number are drawn into the title strip like everything else, then lifted out of the SVG into
a second one of the same size. The binding draws that one over the sheet with the words of the revision, so an
unchanged floor's sheet is not rendered again.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from html import escape
from typing import Final

from framing.drawing import Paper, SheetInfo, plan_svg, strip_size
from framing.engine.result import FloorResult

A4: Final = "a4"
SHEETS: Final = {A4: Paper(272.5, 185.4)}  # mm: the free part of a sheet on its side
SHEET: Final = Paper(255.0, 189.2)  # of a Letter one
_NUMBER, _COUNT = 8, 9
_PLACED: Final = {
    "date": ("Date", "00/00/0000"),
    "revision": ("Revision", "R00"),
    "sheet": ("Sheet", f"{_NUMBER} of {_COUNT}"),
}
_SIZE: Final = re.compile(r'font-size="[^"]*"')
_ROOT: Final = re.compile(r"<svg[^>]*>")


def sheet_parts(floor: FloorResult, project: str, company: str, paper_size: str = "") -> tuple[str, str]:
    """The sheet's SVG, and the SVG of what is drawn over it with `{date}`, `{revision}` and `{sheet}`."""
    info = SheetInfo(
        project=project,
        floor=floor.plan.name,
        date=_PLACED["date"][1],
        revision=_PLACED["revision"][1],
        number=_NUMBER,
        count=_COUNT,
        company=company,
        paper=SHEETS.get(paper_size, SHEET),
    )
    return lift(plan_svg(floor, info, spots=False))


def lift(svg: str) -> tuple[str, str]:
    """Part a sheet's SVG in what stays and what is lifted. Raises ValueError where a cell of the strip is not there."""
    lifted = []
    for name, (head, words) in _PLACED.items():
        cell = re.compile(rf"(?<=>{head}</text>\n)(<text[^>]*>){re.escape(words)}</text>")
        found = cell.search(svg)
        if found is None:
            raise ValueError(f"The title strip has no cell {head}.")
        svg = svg[: found.start()] + svg[found.end() :]
        lifted.append(f"{found[1]}{{{name}}}</text>")
    root = _ROOT.search(svg)
    if root is None:
        raise ValueError("The drawing is no SVG.")
    return svg, f"{root[0]}{''.join(lifted)}</svg>"


def filled(overlay: str, words: Mapping[str, str]) -> str:
    """An overlay with the words of a revision, each at the size at which it fits its cell."""
    for name, (head, _) in _PLACED.items():
        before, after = overlay.split(f"{{{name}}}", 1)
        start = before.rindex("<text")
        size = f'font-size="{strip_size(head, words[name]):.3g}"'
        overlay = before[:start] + _SIZE.sub(size, before[start:]) + escape(words[name]) + after
    return overlay
