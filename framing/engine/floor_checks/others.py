"""Partitions, point loads, fixed plies and unusual loads (R8, R13, R51)."""

from __future__ import annotations

from collections.abc import Iterator

from framing.engine.errors import Problem
from framing.engine.floor import LoadCase, SupportKind
from framing.engine.floor_checks.openings import opening_over
from framing.engine.floor_checks.site import Site


def partition_problems(site: Site) -> Iterator[Problem]:
    """Partitions without length or outside the floor; they may stand askew."""
    for index, partition in enumerate(site.plan.partitions):
        place = f"partitions.{index}"
        if partition.start == partition.end:
            words = f"Partition {partition.id} has no length; draw it from end to end."
            yield site.problem(place, words, partition.start)
        elif not site.has((partition.start, partition.end)):
            words = f"Partition {partition.id} leaves the floor; end it at the outline."
            yield site.problem(place, words, partition.start)


def point_load_problems(site: Site) -> Iterator[Problem]:
    """Point loads that weigh nothing, stand outside the floor or over an opening."""
    for index, load in enumerate(site.plan.point_loads):
        place, at = f"point_loads.{index}", load.at
        least, most = sorted((load.dead_lb, load.live_lb))
        if least < 0:
            words = f"Point load {load.label} has {least:g} lb; a load presses down, write 0 or more."
            yield site.problem(place, words, at)
        elif most == 0:
            words = (
                f"Point load {load.label} weighs nothing; write its dead or its live load or take it away."
            )
            yield site.problem(place, words, at)
        if not site.ring.holds(at.x_16, at.y_16):
            words = f"Point load {load.label} stands outside the floor, at {site.where(at)}; move it inside."
            yield site.problem(f"{place}.at", words, at)
        elif (opening := opening_over(site.plan.openings, at)) is not None:
            words = f"Point load {load.label} stands in opening {opening.name}; move one of them."
            yield site.problem(f"{place}.at", words, at)


def plies_problems(site: Site) -> Iterator[Problem]:
    """Plies fixed for what does not exist, and more than the practice builds."""
    plan, most = site.plan, site.practice.plies_most
    known = {
        "joist": ("bearing partition", {p.id for p in plan.partitions if p.bearing}),
        "beam": ("flush beam", {s.id for s in plan.supports if s.kind is SupportKind.FLUSH_BEAM}),
    }
    openings = ("opening", {opening.id for opening in plan.openings})
    for index, (key, plies) in enumerate(plan.plies):
        owner, part = key.split(":", 1)
        thing, ids = known.get(part, openings)
        place = f"overrides.plies.{index}"
        if owner not in ids:
            words = f"There is no {thing} “{owner}”; remove the entry or correct its name."
            yield Problem(f"{place}.of", words)
        if not 1 <= plies <= most:
            yield Problem(f"{place}.plies", f"{plies} plies can't be built; write 1 to {most}.")


def load_warnings(site: Site) -> Iterator[Problem]:
    """Live loads under the least for rooms, of the floor and of bays that have their own."""
    cases = [("load_case", "", site.plan.load_case)]
    cases += [
        (f"bays.{index}.load_case", f" on bay {bay.id}", bay.load_case)
        for index, bay in enumerate(site.plan.bays)
        if bay.load_case is not None
    ]
    for place, whose, case in cases:
        yield from _low_live(site, place, whose, case)


def _low_live(site: Site, place: str, whose: str, case: LoadCase) -> Iterator[Problem]:
    limit = site.practice.unusual_live_psf
    if case.live_psf < limit:
        words = f"Live load {case.live_psf:g} psf{whose} is under {limit:g} psf, the least for rooms; check the use."
        yield Problem(f"{place}.live_psf", words)
