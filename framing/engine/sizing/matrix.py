"""All members of a bay against all profiles at once: the checks of `figures` as arrays [check, member, profile].

Every demand grows in step with the loads, so one array of ratios serves all spacings: a spacing multiplies it
by a factor for each member. Limits of the section (slenderness of the web, roundness of its bends) have no
load in them and stand apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from framing.engine.practice import Practice
from framing.engine.section.effective import WEB_PLAIN_MOST, WEB_STIFFENED_MOST
from framing.engine.sizing.crippled import pressed_places
from framing.engine.sizing.demand import Demand
from framing.engine.sizing.figure import (
    BENDING_CRIPPLING,
    BENDING_SHEAR,
    BOTTOM_FLANGE,
    CRIPPLING,
    DISTORTIONAL,
    ELASTIC_MODULUS_PSI,
    LB_IN_PER_KIP_IN,
    LIVE_SAG,
    LOCAL,
    SHEAR,
    TOP_FLANGE,
    TOTAL_SAG,
)
from framing.engine.sizing.presses import Press, pressed_ratios
from framing.engine.sizing.seats import Seats
from framing.engine.strength.combined import bending_shear_ratio
from framing.engine.strength.profile import ProfileStrength

CHECKS = (
    LOCAL, DISTORTIONAL, BOTTOM_FLANGE, BENDING_SHEAR, SHEAR, CRIPPLING, BENDING_CRIPPLING, LIVE_SAG, TOTAL_SAG,
    TOP_FLANGE,
)  # fmt: skip
_AT = {name: place for place, name in enumerate(CHECKS)}
_BLOCK = 1000  # members worked out together, which bounds the memory

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Row:
    """One member to size: what it must carry, on how many plies, how it sits, where its holes are."""

    demand: Demand
    plies: int
    seats: Seats
    holes_in: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Loads:
    """Demands of members as arrays, for one ply each.

    Attributes:
        moment_lb_in, shear_lb: [member].
        live_sag, total_sag: deflection over span as E x I (lb-in2); times the limit over E I it is the ratio.
        meetings, regions, presses: what several places of a member ask, in member order, with the member's index.
        tops: of members whose top flange the sheathing does not hold, as the regions are.
    """

    moment_lb_in: Floats
    shear_lb: Floats
    live_sag: Floats
    total_sag: Floats
    bears: NDArray[np.bool_]
    meetings: Floats  # [(member, moment, shear)]
    regions: tuple[tuple[int, float, float, float], ...] = ()  # (member, moment, unbraced, Cb)
    presses: tuple[Press, ...] = ()
    tops: tuple[tuple[int, float, float, float], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Ratios:
    """`loaded` [check, member, profile] at the loads given; `unloaded` [member, profile] whatever they are.

    The latter is a section's limit that is passed; 0 within limits.
    """

    loaded: Floats
    unloaded: Floats


def loads_of(rows: Sequence[Row]) -> Loads:
    """Demands of members as arrays."""
    return Loads(
        moment_lb_in=np.array([row.demand.moment_lb_in / row.plies for row in rows]),
        shear_lb=np.array([row.demand.shear_lb / row.plies for row in rows]),
        live_sag=np.array([_over(row.demand.live_sag) / row.plies for row in rows]),
        total_sag=np.array([_over(row.demand.total_sag) / row.plies for row in rows]),
        bears=np.array([row.seats.bears for row in rows]),
        meetings=np.array(
            [
                (index, moment / row.plies, shear / row.plies)
                for index, row in enumerate(rows)
                if row.demand.stepped
                for moment, shear in row.demand.meetings
            ]
        ).reshape(-1, 3),
        regions=tuple(
            (index, region.moment_lb_in / row.plies, region.unbraced_in, region.cb)
            for index, row in enumerate(rows)
            for region in row.demand.negative
        ),
        presses=tuple(
            Press(index, row.plies, pressed, row.holes_in)
            for index, row in enumerate(rows)
            for pressed in pressed_places(row.demand, row.seats)
        ),
        tops=tuple(
            (index, row.demand.positive_moment_lb_in / row.plies, row.demand.top_free_in, 1.0)
            for index, row in enumerate(rows)
            if row.demand.top_free_in
        ),
    )


def ratios(loads: Loads, strengths: Sequence[ProfileStrength], practice: Practice) -> Ratios:
    """Demand over capacity of every check; a check that does not apply has 0."""
    columns = _columns(tuple(strengths))
    found = np.zeros((len(CHECKS), len(loads.moment_lb_in), len(strengths)))
    moment = loads.moment_lb_in[:, None] / LB_IN_PER_KIP_IN
    found[_AT[LOCAL]] = moment / columns.local_kipin
    found[_AT[DISTORTIONAL]] = moment / columns.distortional_kipin
    found[_AT[SHEAR]] = loads.shear_lb[:, None] / columns.shear_lb
    _meet(loads, columns, found[_AT[BENDING_SHEAR]])
    _turn_over(loads.regions, strengths, found[_AT[BOTTOM_FLANGE]])
    _turn_over(loads.tops, strengths, found[_AT[TOP_FLANGE]])
    most = np.where(loads.bears, WEB_PLAIN_MOST, WEB_STIFFENED_MOST)[:, None]
    slender = np.where(columns.slenderness > most, columns.slenderness / most, 0.0)
    crippling = found[_AT[CRIPPLING]], found[_AT[BENDING_CRIPPLING]]
    pressed_ratios(loads.presses, strengths, *crippling, slender)
    for name, limit, sag in (
        (LIVE_SAG, practice.live_deflection, loads.live_sag),
        (TOTAL_SAG, practice.total_deflection, loads.total_sag),
    ):
        found[_AT[name]] = sag[:, None] * limit / columns.stiffness_lb_in2
    return Ratios(found, slender)


@dataclass(frozen=True, slots=True, eq=False)
class Worst:
    """The largest ratio of each profile at each spacing, and which member and check it is.

    All [profile, spacing]; `check` is an index of CHECKS, or -1 for a limit of the section that no load changes.
    """

    ratio: Floats
    member: NDArray[np.intp]
    check: NDArray[np.intp]


def worst(found: Ratios, scales: Floats) -> Worst:
    """Over all members; `scales` [member, spacing] multiplies their loads."""
    members, profiles = found.unloaded.shape
    shape = (profiles, scales.shape[1])
    best = Worst(np.zeros(shape), np.zeros(shape, dtype=np.intp), np.full(shape, -1))
    for start in range(0, members, _BLOCK):
        block = slice(start, start + _BLOCK)
        _worst_of_block(found.loaded[:, block], found.unloaded[block], scales[block], start, best)
    return best


@dataclass(frozen=True, slots=True, eq=False)
class _Columns:
    """Available strengths of one ply, [profile]."""

    local_kipin: Floats
    distortional_kipin: Floats
    shear_lb: Floats
    stiffness_lb_in2: Floats
    slenderness: Floats


@lru_cache(maxsize=16)
def _columns(strengths: tuple[ProfileStrength, ...]) -> _Columns:
    return _Columns(
        np.array([s.local_moment_kipin for s in strengths]),
        np.array([s.distortional_moment_kipin for s in strengths]),
        np.array([s.shear_lb for s in strengths]),
        np.array([s.effective_inertia_in4 for s in strengths]) * ELASTIC_MODULUS_PSI,
        np.array([s.web_slenderness for s in strengths]),
    )


def _over(sag_and_span: tuple[float, float]) -> float:
    sag, span = sag_and_span
    return sag / span


def _meet(loads: Loads, columns: _Columns, out: Floats) -> None:
    """Bending with shear at every place where both may be high (H2)."""
    member = loads.meetings[:, 0].astype(np.intp)
    together = bending_shear_ratio(
        loads.meetings[:, 1:2],
        loads.meetings[:, 2:3],
        columns.local_kipin * LB_IN_PER_KIP_IN,
        columns.shear_lb,
    )
    np.maximum.at(out, member, together)


def _turn_over(
    regions: Sequence[tuple[int, float, float, float]], strengths: Sequence[ProfileStrength], out: Floats
) -> None:
    """A flange in compression between braces (F2, F3); equal lengths are worked out once."""
    known: dict[tuple[float, float], Floats] = {}
    for member, moment, unbraced, cb in regions:
        if (unbraced, cb) not in known:
            known[unbraced, cb] = np.array([s.lateral_moment_kipin(unbraced, cb) for s in strengths])
        np.maximum(out[member], moment / LB_IN_PER_KIP_IN / known[unbraced, cb], out=out[member])


def _worst_of_block(loaded: Floats, unloaded: Floats, scales: Floats, start: int, best: Worst) -> None:
    check = loaded.argmax(
        axis=0
    )  # [member, profile]: ratios of a member grow in step, so it stays the largest
    top = np.take_along_axis(loaded, check[None], axis=0)[0]
    at = np.maximum(top[:, :, None] * scales[:, None, :], unloaded[:, :, None])
    member = at.argmax(axis=0)
    ratio = np.take_along_axis(at, member[None], axis=0)[0]
    column = np.arange(loaded.shape[2])[:, None]
    chosen = np.where(ratio > unloaded[member, column], check[member, column], -1)
    better = ratio > best.ratio
    best.ratio[better] = ratio[better]
    best.member[better] = member[better] + start
    best.check[better] = chosen[better]
