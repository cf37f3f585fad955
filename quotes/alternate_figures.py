"""What one compares alternates by: joists, depth, weight, holes and vibration of a designed package. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from framing.engine.floor import Units
from framing.engine.result import FloorResult, PackageResult
from framing.engine.units import format_length

FREQUENCY: Final = "Vibration, first frequency"
UNDER_LOAD: Final = "Vibration, 1 kN at midspan"
_DEPTH: Final = re.compile(r"(\d+)[A-Z]")  # a designator begins with the depth in 1/100 in


@dataclass(frozen=True, slots=True)
class OfferFigures:
    """Figures of one offer, floors with their repeats counted.

    Attributes:
        framing: each floor's bays, as “1000S162-54 at 16 in” or “at 406 mm”; with the floor's name where there are
            several.
        depth: of the joists, as lengths in the project's units.
        joists, pieces: members placed, and C-sections rolled.
        steel_lb: rolled steel, in pounds.
        vibration: the least first frequency and the most deflection under 1 kN; "" where neither was checked.
    """

    framing: tuple[str, ...]
    depth: str
    joists: int
    pieces: int
    steel_lb: float
    holes: int
    vibration: str


def offer_figures(package: PackageResult) -> OfferFigures:
    """The figures of a package."""
    floors = package.floors
    return OfferFigures(
        framing=tuple(_named(floor) if len(floors) > 1 else _framing(floor) for floor in floors),
        depth=_depths(floors),
        joists=sum(len(floor.members) * floor.plan.repeat for floor in floors),
        pieces=sum(len(floor.pieces) * floor.plan.repeat for floor in floors),
        steel_lb=sum(
            line.weight_lb * floor.plan.repeat
            for floor in floors
            for line in floor.bill
            if line.group == "members"
        ),
        holes=sum(
            len(member.holes_16) * member.plies * floor.plan.repeat
            for floor in floors
            for member in floor.members
        ),
        vibration=_vibration(floors),
    )


def figures_of(stored: Mapping[str, Any]) -> OfferFigures:
    """Figures as they were stored with an alternate."""
    return OfferFigures(**{**stored, "framing": tuple(stored["framing"])})


def _named(floor: FloorResult) -> str:
    return f"{floor.plan.name}: {_framing(floor)}"


def _framing(floor: FloorResult) -> str:
    words = (f"{bay.profile} at {_spacing(bay.bay.spacing_16, floor.plan.units)}" for bay in floor.bays)
    return ", ".join(dict.fromkeys(words))


def _spacing(spacing_16: Fraction | int, units: Units) -> str:
    """A spacing as the trade says it: 19.2 in, in a metric project 488 mm."""
    return (
        f"{float(spacing_16) / 16:g} in" if units == "imperial" else format_length(round(spacing_16), units)
    )


def _depths(floors: Iterable[FloorResult]) -> str:
    found: dict[str, None] = {}
    for floor in floors:
        for bay in floor.bays:
            match = _DEPTH.match(bay.profile)
            if match:
                found[_depth(int(match[1]), floor.plan.units)] = None
    return ", ".join(found)


def _depth(hundredths: int, units: Units) -> str:
    """A depth as the trade says it: in inches, or in the project's millimetres."""
    if units == "imperial":
        return f"{hundredths / 100:g} in"
    return format_length(round(hundredths * 16 / 100), units)


def _vibration(floors: Iterable[FloorResult]) -> str:
    checks = [check for floor in floors for case in floor.checks for check in case.checks]
    # a frequency is a figure that must be reached: the check holds it as its capacity
    frequencies = [check.capacity for check in checks if check.name == FREQUENCY]
    deflections = [check.demand for check in checks if check.name == UNDER_LOAD]
    parts = [f"{min(frequencies):.1f} Hz"] if frequencies else []
    parts += [f"{max(deflections):.2f} mm under 1 kN"] if deflections else []
    return ", ".join(parts)
