"""The steps in order: floor in, designed floor out; floors in, bundled and loaded package out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from framing.engine.bundling import bundle_package
from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.errors import Problem
from framing.engine.fitout import fit_out, lone_end_warnings
from framing.engine.floor import FloorPlan
from framing.engine.floor_checks import check_floor
from framing.engine.layout import assign_marks, layout_floor, layout_warnings, list_pieces, ply_keys
from framing.engine.loads import unchecked_loads
from framing.engine.members import BayLayout
from framing.engine.practice import Practice
from framing.engine.result import FloorResult, MemberCheck, PackageResult
from framing.engine.sizing import (
    case_warnings,
    check_members,
    choose_profile,
    holes_left_out,
    options,
    plies_needed,
    span_warnings,
)
from framing.engine.takeoff import bill_of_materials, schedule
from framing.engine.trucks import load_trucks

ENGINE_VERSION = "0.2.0"
"""Kept with every result; a change that can change any number raises it."""

_ROUNDS = 4
"""Layout and sizing feed each other (flange widths, plies); two rounds settle real floors, four bound it."""


def design_floor(plan: FloorPlan, catalogue: Catalogue, practice: Practice) -> FloorResult:
    """One floor: checked, sized, laid out, fitted out and counted.

    Raises FloorRefused (R51) and UnknownProfile; a floor whose members fail is answered, with failing checks.
    """
    warnings = check_floor(plan, practice)
    layouts = _choose(plan, catalogue, practice)
    layouts, checks, over = _ply_up(plan, layouts, catalogue, practice)
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
        options=tuple(o for bay in layouts for o in options(plan, bay, catalogue, practice)),
        warnings=(
            *warnings,
            *unchecked_loads(plan.load_case),
            *layout_warnings(plan, layouts, practice),
            *span_warnings(plan, layouts, catalogue, practice),
            *case_warnings(checks),
            *lone_end_warnings(layouts, placed),
            *over,
        ),
    )


def design_package(plans: Sequence[FloorPlan], catalogue: Catalogue, practice: Practice) -> PackageResult:
    """All floors of one job, bundled and loaded together (R35, R47). Raises what `design_floor` raises."""
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


def _lay(
    plan: FloorPlan,
    profiles: Mapping[str, JoistProfile],
    practice: Practice,
    plies: Mapping[str, int],
    left_out: Mapping[str, Mapping[int, str]] | None = None,
) -> tuple[BayLayout, ...]:
    return assign_marks(plan, layout_floor(plan, profiles, practice, plies), profiles, practice, left_out)


def _profiles(layouts: Sequence[BayLayout], catalogue: Catalogue) -> dict[str, JoistProfile]:
    return {layout.bay.id: catalogue.profile(layout.profile) for layout in layouts}


def _choose(plan: FloorPlan, catalogue: Catalogue, practice: Practice) -> tuple[BayLayout, ...]:
    """Lay out with a first profile, choose, lay out with the chosen one, until the choice stands (R18)."""
    first = catalogue.profiles[0].designator
    profiles = {bay.id: catalogue.profile(bay.profile or first) for bay in plan.bays}
    for _ in range(_ROUNDS):
        layouts = _lay(plan, profiles, practice, {})
        chosen = {
            layout.bay.id: catalogue.profile(choose_profile(plan, layout, catalogue, practice))
            for layout in layouts
        }
        if chosen == profiles:
            return layouts
        profiles = chosen
    return _lay(plan, profiles, practice, {})


def _ply_up(
    plan: FloorPlan, layouts: tuple[BayLayout, ...], catalogue: Catalogue, practice: Practice
) -> tuple[tuple[BayLayout, ...], tuple[MemberCheck, ...], tuple[Problem, ...]]:
    """Give trimmers, headers and partitions' joists the plies they need (R7), and leave out failing holes (R10)."""
    profiles = _profiles(layouts, catalogue)
    plies: dict[str, int] = {}
    checks = check_members(plan, layouts, catalogue, practice)
    for _ in range(_ROUNDS):
        needed, over = plies_needed(checks, practice)
        keys = {member: key for layout in layouts for member, key in ply_keys(plan, layout).items()}
        raised = {keys[m]: n for m, n in needed.items() if m in keys and n > plies.get(keys[m], 0)}
        if not raised:
            break
        plies |= raised
        layouts = _lay(plan, profiles, practice, plies)
        checks = check_members(plan, layouts, catalogue, practice)
    left_out = holes_left_out(plan, layouts, catalogue, practice)
    if left_out:
        layouts = _lay(plan, profiles, practice, plies, left_out)
        checks = check_members(plan, layouts, catalogue, practice)
    return layouts, checks, over
