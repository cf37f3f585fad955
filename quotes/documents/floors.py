"""The floors of a quote's paper: framing, loads, schedule, and what needs care (R43)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from django.utils.translation import gettext as _

from framing.common.templatetags.figures import ratio
from framing.engine.floor import Units
from framing.engine.members import MemberKind
from framing.engine.result import FloorResult, ScheduleLine
from framing.engine.units import format_length

KINDS: Final = {
    MemberKind.JOIST: "joist",
    MemberKind.TRIMMER: "trimmer",
    MemberKind.HEADER: "header",
    MemberKind.BEAM: "beam",
    MemberKind.BLOCK: "block",
}


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    mark: str
    kind: str
    profile: str
    plies: int
    length: str
    members: int
    pieces: int
    holes: int
    weight: str


@dataclass(frozen=True, slots=True)
class PaperFloor:
    """One floor on the paper; counts are for one floor, `repeat` says how many are built alike."""

    name: str
    level: str
    repeat: int
    framing: str
    loads: str
    members: int
    pieces: int
    weight: str
    schedule: tuple[ScheduleRow, ...]
    cares: tuple[str, ...]


def paper_floor(floor: FloorResult) -> PaperFloor:
    """A floor as the paper shows it."""
    plan = floor.plan
    return PaperFloor(
        name=plan.name,
        level=plan.level,
        repeat=plan.repeat,
        framing=framing_words(floor),
        loads=f"{plan.load_case.live_psf:g} psf live, {plan.load_case.dead_psf:g} psf dead",
        members=sum(line.members for line in floor.schedule),
        pieces=len(floor.pieces),
        weight=f"{sum(line.weight_lb for line in floor.schedule):,.0f}",
        schedule=tuple(_row(line, floor) for line in floor.schedule),
        cares=(*(warning.message for warning in floor.warnings), *_failing(floor)),
    )


def framing_words(floor: FloorResult) -> str:
    """Profile and spacing of each bay in the floor's units, as “1000S162-54 at 16 in” or “at 406 mm”."""
    words = (
        _("%(profile)s at %(spacing)s")
        % {"profile": bay.profile, "spacing": _spacing(bay.bay.spacing_16, floor.plan.units)}
        for bay in floor.bays
    )
    return ", ".join(dict.fromkeys(words))


def _spacing(spacing_16: Fraction, units: Units) -> str:
    return format_length(round(spacing_16), units) if units == "metric" else f"{float(spacing_16) / 16:g} in"


def _failing(floor: FloorResult) -> Iterable[str]:
    for check in floor.checks:
        if not check.passes:
            worst = check.checks[check.governing]
            yield f"{check.title} ({check.profile}): {worst.name} at {ratio(worst.ratio)} of what is allowed."


def _row(line: ScheduleLine, floor: FloorResult) -> ScheduleRow:
    return ScheduleRow(
        mark=line.mark,
        kind=KINDS[line.kind],
        profile=line.profile,
        plies=line.plies,
        length=format_length(line.length_16, floor.plan.units),
        members=line.members,
        pieces=line.pieces,
        holes=len(line.holes_16),
        weight=f"{line.weight_lb:,.0f}",
    )
