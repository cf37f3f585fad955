"""Web crippling, alone and with bending, at every place where force goes into a bare web (R15; S100 G5, G6, H3)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from framing.engine.errors import OutsideSourceLimits
from framing.engine.section.effective import WEB_PLAIN_MOST
from framing.engine.section.shape import Shape
from framing.engine.sizing.demand import Demand, LoadPlace
from framing.engine.sizing.figure import (
    BEND_LIMIT_UNIT,
    BENDING_CRIPPLING,
    CRIPPLING,
    LB_IN_PER_KIP_IN,
    Figure,
)
from framing.engine.sizing.seats import Seat, Seats
from framing.engine.strength.bearing import crippling_hole_factor
from framing.engine.strength.combined import bending_crippling_ratio
from framing.engine.strength.crippling import TABLE, LoadCase, load_case
from framing.engine.strength.profile import ProfileStrength
from framing.engine.strength.shear import Hole

BEARING_MOST_T, BEARING_MOST_H = 210.0, 2.0  # G5 limits of N/t and N/h: a longer bearing counts up to these


class Pressed(NamedTuple):
    """A load place with the seat it stands on; `ends_in` are tips, else outer supports, the safe side of cut ends."""

    place: LoadPlace
    seat: Seat
    ends_in: tuple[float, float]

    def row(self, shape: Shape) -> tuple[LoadCase, bool]:
        """Row of Table G5 by clear distances; the opposite bearing is taken to be as long as this one."""
        length = self.seat.length_in
        case = load_case(
            self.place.edge_in - length / 2,
            self.place.opposed_in - length,
            shape.web_flat_in,
            fastened=self.seat.fastened,
        )
        return case, self.seat.fastened


def pressed_places(demand: Demand, seats: Seats) -> tuple[Pressed, ...]:
    """Places where force goes into a bare web."""
    ends_in = demand.ends_in
    return tuple(
        Pressed(place, seat, ends_in)
        for place in demand.places
        if (seat := seats.seat(place.kind, place.index)) is not None
    )


def counted_length_in(seat: Seat, shape: Shape) -> float:
    """Bearing length within the limits of G5; what is longer is not counted on."""
    return min(seat.length_in, BEARING_MOST_T * shape.thickness_in, BEARING_MOST_H * shape.web_flat_in)


def in_limits(pressed: Pressed, strength: ProfileStrength) -> bool:
    """Whether G5 has a number: a web that is not too slender, bends that are not too round."""
    return strength.web_slenderness <= WEB_PLAIN_MOST and radius_ratio(pressed, strength) <= 1


def radius_ratio(pressed: Pressed, strength: ProfileStrength) -> float:
    """R/t over the most that the row of G5 allows."""
    shape = strength.shape
    return shape.radius_in / shape.thickness_in / TABLE[pressed.row(shape)].radius_limit


def crippling_figures(
    demand: Demand,
    strength: ProfileStrength,
    plies: int,
    seats: Seats,
    scale: float,
    holes_in: Sequence[float] = (),
) -> Iterator[Figure]:
    """The worst place alone, and the worst with bending; nothing where no bare web is pressed.

    A web too slender for G5 gets no number here: its slenderness fails. A hole for which G6 has no number is not
    counted: it is refused at its place (`hole_refusal`).
    """
    places = pressed_places(demand, seats)
    held = [pressed for pressed in places if in_limits(pressed, strength)]
    for pressed in places:
        if (bends := radius_ratio(pressed, strength)) > 1:
            yield Figure(CRIPPLING, bends, 1.0, BEND_LIMIT_UNIT, "AISI S100 G5")
            break
    if held:
        alone = [_alone(pressed, strength, holes_in, plies, scale) for pressed in held]
        yield max(alone, key=lambda figure: figure.ratio)
        together = max(_together(pressed, strength, holes_in, plies) for pressed in held)
        yield Figure(BENDING_CRIPPLING, together * scale, 1.0, "", "AISI S100 H3")


def _nominal_lb(pressed: Pressed, strength: ProfileStrength, holes_in: Sequence[float]) -> float:
    case, fastened = pressed.row(strength.shape)
    length_in = counted_length_in(pressed.seat, strength.shape)
    nominal = strength.nominal_crippling_lb(case, fastened=fastened, bearing_in=length_in)
    return nominal * holes_share(pressed, strength, holes_in)


def _alone(
    pressed: Pressed, strength: ProfileStrength, holes_in: Sequence[float], plies: int, scale: float
) -> Figure:
    share = TABLE[pressed.row(strength.shape)].factors.share(strength.method)
    available = _nominal_lb(pressed, strength, holes_in) * share
    return Figure(CRIPPLING, pressed.place.force_lb * scale, available * plies, "lb", "AISI S100 G5")


def _together(pressed: Pressed, strength: ProfileStrength, holes_in: Sequence[float], plies: int) -> float:
    return bending_crippling_ratio(
        pressed.place.moment_lb_in / plies,
        pressed.place.force_lb / plies,
        strength.nominal_local_kipin * LB_IN_PER_KIP_IN,
        _nominal_lb(pressed, strength, holes_in),
        strength.method,
    )


def holes_share(pressed: Pressed, strength: ProfileStrength, holes_in: Sequence[float]) -> float:
    """Least factor of G6 of a member's holes on a pressed place."""
    return min((_factor(pressed, strength, hole) for hole in holes_in), default=1.0)


def _factor(pressed: Pressed, strength: ProfileStrength, hole_in: float) -> float:
    """G6 for one hole; 1 for a hole out of reach, and for one that G6 has no number for."""
    clear_in = clear_of_hole_in(pressed, strength.hole, hole_in)
    if clear_in > hole_reach_in(strength.shape, strength.hole):
        return 1.0
    try:
        return hole_factor(pressed, strength, hole_in)
    except OutsideSourceLimits:
        return 1.0


def clear_of_hole_in(pressed: Pressed, hole: Hole, hole_in: float) -> float:
    """Between the edge of the bearing and that of a hole; under 0 where they overlap."""
    return abs(pressed.place.at_in - hole_in) - (pressed.seat.length_in + hole.length_in) / 2


def hole_reach_in(shape: Shape, hole: Hole) -> float:
    """From here on a hole takes nothing away under G6 (interior: 0.90 - 0.047 dh/h + 0.053 x/h = 1)."""
    return (0.10 * shape.web_flat_in + 0.047 * hole.depth_in) / 0.053


def hole_factor(pressed: Pressed, strength: ProfileStrength, hole_in: float) -> float:
    """Rc of G6 for a hole near a pressed place. Raises OutsideSourceLimits."""
    return crippling_hole_factor(
        strength.shape,
        strength.hole,
        pressed.row(strength.shape)[0],
        clear_in=clear_of_hole_in(pressed, strength.hole, hole_in),
        bearing_in=counted_length_in(pressed.seat, strength.shape),
        end_in=min(hole_in - pressed.ends_in[0], pressed.ends_in[1] - hole_in) - strength.hole.length_in / 2,
    )
