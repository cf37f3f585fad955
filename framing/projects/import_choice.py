"""What a person chooses on the import page: units, layers, which outline, how far things are joined."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any, Final, Literal

from framing.projects.reading.dxf_units import UNITS

PARTS: Final = ("outline", "openings", "walls")
_NAME_MOST: Final = 80


@dataclass(frozen=True, slots=True)
class Choice:
    """The choices of an import; `-1` is no layer, "" leaves it to what is found.

    Attributes:
        units: a unit of the drawing; for a list of corners the system of its bare numbers.
        outline, openings, walls: numbers of layers.
        loop: which of the outlines, the largest first.
        inside: loops inside the outline are openings.
        join: wall pieces in line at most 4 ft apart are one wall.
        along: walls that run along the joists are taken too.
        direction: the plan axis that joists run along.
        name, level: those of the floor.
    """

    units: str = ""
    outline: int = -1
    openings: int = -1
    walls: int = -1
    loop: int = 0
    inside: bool = False
    join: bool = False
    along: bool = False
    direction: Literal["", "x", "y"] = ""
    name: str = ""
    level: str = ""

    @property
    def layers(self) -> tuple[int, int, int]:
        """The layers of outline, openings and walls."""
        return self.outline, self.openings, self.walls

    def as_query(self) -> dict[str, str]:
        """The choice as the fields of a form; what is off is left out."""
        told = {name: _text(value) for name, value in asdict(self).items()}
        return {"chosen": "1"} | {name: value for name, value in told.items() if value}


def choice_of(asked: Mapping[str, Any], usual: Choice) -> Choice:
    """The choice that a query or a JSON body tells; fields that are missing or no choice stay as usual.

    A form sends nothing for what is not ticked, so with `chosen` a missing tick is none.
    """
    sent = "chosen" in asked
    return Choice(
        units=_one_of(asked, "units", ("", *UNITS, "imperial", "metric"), usual.units),
        outline=_number(asked, "outline", usual.outline),
        openings=_number(asked, "openings", usual.openings),
        walls=_number(asked, "walls", usual.walls),
        loop=max(_number(asked, "loop", usual.loop), 0),
        inside=_tick(asked, "inside", usual.inside, sent),
        join=_tick(asked, "join", usual.join, sent),
        along=_tick(asked, "along", usual.along, sent),
        direction=_one_of(asked, "direction", ("", "x", "y"), usual.direction),  # type: ignore[arg-type]
        name=_line(asked, "name", usual.name),
        level=_line(asked, "level", usual.level)[:4],
    )


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "1" if value else ""
    return str(value)


def _one_of(asked: Mapping[str, Any], name: str, offered: tuple[str, ...], usual: str) -> str:
    value = asked.get(name)
    return value if isinstance(value, str) and value in offered else usual


def _number(asked: Mapping[str, Any], name: str, usual: int) -> int:
    try:
        return max(min(int(str(asked[name])), 10_000), -1)
    except (KeyError, ValueError):
        return usual


def _tick(asked: Mapping[str, Any], name: str, usual: bool, sent: bool) -> bool:
    if name not in asked:
        return False if sent else usual
    return str(asked[name]).lower() in ("1", "true", "on")


def _line(asked: Mapping[str, Any], name: str, usual: str) -> str:
    value = asked.get(name)
    if not isinstance(value, str):
        return usual
    return " ".join("".join(sign if sign.isprintable() else " " for sign in value).split())[:_NAME_MOST]
