"""Effective section of the lipped C in bending about its strong axis (AISI S100-16 Appendix 1)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from framing.engine.errors import OutsideSourceLimits
from framing.engine.section.elements import (
    FlangeWidth,
    beside_hole_width,
    flange_width,
    lip_width,
    web_widths,
)
from framing.engine.section.gross import Gross, gross
from framing.engine.section.shape import Shape, Steel

FLANGE_LIMIT = 60.0  # AISI S100-16 B4.1, flange with a simple lip
WEB_PLAIN_MOST = 200.0  # AISI S100-16 B4.1, h/t without bearing stiffeners
WEB_STIFFENED_MOST = 260.0  # the same, with bearing stiffeners at every bearing
WEB_LIMIT = 300.0  # AISI S100-16 B4.1, with transverse stiffeners at bearings and between them
RADIUS_LIMIT = 10.0  # R/t, AISI S100-16 B4.1, from memory
HOLE_WEB_LIMIT, HOLE_SHARE_LIMIT, HOLE_DEPTH_LIMIT_IN = 200.0, 0.7, 6.0  # AISI S100-16 Appendix 1, 1.1.3
HOLE_IGNORED_SHARE = 0.38  # dh/h, the same, from memory
HOLE_IGNORED_IN = 9 / 16
SAFETY_BENDING = 1.67
_CLOSE = 1e-12
_MOST_STEPS = 100


@dataclass(frozen=True, slots=True)
class Effective:
    """The effective section at `stress_ksi` in the extreme compression fibre.

    Attributes:
        inertia_in4: about the effective section's own neutral axis.
        modulus_in3: of the extreme fibre farther from that axis, so modulus x stress never overstates. What is
            taken away lies in compression, so the axis never rises above mid-depth and the fibre is the
            compression one; yield never begins on the tension side.
        neutral_axis_in: from the extreme compression fibre.
        flange_in, flange_lambda: effective width of the flange's flat; its slenderness.
        stiffener_ratio: Is/Ia of the lip, at most 1.
        lip_in: effective part of the lip's flat.
        web_b1_in, web_b2_in: effective parts of the compressed web, at the flange and at the neutral axis.
        fully: nothing is taken away.
        flange_and_web_fully: flange and web are whole, the lip alone may be reduced.
    """

    stress_ksi: float
    inertia_in4: float
    modulus_in3: float
    neutral_axis_in: float
    flange_in: float
    flange_lambda: float
    stiffener_ratio: float
    lip_in: float
    web_b1_in: float
    web_b2_in: float
    fully: bool
    flange_and_web_fully: bool


class _Cut(NamedTuple):
    """What is taken out of the gross section for one place of the neutral axis: parts of lip and web."""

    lip: float
    b1: float
    b2: float
    web_from: float
    web_length: float


def web_slenderness(shape: Shape) -> float:
    """Flat depth of the web over its thickness, h/t (AISI S100-16 B4.1)."""
    return shape.web_flat_in / shape.thickness_in


@lru_cache(maxsize=4096)
def effective(shape: Shape, stress_ksi: float, hole_depth_in: float = 0.0) -> Effective:
    """Effective section with `stress_ksi` > 0 in the extreme compression fibre (AISI S100-16 Appendix 1).

    The neutral axis is found by repetition to 1e-12 in. `hole_depth_in` > 0 is the section at a web hole centred
    at mid-depth (1.1.3, from memory): from 0.38 of the web's flat on, the compressed web beside the hole is an
    unstiffened element and the hole is left out; a shallower hole, and one up to 9/16 in, changes nothing.

    Raises:
        OutsideSourceLimits: the flange is beyond w/t 60, the web beyond h/t 300 (above 200 it needs bearing
            stiffeners, above 260 stiffeners between them as well: the caller's matter, see `web_slenderness`), the
            bends beyond R/t 10, a lip longer than 0.8 of a flange that it must stiffen; at a hole, h/t 200,
            dh/h 0.7 or a depth of 6 in.
    """
    _check_limits(shape, hole_depth_in)
    return _effective(shape, stress_ksi, hole_depth_in, shape.depth_in / 2)


@lru_cache(maxsize=1024)
def effective_inertia_in4(shape: Shape, steel: Steel) -> float:
    """Effective inertia in in^4 for deflection, at the stress under the allowable moment.

    Source: AISI S100-16 chapter L and Appendix 1 (serviceability), from memory.
    The moment is Se Fy / 1.67 with Se at Fy; its stress f satisfies f Se(f) = M. This is the convention of the
    trade's section tables.

    Raises:
        OutsideSourceLimits: as `effective`.
    """
    at_yield = effective(shape, steel.yield_ksi)
    moment = at_yield.modulus_in3 * steel.yield_ksi / SAFETY_BENDING
    stress, steps, before, missed = steel.yield_ksi / SAFETY_BENDING, 0, 0.0, 0.0
    found = at_yield
    while True:
        found = _effective(shape, stress, 0.0, found.neutral_axis_in)
        after = moment / found.modulus_in3
        miss, steps = after - stress, steps + 1
        if abs(miss) <= _CLOSE * stress or steps == _MOST_STEPS:
            return found.inertia_in4
        # first to where the moment puts it, then by the line through the last two misses
        ahead = after if steps == 1 else stress - miss * (stress - before) / (miss - missed)
        before, missed, stress = stress, miss, ahead


def _check_limits(shape: Shape, hole_depth_in: float) -> None:
    """Raises OutsideSourceLimits where the section or its hole lies beyond B4.1 or 1.1.3."""
    t = shape.thickness_in
    limits = [
        ("AISI S100 B4.1", "w/t of the flange", shape.flange_flat_in / t, FLANGE_LIMIT),
        ("AISI S100 B4.1", "h/t of the web", web_slenderness(shape), WEB_LIMIT),
        ("AISI S100 B4.1", "R/t of the bends", shape.radius_in / t, RADIUS_LIMIT),
    ]
    if hole_depth_in > HOLE_IGNORED_IN:
        clause = "AISI S100 Appendix 1, 1.1.3"
        limits += [
            (clause, "h/t of a web with holes", web_slenderness(shape), HOLE_WEB_LIMIT),
            (clause, "hole depth over h", hole_depth_in / shape.web_flat_in, HOLE_SHARE_LIMIT),
            (clause, "hole depth in inches", hole_depth_in, HOLE_DEPTH_LIMIT_IN),
        ]
    for clause, thing, value, limit in limits:
        if value > limit:
            raise OutsideSourceLimits(clause, thing, value, limit)


def _effective(shape: Shape, stress: float, hole: float, first_in: float) -> Effective:
    """The effective section without a look at the limits; its axis is sought from `first_in` on."""
    full, flange = gross(shape), flange_width(shape, stress)
    before, tried, missed, steps = 0.0, first_in, 0.0, 0
    while True:
        cut = _cut(shape, stress, tried, flange, hole)
        axis, inertia = _remaining(shape, full, flange, cut)
        miss, steps = axis - tried, steps + 1
        if abs(miss) <= _CLOSE or steps == _MOST_STEPS:
            break
        # first where the section put it, then by the line through the last two misses
        ahead = axis if steps == 1 else tried - miss * (tried - before) / (miss - missed)
        before, tried, missed = tried, ahead, miss
    web_whole = cut.web_length == 0.0
    flange_whole = flange.width == shape.flange_flat_in
    return Effective(
        stress_ksi=stress,
        inertia_in4=inertia,
        modulus_in3=inertia / axis,
        neutral_axis_in=axis,
        flange_in=flange.width,
        flange_lambda=flange.slenderness,
        stiffener_ratio=flange.ratio,
        lip_in=cut.lip,
        web_b1_in=cut.b1,
        web_b2_in=cut.b2,
        fully=flange_whole and web_whole and cut.lip == shape.lip_flat_in,
        flange_and_web_fully=flange_whole and web_whole,
    )


def _cut(shape: Shape, stress: float, axis: float, flange: FlangeWidth, hole: float) -> _Cut:
    """Effective parts of lip and web with the neutral axis `axis` below the extreme compression fibre."""
    bend = shape.radius_in + shape.thickness_in
    at_flat = stress * (axis - bend) / axis
    lip = lip_width(shape, at_flat, axis - bend) * flange.ratio
    if hole > HOLE_IGNORED_IN and hole / shape.web_flat_in >= HOLE_IGNORED_SHARE:
        return _cut_at_hole(shape, at_flat, lip, hole)
    b1, b2 = web_widths(shape, at_flat, axis - bend)
    lost = min(axis - bend, shape.web_flat_in) - (b1 + b2)
    return (
        _Cut(lip, b1, b2, bend + b1, lost) if lost > _CLOSE * shape.depth_in else _Cut(lip, b1, b2, bend, 0.0)
    )


def _cut_at_hole(shape: Shape, at_flat: float, lip: float, hole: float) -> _Cut:
    """The hole and what is lost above it; the web beyond counts whole, as it lies in tension for any joist."""
    b1 = beside_hole_width(shape, at_flat, hole)
    bend = shape.radius_in + shape.thickness_in
    return _Cut(lip, b1, 0.0, bend + b1, (shape.web_flat_in - hole) / 2 - b1 + hole)


def _remaining(shape: Shape, full: Gross, flange: FlangeWidth, cut: _Cut) -> tuple[float, float]:
    """Neutral axis from the compression fibre, and inertia, of the gross section less what is taken away."""
    t = shape.thickness_in
    bend = shape.radius_in + t
    gone_flange, gone_lip = shape.flange_flat_in - flange.width, shape.lip_flat_in - cut.lip
    gone_web = cut.web_length
    flange_area, lip_area, web_area = gone_flange * t, gone_lip * t, gone_web * t
    middle = shape.depth_in / 2
    to_flange = middle - t / 2
    to_lip = middle - (bend + cut.lip + gone_lip / 2)
    to_web = middle - (cut.web_from + gone_web / 2)
    area = full.area_in2 - (flange_area + lip_area + web_area)
    drop = (flange_area * to_flange + lip_area * to_lip + web_area * to_web) / area
    gone = flange_area * to_flange**2 + gone_flange * t**3 / 12
    gone += lip_area * to_lip**2 + t * gone_lip**3 / 12 + web_area * to_web**2 + t * gone_web**3 / 12
    return middle + drop, full.ix_in4 - gone - area * drop**2
