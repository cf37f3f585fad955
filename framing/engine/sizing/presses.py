"""Web crippling of many places on many profiles: the clauses of `crippled` over arrays [place, profile]."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from framing.engine.sizing.crippled import (
    BEARING_MOST_H,
    BEARING_MOST_T,
    Pressed,
    holes_share,
    in_limits,
    radius_ratio,
)
from framing.engine.sizing.figure import LB_IN_PER_KIP_IN
from framing.engine.strength.combined import bending_crippling_ratio
from framing.engine.strength.crippling import TABLE, nominal_kip
from framing.engine.strength.profile import LB_PER_KIP, ProfileStrength

Floats = NDArray[np.float64]


class Press(NamedTuple):
    """A pressed place of a member: the member's index, its plies, the centers of its holes."""

    member: int
    plies: int
    pressed: Pressed
    holes_in: tuple[float, ...]


def pressed_ratios(
    presses: Sequence[Press],
    strengths: Sequence[ProfileStrength],
    alone: Floats,
    together: Floats,
    unloaded: Floats,
) -> None:
    """Raise `alone` and `together` [member, profile] to the ratios of every place (G5, H3).

    `unloaded` is raised to R/t over its limit where bends are rounder than the clause allows.
    """
    if not presses:
        return
    nominal, available = _strengths(presses, strengths)
    force = np.array([[p.pressed.place.force_lb / p.plies] for p in presses])
    moment = np.array([[p.pressed.place.moment_lb_in / p.plies] for p in presses])
    bending = np.array([s.nominal_local_kipin for s in strengths]) * LB_IN_PER_KIP_IN
    bare = np.array([[in_limits(p.pressed, s) for s in strengths] for p in presses])
    member = np.array([p.member for p in presses])
    np.maximum.at(alone, member, np.where(bare, force / available, 0.0))
    with_bending = bending_crippling_ratio(moment, force, bending, nominal, strengths[0].method)
    np.maximum.at(together, member, np.where(bare, with_bending, 0.0))
    bends = np.array([[radius_ratio(p.pressed, s) for s in strengths] for p in presses])
    np.maximum.at(unloaded, member, np.where(bends > 1, bends, 0.0))


def _strengths(presses: Sequence[Press], strengths: Sequence[ProfileStrength]) -> tuple[Floats, Floats]:
    """Nominal and available strength in lb, [place, profile]."""
    thickness = np.array([s.shape.thickness_in for s in strengths])
    radius = np.array([s.shape.radius_in for s in strengths])
    web = np.array([s.shape.web_flat_in for s in strengths])
    length = np.array([[p.pressed.seat.length_in] for p in presses])
    counted = np.minimum(length, np.minimum(BEARING_MOST_T * thickness, BEARING_MOST_H * web))
    nominal = np.empty(counted.shape)
    share = np.empty(counted.shape)
    cases = _cases(presses, strengths)
    for number, clause in enumerate(TABLE.values()):
        here = cases == number
        if here.any():
            found = nominal_kip(
                clause,
                thickness_in=thickness,
                radius_in=radius,
                web_flat_in=web,
                bearing_in=counted,
                yield_ksi=np.array([s.steel.yield_ksi for s in strengths]),
            )
            nominal[here] = found[here] * LB_PER_KIP
            share[here] = clause.factors.share(strengths[0].method)
    nominal *= np.array([[holes_share(p.pressed, s, p.holes_in) for s in strengths] for p in presses])
    return nominal, nominal * share


def _cases(presses: Sequence[Press], strengths: Sequence[ProfileStrength]) -> NDArray[np.intp]:
    """Number of the table's row for each place and profile."""
    numbers = {key: number for number, key in enumerate(TABLE)}
    return np.array([[numbers[p.pressed.row(s.shape)] for s in strengths] for p in presses])
