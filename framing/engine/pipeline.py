"""The steps in order: floor in, designed floor out; floors in, bundled and loaded package out.

Each stage keeps its last answers by all that they depend on, to the letter: a floor by its drawing without name
and level, the catalogue and the practice values that floors heed; a package by its floors and all values. So a
repeated storey, a new price or a new truck designs no floor anew, and what is told is the same as without.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from typing import Any, Final

from framing.engine.bundling import bundle_package
from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.errors import Problem
from framing.engine.fitout import fit_out, lone_end_warnings
from framing.engine.floor import FloorPlan
from framing.engine.floor_checks import check_floor, join_openings
from framing.engine.kept import Kept
from framing.engine.layout import assign_marks, layout_floor, layout_warnings, list_pieces, ply_keys
from framing.engine.loads import unchecked_loads_on
from framing.engine.members import BayLayout
from framing.engine.practice import Practice
from framing.engine.result import BomLine, FloorResult, MemberCheck, PackageResult
from framing.engine.sizing import (
    case_warnings,
    check_members,
    choose_profiles,
    depth_warnings,
    holes_left_out,
    holes_matter,
    options,
    plies_needed,
    same_loads,
    span_warnings,
)
from framing.engine.takeoff import TIMES, bill_of_materials, schedule
from framing.engine.trucks import load_trucks

ENGINE_VERSION = "0.5.0"
"""Kept with every result; a change that can change any number raises it."""

_ROUNDS = 4
"""Layout and sizing feed each other (flange widths, plies); two rounds settle real floors, four bound it."""


_BUNDLING: Final = (
    "name", "version", "bundle_least", "bundle_most_by_depth", "bundle_from_16", "lift_limit_lb", "bundle_spread_16",
    "truck_payload_lb", "truck_deck_ft",
)  # fmt: skip
"""Values of the practice set that no floor heeds: only bundles, packs and loads do."""
_BLIND: Final[dict[str, Any]] = {
    field.name: field.default for field in fields(Practice) if field.name in _BUNDLING
}
_ROOM: Final = 100_000
"""Pieces, placed things and checks that a stage keeps, at about 0.4 kB each; a floor of 600 pieces has 8,000."""

_FLOORS: Final[Kept[FloorResult]] = Kept(_ROOM)
_PACKAGES: Final[Kept[PackageResult]] = Kept(_ROOM)


def design_floor(plan: FloorPlan, catalogue: Catalogue, practice: Practice) -> FloorResult:
    """One floor: checked, sized, laid out, fitted out and counted.

    Raises FloorRefused (R51) and UnknownProfile; a floor whose members fail is answered, with failing checks.
    """
    bare, heeded = replace(plan, name="", repeat=1), replace(practice, **_BLIND)
    # 40 and 40.0 are equal, but may be told apart.
    key = repr(replace(bare, level="")), repr(heeded), catalogue
    floor = _FLOORS.get(key, lambda: _design(bare, catalogue, heeded), _size)
    if floor.plan.level != plan.level:
        first = floor
        floor = _FLOORS.get((*key, plan.level), lambda: _marked(first, plan.level), _size)
    return replace(floor, plan=join_openings(plan))


def design_package(plans: Sequence[FloorPlan], catalogue: Catalogue, practice: Practice) -> PackageResult:
    """All floors of one job, bundled and loaded together (R35, R47). Raises what `design_floor` raises."""
    words = tuple(repr(plan) for plan in plans), repr(practice)
    return _PACKAGES.get((words, catalogue), lambda: _pack(plans, catalogue, practice), _package_size)


def _size(floor: FloorResult) -> int:
    return len(floor.pieces) + len(floor.placed) + sum(len(case.checks) for case in floor.checks)


def _package_size(package: PackageResult) -> int:
    return sum(_size(floor) + len(floor.pieces) * floor.plan.repeat for floor in package.floors)


def _design(plan: FloorPlan, catalogue: Catalogue, practice: Practice) -> FloorResult:
    warnings = check_floor(plan, practice)
    plan = join_openings(plan)
    layouts, checks, over = _ply_up(plan, _choose(plan, catalogue, practice), catalogue, practice)
    pieces = list_pieces(plan, layouts)
    placed, lines = fit_out(plan, layouts, catalogue, practice)
    return FloorResult(
        plan=plan,
        bays=layouts,
        pieces=pieces,
        lines=lines,
        placed=placed,
        bill=bill_of_materials(layouts, pieces, placed, catalogue, practice),
        schedule=schedule(layouts, pieces, catalogue),
        checks=checks,
        options=tuple(o for bay in layouts for o in options(plan, bay, catalogue, practice, layouts)),
        warnings=(
            *warnings,
            *unchecked_loads_on(plan),
            *layout_warnings(plan, layouts, practice),
            *span_warnings(plan, layouts, catalogue, practice),
            *case_warnings(checks),
            *lone_end_warnings(layouts, placed),
            *over,
        ),
    )


def _marked(floor: FloorResult, level: str) -> FloorResult:
    """The same floor on another level: its marks begin with that (R11)."""
    skip = len(floor.plan.level)
    bays = tuple(
        replace(bay, members=tuple(replace(m, mark=level + m.mark[skip:]) for m in bay.members))
        for bay in floor.bays
    )
    rolled = {member.profile for member in floor.members}
    return replace(
        floor,
        plan=replace(floor.plan, level=level),
        bays=bays,
        pieces=tuple(replace(piece, mark=level + piece.mark[skip:]) for piece in floor.pieces),
        schedule=tuple(replace(line, mark=level + line.mark[skip:]) for line in floor.schedule),
        bill=tuple(
            _marked_line(line, floor.plan.level, level) if line.code in rolled else line
            for line in floor.bill
        ),
    )


def _marked_line(line: BomLine, old: str, level: str) -> BomLine:
    """A rolled profile's line: in its terms the mark follows the times sign."""
    before, after = f"{TIMES} {old}", f"{TIMES} {level}"
    return replace(line, terms=tuple(replace(t, words=t.words.replace(before, after, 1)) for t in line.terms))


