"""The published shape of a floor document, version 1: what a person typed, kept as it was typed.

Lengths are texts under R50 or plain numbers (inches in imperial documents, millimetres in metric ones); they
are converted by `conversion.to_plan`, so a document is stored, shown and edited without losing a keystroke.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainValidator,
    StrictBool,
    StrictInt,
    StrictStr,
    WithJsonSchema,
)
from pydantic_core import PydanticCustomError

LENGTH_CHARACTERS = 40
_LARGEST = 1_000_000_000


def _length(value: Any) -> str | int | float:
    """A length as typed: a short text or a finite number; its meaning is judged in `conversion`."""
    if isinstance(value, str):
        if len(value) > LENGTH_CHARACTERS:
            raise PydanticCustomError("length_long", "is longer than 40 characters; type one length")
        return value
    return _number(value, 'a length such as "12\' 6" or a number')


def _number(value: Any, wanted: str = "a number") -> int | float:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise PydanticCustomError("no_number", f"must be {wanted}")
    if not -_LARGEST <= value <= _LARGEST:  # also refuses not-a-number and integers beyond floats
        raise PydanticCustomError("no_number", f"must be {wanted} within ±1,000,000,000")
    return value


def _printable(text: str) -> str:
    if not text.isprintable():
        raise PydanticCustomError(
            "control", "holds a sign that can't be printed; remove line breaks and tabs"
        )
    return text


Length = Annotated[
    str | int | float,
    PlainValidator(_length),
    WithJsonSchema({"anyOf": [{"type": "string", "maxLength": LENGTH_CHARACTERS}, {"type": "number"}]}),
]
Psf = Annotated[float, BeforeValidator(_number), Field(ge=0, le=1000)]
Plf = Annotated[float, BeforeValidator(_number), Field(ge=0, le=20000)]
Pounds = Annotated[float, BeforeValidator(_number), Field(ge=0, le=100000)]
Name = Annotated[StrictStr, Field(max_length=80), AfterValidator(_printable)]
Title = Annotated[StrictStr, Field(min_length=1, max_length=80), AfterValidator(_printable)]
Id = Annotated[StrictStr, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]{0,19}$")]
Pair = tuple[Length, Length]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class EdgeEntry(_Part):
    """What outline edge `edge` (from corner `edge` to the next) does; others take their defaults (R2).

    Under a `free` edge nothing stands: joists run out to it over their last bearing.
    """

    edge: Annotated[StrictInt, Field(ge=0)]
    kind: Literal["platform", "balloon", "free", "parallel"] | None = None
    width: Length | None = None


class SupportEntry(_Part):
    """An interior bearing line, drawn along its centre (R2, R5).

    Joists stand on a `wall` or `beam` and end at a `flush_beam`, which is built of joists at their level and
    takes no width: it is as wide as its plies.
    """

    id: Id
    kind: Literal["wall", "beam", "flush_beam"] = "wall"
    start: Pair = Field(alias="from")
    end: Pair = Field(alias="to")
    width: Length | None = None
    joint: Literal["lap", "butt", "through"] = "lap"


class OpeningEntry(_Part):
    """A clear opening: low corner and size in plan x and y (R7)."""

    id: Id
    name: Name = ""
    kind: Literal["stair", "shaft"] = "stair"
    corner: Pair
    size: Pair


class LayerEntry(_Part):
    """One named layer of dead load (R13)."""

    name: Name
    psf: Psf


class LoadCaseEntry(_Part):
    """Uniform loads of a floor or of one bay (R13)."""

    occupancy: Name
    live_psf: Psf
    layers: tuple[LayerEntry, ...] = Field(default=(), max_length=30)
    partition_psf: Psf = 0.0


class BayEntry(_Part):
    """A region with one joist direction and spacing (R1, R3).

    `outline` null is the whole floor; a drawn one may reach over the floor's outline, what lies in the floor
    counts. `load_case` null takes the floor's loads. `plies` are those of every joist and tail.
    """

    id: Id = "A"
    direction: Literal["x", "y"]
    start: Literal["low", "high"] = "low"
    spacing: Length = "16"
    offset: Length | None = None
    profile: Name | None = None
    outline: tuple[Pair, ...] | None = Field(default=None, max_length=400)
    load_case: LoadCaseEntry | None = None
    plies: Annotated[StrictInt, Field(ge=1, le=3)] = 1


class PartitionEntry(_Part):
    """A wall that stands on the floor (R8); `load_plf` is its weight and load along its length."""

    id: Id
    start: Pair = Field(alias="from")
    end: Pair = Field(alias="to")
    bearing: StrictBool = False
    load_plf: Plf = 0.0


class PointLoadEntry(_Part):
    """A load that stands on one place of the floor, its dead and live part in lb (R10, R19)."""

    id: Id
    name: Name = ""
    at: Pair
    dead_lb: Pounds = 0.0
    live_lb: Pounds = 0.0


class PliesEntry(_Part):
    """Plies fixed by the user for one member around an opening (R7), a bearing partition's joist (R8) or a
    flush beam; `of` is the id of that opening, partition or support."""

    of: Id
    part: Literal["trimmer_low", "trimmer_high", "header_low", "header_high", "joist", "beam"]
    plies: Annotated[StrictInt, Field(ge=1, le=3)]


class OverridesEntry(_Part):
    """What the user fixed instead of leaving it to the engine; a bay's profile is fixed in the bay."""

    plies: tuple[PliesEntry, ...] = Field(default=(), max_length=200)


class FloorDocument(_Part):
    """One floor as typed, format `spanyard.floor` version 1."""

    format: Literal["spanyard.floor"]
    version: Literal[1]
    name: Title
    level: Annotated[StrictStr, Field(pattern=r"^[A-Za-z0-9]{1,4}$")] = "1"
    units: Literal["imperial", "metric"] = "imperial"
    repeat: Annotated[StrictInt, Field(ge=1, le=99)] = 1
    outline: tuple[Pair, ...] = Field(min_length=3, max_length=400)
    edges: tuple[EdgeEntry, ...] = Field(default=(), max_length=400)
    supports: tuple[SupportEntry, ...] = Field(default=(), max_length=200)
    openings: tuple[OpeningEntry, ...] = Field(default=(), max_length=200)
    bays: tuple[BayEntry, ...] = Field(min_length=1, max_length=50)
    partitions: tuple[PartitionEntry, ...] = Field(default=(), max_length=200)
    point_loads: tuple[PointLoadEntry, ...] = Field(default=(), max_length=200)
    load_case: LoadCaseEntry
    overrides: OverridesEntry = OverridesEntry()
