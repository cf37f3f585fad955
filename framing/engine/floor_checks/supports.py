"""Bearings inside the floor: walls and beams of any direction, and flush beams square to what they carry (R2)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from framing.engine.errors import Problem
from framing.engine.floor import Support, SupportKind
from framing.engine.floor_checks.lines import Line, Strip, askew, meetings, same_way
from framing.engine.floor_checks.site import Site, beside, crosses, line_of
from framing.engine.geometry import Point


def support_problems(site: Site) -> Iterator[Problem]:
    """Bearings without length or width, outside the floor, in each other; flush beams that nothing holds."""
    for index, support in enumerate(site.plan.supports):
        place, at = f"supports.{index}", support.start
        flush = support.kind is SupportKind.FLUSH_BEAM
        if support.start == support.end:
            yield site.problem(place, f"Bearing {support.id} has no length; draw it from end to end.", at)
        elif support.width_16 <= 0 and not flush:
            words = f"Bearing {support.id} has no width; write one over 0."
            yield site.problem(f"{place}.width", words, at)
        elif not site.has(line_of(support)):
            words = f"Bearing {support.id} leaves the floor; end it at the outline."
            yield site.problem(place, words, at)
        elif clash := _clash(site, index):
            words = f"Bearings {clash} and {support.id} stand in each other; keep one or move it."
            yield site.problem(place, words, at)
        elif flush:
            yield from _flush_problems(site, support, place)


def _clash(site: Site, index: int) -> str:
    """The id of the first earlier bearing that this one stands in; "" where there is none.

    A wall may cross another; flush beams lie at one level and may only meet end to end.
    """
    support, strip = site.plan.supports[index], site.strips[index]
    for other, others in zip(site.plan.supports[:index], site.strips, strict=False):
        if strip is None or others is None:
            continue
        alike = same_way(strip.line, others.line)
        if alike and strip.overlaps(others):
            return other.id
        flush = support.kind is other.kind is SupportKind.FLUSH_BEAM
        if flush and not alike and meetings(strip.line, others.line):
            return other.id
    return ""


def _flush_problems(site: Site, beam: Support, place: str) -> Iterator[Problem]:
    name, line = f"Flush beam {beam.id}", line_of(beam)
    if askew(line):
        words = f"{name} is askew; draw it square to the joists that it carries."
        yield site.problem(place, words, beam.start)
        return
    if words := _carrying_words(site, line):
        yield site.problem(place, f"{name} {words}", beam.start)
    for end in line:
        if not _stands(site, line, end):
            words = (
                f"{name} ends on nothing at {site.where(end)}; end it at the outline, or on a wall or beam that "
                "crosses under its end."
            )
            yield site.problem(place, words, end)


def _carrying_words(site: Site, line: Line) -> str:
    """What hinders a flush beam from carrying joists; "" where nothing does."""
    carries, bays = False, site.plan.bays
    for left, right in site.bays_beside(line):
        touched = [bays[index] for index in dict.fromkeys((left, right)) if index is not None]
        square = [bay for bay in touched if not beside(line, bay.axis)]
        carries = carries or bool(square)
        if left == right and touched and not square:
            return (
                f"runs along the joists of bay {touched[0].id}; draw it square to them, or end it at the bay's "
                "border."
            )
    if not carries:
        return "carries no joists; draw it square to the joists of a bay, or remove it."
    if any(strip is not None and _lies_on(strip, line) for strip in site.wall_strips):
        return "lies in an outside wall; move it inside the wall or remove it."
    return ""


def _lies_on(strip: Strip, line: Line) -> bool:
    """Whether a line runs along a wall within its ground."""
    return same_way(strip.line, line) and all(strip.covers(end) for end in line)


def _stands(site: Site, line: Line, end: Point) -> bool:
    """Whether an outside wall, or a wall or beam that crosses, stands under an end of a flush beam."""
    inside = zip(site.plan.supports, site.strips, strict=True)
    bearings = [strip for support, strip in inside if support.kind is not SupportKind.FLUSH_BEAM]
    return any(
        strip is not None and crosses(strip, line) and strip.covers(end)
        for strip in (*site.wall_strips, *bearings)
    )


def support_warnings(site: Site) -> Iterator[Problem]:
    """Walls and beams that run along the joists on both sides and hold up no flush beam."""
    for index, support in enumerate(site.plan.supports):
        line = line_of(support)
        if support.kind is SupportKind.FLUSH_BEAM or askew(line):
            continue
        touched = {bay for pair in site.bays_beside(line) for bay in pair if bay is not None}
        if any(not beside(line, site.plan.bays[bay].axis) for bay in touched) or _holds_beam(
            site.strips[index], site.plan.supports
        ):
            continue
        words = f"Bearing {support.id} runs along the joists and carries none of them."
        yield site.problem(f"supports.{index}", words, support.start)


def _holds_beam(strip: Strip | None, beams: Sequence[Support]) -> bool:
    """Whether a flush beam ends on a bearing or runs on over it."""
    lines = [line_of(beam) for beam in beams if beam.kind is SupportKind.FLUSH_BEAM]
    return strip is not None and any(
        crosses(strip, line) and strip.stretch(line) is not None for line in lines
    )