def _pack(plans: Sequence[FloorPlan], catalogue: Catalogue, practice: Practice) -> PackageResult:
    floors = tuple(design_floor(plan, catalogue, practice) for plan in plans)
    bundles, cartons, notes = bundle_package(
        [(floor.plan, floor.pieces) for floor in floors],
        catalogue,
        practice,
        bills=[floor.bill for floor in floors],
    )
    return PackageResult(
        engine_version=ENGINE_VERSION,
        catalogue_version=catalogue.version,
        practice_name=practice.name,
        practice_version=practice.version,
        floors=floors,
        bundles=bundles,
        cartons=cartons,
        loads=load_trucks(bundles, cartons, practice),
        notes=notes,
    )


def _profiles(layouts: Sequence[BayLayout], catalogue: Catalogue) -> dict[str, JoistProfile]:
    return {layout.bay.id: catalogue.profile(layout.profile) for layout in layouts}


def _choose(plan: FloorPlan, catalogue: Catalogue, practice: Practice) -> tuple[BayLayout, ...]:
    """Lay out with a first profile, choose, lay out with the chosen one, until the choice stands (R18).

    All bays get one depth, the deepest that any of them needs; a fixed profile stays. Holes are punched before a
    choice only where it heeds them; what is answered has none yet, and no marks.
    """
    first = catalogue.profiles[0].designator
    profiles = {bay.id: catalogue.profile(bay.profile or first) for bay in plan.bays}
    laid = layout_floor(plan, profiles, practice, {})
    for _ in range(_ROUNDS):
        heeded = holes_matter(plan, laid, practice)
        tried = _mark(plan, laid, catalogue, practice) if heeded else laid
        chosen = choose_profiles(plan, tried, catalogue, practice)
        if chosen == profiles:
            break
        equal = all(chosen[bay].flange_16 == profile.flange_16 for bay, profile in profiles.items())
        laid = (
            _in_profiles(plan, laid, chosen, practice) if equal else layout_floor(plan, chosen, practice, {})
        )
        profiles = chosen
        if equal and not heeded:
            break  # nothing that the choice reads has changed
    return laid


def _in_profiles(
    plan: FloorPlan, laid: Sequence[BayLayout], profiles: Mapping[str, JoistProfile], practice: Practice
) -> tuple[BayLayout, ...]:
    """The same layout in profiles of the same flanges, by bay id: places depend on nothing else of a profile."""
    names = {bay: profile.designator for bay, profile in profiles.items()}
    turned = tuple(
        replace(
            layout,
            profile=names[layout.bay.id],
            members=tuple(replace(member, profile=names[layout.bay.id]) for member in layout.members),
        )
        for layout in laid
    )
    same_loads(plan, practice, laid, turned)
    return turned


def _mark(
    plan: FloorPlan,
    laid: Sequence[BayLayout],
    catalogue: Catalogue,
    practice: Practice,
    left_out: Mapping[str, Mapping[int, str]] | None = None,
) -> tuple[BayLayout, ...]:
    """A layout with holes and marks, which weigh nothing."""
    marked = assign_marks(plan, laid, _profiles(laid, catalogue), practice, left_out)
    same_loads(plan, practice, laid, marked)
    return marked


def _ply_up(
    plan: FloorPlan, laid: tuple[BayLayout, ...], catalogue: Catalogue, practice: Practice
) -> tuple[tuple[BayLayout, ...], tuple[MemberCheck, ...], tuple[Problem, ...]]:
    """Give what is built up the plies it needs (R7), leave out failing holes (R10), mark; with what to warn of."""
    profiles = _profiles(laid, catalogue)
    plies: dict[str, int] = {}
    layouts = _mark(plan, laid, catalogue, practice)
    checks = check_members(plan, layouts, catalogue, practice)
    for _ in range(_ROUNDS):
        keys = {member: key for layout in layouts for member, key in ply_keys(plan, layout).items()}
        needed, over = plies_needed(checks, practice, keys)
        raised = {keys[m]: n for m, n in needed.items() if n > plies.get(keys[m], 0)}
        if not raised:
            break
        plies |= raised
        laid = layout_floor(plan, profiles, practice, plies)
        layouts = _mark(plan, laid, catalogue, practice)
        checks = check_members(plan, layouts, catalogue, practice)
    left_out = holes_left_out(plan, layouts, catalogue, practice)
    if left_out:
        layouts = _mark(plan, laid, catalogue, practice, left_out)
        checks = check_members(plan, layouts, catalogue, practice)
    return layouts, checks, (*over, *depth_warnings(layouts, catalogue))
