"""Bundles and packs of a whole delivery with tags' words (R32-R36)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from framing.engine.bundling.cartons import floor_words, pack_cartons
from framing.engine.bundling.pieces import Delivered, Planned, bundles_of_profile, delivered_pieces
from framing.engine.bundling.plan import Limits, Unit
from framing.engine.catalogue import Catalogue
from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan
from framing.engine.members import Piece
from framing.engine.practice import Practice
from framing.engine.result import BomLine, Bundle, Carton
from framing.engine.units import format_length


def bundle_package(
    floors: Sequence[tuple[FloorPlan, tuple[Piece, ...]]],
    catalogue: Catalogue,
    practice: Practice,
    *,
    bills: Sequence[tuple[BomLine, ...]] = (),
) -> tuple[tuple[Bundle, ...], tuple[Carton, ...], tuple[Problem, ...]]:
    """Bundle all pieces of floors that are delivered together, and pack the rest.

    Args:
        floors: each floor with its pieces for one copy; `plan.repeat` copies are bundled.
        catalogue, practice: weights, caps by depth, lift limit, spread.
        bills: each floor's bill for one copy, in the same order; without bills only short pieces are packed.

    Returns:
        bundles numbered in install order, packs numbered from 1, and notes on short, heavy and extra bundles.

    Raises:
        UnknownProfile: a piece of a profile that the catalogue does not hold.
    """
    plans = [plan for plan, _ in floors]
    delivered = delivered_pieces(floors, catalogue)
    long_enough = [d for d in delivered if d.piece.length_16 >= practice.bundle_from_16]
    short = [d for d in delivered if d.piece.length_16 < practice.bundle_from_16]
    groups: list[tuple[Delivered, ...]] = []
    notes: list[Problem] = []
    for profile in sorted({d.profile for d in long_enough}):
        limits = limits_for(profile, catalogue, practice)
        mine = [d for d in long_enough if d.profile == profile]
        planned = bundles_of_profile(_units_by_floor(mine), limits)
        by_place = {d.place: d for d in mine}
        groups += [tuple(by_place[unit.place] for unit in b) for part in planned for b in part.bundles]
        notes += _count_note(profile, planned)
    groups.sort(key=lambda group: group[0].place)
    bundles = tuple(
        _bundle(number, group, plans, catalogue, practice) for number, group in enumerate(groups, start=1)
    )
    notes += (
        Problem(f"bundles.{b.number}", f"Bundle {b.number} of {b.profile}: {b.note}")
        for b in bundles
        if b.note
    )
    return bundles, pack_cartons(plans, short, bills, catalogue, practice), tuple(notes)


def limits_for(profile: str, catalogue: Catalogue, practice: Practice) -> Limits:
    """What a bundle of a profile may be. A depth without a cap takes the next deeper's, else the least."""
    depth = catalogue.profile(profile).depth_code
    caps = sorted(practice.bundle_most_by_depth)
    most = next((cap for code, cap in caps if code >= depth), min(cap for _, cap in caps))
    return Limits(practice.bundle_least, most, round(practice.lift_limit_lb * 100), practice.bundle_spread_16)


def _units_by_floor(mine: Sequence[Delivered]) -> list[list[Unit]]:
    floors: dict[tuple[int, int], list[Unit]] = {}
    for d in mine:
        floors.setdefault((d.piece.floor, d.piece.copy), []).append(d.unit)
    return list(floors.values())


def _count_note(profile: str, planned: Sequence[Planned]) -> Iterator[Problem]:
    """Say so where there are more bundles than count and weight of the floors alone would ask for."""
    count, least = sum(len(part.bundles) for part in planned), sum(part.least for part in planned)
    if count > least:
        yield Problem(
            "bundles",
            f"{profile}: {count} bundles, at least {least} by count and weight; lengths kept apart "
            "or pieces that do not pair up take the rest.",
        )


def _bundle(
    number: int,
    group: tuple[Delivered, ...],
    plans: Sequence[FloorPlan],
    catalogue: Catalogue,
    practice: Practice,
) -> Bundle:
    profile = group[0].profile
    weight_lb = round(sum(d.piece.weight_lb for d in group), 2)
    return Bundle(
        number=number,
        profile=profile,
        pieces=tuple(d.piece for d in group),
        weight_lb=weight_lb,
        length_16=max(d.piece.length_16 for d in group),
        zone=_zone(group, plans),
        short=len(group) < practice.bundle_least,
        note=_note(group, weight_lb, plans, limits_for(profile, catalogue, practice), practice),
    )


def _zone(group: Sequence[Delivered], plans: Sequence[FloorPlan]) -> str:
    """Floors and zones that a bundle serves, in install order: `Level 2: west half; Level 3: east half`."""
    zones: dict[str, list[str]] = {}
    for d in group:
        named = zones.setdefault(floor_words(plans[d.piece.floor], d.piece.copy), [])
        if d.zone and d.zone not in named:
            named.append(d.zone)
    return "; ".join(f"{floor}: {', '.join(named)}" if named else floor for floor, named in zones.items())


def _note(
    group: Sequence[Delivered],
    weight_lb: float,
    plans: Sequence[FloorPlan],
    limits: Limits,
    practice: Practice,
) -> str:
    words = []
    if len(group) < practice.bundle_least:
        words.append(f"short, {len(group)} of at least {practice.bundle_least} pieces.")
    lengths = [d.piece.length_16 for d in group]
    spread = max(lengths) - min(lengths)
    if spread > limits.spread_16:
        units = plans[group[0].piece.floor].units
        allowed = format_length(limits.spread_16, units)
        words.append(f"lengths differ by {format_length(spread, units)}, over {allowed}.")
    if weight_lb > practice.lift_limit_lb:
        words.append(f"{weight_lb:g} lb is over the lift limit of {practice.lift_limit_lb:g} lb.")
    return " ".join(words)
