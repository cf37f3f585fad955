"""The parts of a floor document as the plan editor shows them: words, fields, choices and how a new one begins.

Told once: the editor's page is made from it, and tables, side panel, merging and drawing tools read that page. What a
field does beyond writing its text to its path is in the editor's `parts.js`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Literal

Kind = Literal["text", "length", "signed", "number"]
"""`length` and `signed` are lengths under R50, the latter also under zero; `number` is stored as a number."""
Choices = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Field:
    """One field; `path` is its place in its entry. With `choices` (value, words) it is a list, the first usual.

    `fill` names what the page fills such a list with; `hint` stands in an empty field.
    """

    path: str
    label: str
    kind: Kind = "text"
    choices: Choices = ()
    fill: str = ""
    hint: str = ""
    wide: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """One list of the document and its table.

    Attributes:
        list: name by which the editor selects entries; `at` is its path in the document if that is another.
        one: what an entry is called; `add` the words of the button that makes one, empty where none is made.
        letter, usual: how the id of a new entry begins, and what it holds beside id and places.
    """

    list: str
    title: str
    fields: tuple[Field, ...]
    one: str = ""
    add: str = ""
    letter: str = ""
    at: str = ""
    usual: Mapping[str, Any] = field(default_factory=dict)

    @property
    def usual_json(self) -> str:
        return json.dumps(self.usual)

    @property
    def goes(self) -> bool:
        """Whether rows can be taken away: own loads of a bay too, though its `Loads` field makes them."""
        return bool(self.add) or self.list == "loads"


_ID: Final = Field("id", "Name")
_PLIES: Final = Field("plies", "Plies", "number", (("1", "Single"), ("2", "Double"), ("3", "Triple")))
_ENDS: Final = (
    Field("from.0", "From, across", "signed"),
    Field("from.1", "From, up", "signed"),
    Field("to.0", "To, across", "signed"),
    Field("to.1", "To, up", "signed"),
)

FLOOR: Final = Part(
    "floor",
    "Floor",
    (
        Field("name", "Name"),
        Field("level", "Level"),
        Field("repeat", "Equal floors", "number"),
        Field("units", "Units", choices=(("imperial", "Feet and inches"), ("metric", "Millimetres"))),
    ),
)
CORNERS: Final = Part(
    "outline",
    "Corners",
    (Field("0", "Across", "signed"), Field("1", "Up", "signed")),
    one="Corner",
    add="Add a corner",
)
WALLS: Final = Part(
    "wall",
    "Walls around",
    (
        Field(
            "kind",
            "What it does",
            choices=(
                ("", "By joist direction"),
                ("platform", "Bearing, platform"),
                ("balloon", "Bearing, ledger"),
                ("free", "Free, nothing under it"),
                ("parallel", "Beside the joists"),
            ),
        ),
        Field("width", "Wall width", "length"),
        Field("length", "Length", "length"),
    ),
    one="Wall",
    at="edges",
)
SUPPORTS: Final = Part(
    "supports",
    "Bearings inside",
    (
        _ID,
        Field(
            "kind",
            "Kind",
            choices=(("wall", "Bearing wall"), ("beam", "Beam"), ("flush_beam", "Flush beam")),
        ),
        *_ENDS,
        Field("width", "Width", "length", hint="Usual"),
        Field(
            "joint",
            "Joists over it",
            choices=(("lap", "Lap"), ("butt", "Butt"), ("through", "Run through")),
        ),
    ),
    one="Bearing",
    add="Add a bearing",
    letter="W",
    usual={"kind": "wall", "width": None, "joint": "lap"},
)
OPENINGS: Final = Part(
    "openings",
    "Openings",
    (
        Field("name", "Name"),
        Field("kind", "Kind", choices=(("stair", "Stair"), ("shaft", "Shaft"))),
        Field("corner.0", "Low corner, across", "signed"),
        Field("corner.1", "Low corner, up", "signed"),
        Field("size.0", "Width", "length"),
        Field("size.1", "Depth", "length"),
    ),
    one="Opening",
    add="Add an opening",
    letter="O",
    usual={"name": "", "kind": "stair"},
)
PARTITIONS: Final = Part(
    "partitions",
    "Partitions and line loads",
    (
        _ID,
        *_ENDS,
        Field("bearing", "Bears load", choices=(("false", "No"), ("true", "Yes"))),
        Field("load_plf", "Load, plf", "number"),
    ),
    one="Partition",
    add="Add a partition",
    letter="P",
    usual={"bearing": False, "load_plf": 0},
)
POINT_LOADS: Final = Part(
    "point_loads",
    "Point loads",
    (
        Field("name", "Name"),
        Field("at.0", "Across", "signed"),
        Field("at.1", "Up", "signed"),
        Field("dead_lb", "Dead load, lb", "number"),
        Field("live_lb", "Live load, lb", "number"),
    ),
    one="Point load",
    add="Add a point load",
    letter="Q",
    usual={"name": "", "dead_lb": 0, "live_lb": 1000},
)
BAYS: Final = Part(
    "bays",
    "Bays",
    (
        _ID,
        Field("direction", "Joists run", choices=(("y", "Bottom to top"), ("x", "Left to right"))),
        Field("start", "Count from", choices=(("low", "Left, or bottom"), ("high", "Right, or top"))),
        Field("spacing", "Spacing", fill="spacings"),
        Field("offset", "First joist at", "length", hint="One spacing"),
        Field("profile", "Profile", choices=(("", "Best that passes"),), fill="profiles"),
        _PLIES,
        Field("outline", "Corners", hint="Empty: the whole floor", wide=True),
        Field("load_case", "Loads", choices=(("", "The floor's"), ("own", "Its own"))),
    ),
    one="Bay",
    add="Add a bay",
    letter="B",
)
LOADS: Final = Part(
    "loads",
    "Loads",
    (
        Field("occupancy", "Use", fill="occupancies"),
        Field("live_psf", "Live load, psf", "number"),
        Field("partition_psf", "Partitions, psf", "number"),
        Field("layers", "Dead load, psf", wide=True),
    ),
)
PLIES: Final = Part(
    "plies",
    "Fixed plies",
    (
        Field("of", "Of"),
        Field(
            "part",
            "Member",
            choices=(
                ("trimmer_low", "First trimmer"),
                ("trimmer_high", "Second trimmer"),
                ("header_low", "Low header"),
                ("header_high", "High header"),
                ("joist", "Joist under it"),
                ("beam", "Beam"),
            ),
        ),
        _PLIES,
    ),
    one="Fixed plies of",
    add="Fix the plies of a member",
    at="overrides.plies",
)

PARTS: Final = (
    FLOOR,
    CORNERS,
    WALLS,
    SUPPORTS,
    OPENINGS,
    PARTITIONS,
    POINT_LOADS,
    BAYS,
    LOADS,
    PLIES,
)
"""All tables, in the order of the page."""
