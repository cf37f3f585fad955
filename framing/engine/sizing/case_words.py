"""What is said of a case beside its checks: title, inputs, what is taken for granted, what somebody must see to."""

from __future__ import annotations

from framing.engine.catalogue import JoistProfile
from framing.engine.floor import FloorPlan, Units
from framing.engine.loads import INCHES_PER_FOOT, LineLoad, live_psf
from framing.engine.members import BayLayout, EndKind, MemberKind
from framing.engine.practice import Practice
from framing.engine.sizing.cases import Case
from framing.engine.sizing.checks import Inputs
from framing.engine.sizing.hole_checks import holes_unchecked
from framing.engine.sizing.seats import seat_notes
from framing.engine.sizing.strengths import strength_of
from framing.engine.units import SIXTEENTHS_PER_INCH, format_length

_KIND_WORDS = {
    MemberKind.JOIST: "Joist",
    MemberKind.TRIMMER: "Trimmer",
    MemberKind.HEADER: "Header",
    MemberKind.BEAM: "Flush beam",
    MemberKind.BLOCK: "Block",
}


def title(case: Case, units: Units) -> str:
    """What a case is and how far it spans."""
    tail = case.is_tail and case.member.kind is MemberKind.JOIST
    words = "Tail joist" if tail else _KIND_WORDS[case.member.kind]
    plies = f", {case.member.plies}-ply" if case.member.plies > 1 else ""
    return f"{words}{plies}, {_spans(case, units)}"


def inputs(plan: FloorPlan, layout: BayLayout, case: Case) -> Inputs:
    """Spans, spacing and loads, as they stand beside every check."""
    spacing = float(layout.bay.spacing_16) / SIXTEENTHS_PER_INCH
    load = plan.load_on(layout.bay)
    rows = [
        ("Spans", _spans(case, plan.units).split(" ", 1)[1]),
        ("Spacing", f"{spacing:g} in"),
        ("Live load", f"{live_psf(load):g} psf"),
        ("Dead load", f"{load.dead_psf:g} psf"),
    ]
    if case.first.demand.overhangs_in:
        rows.append(("Length that limits divide at a tip", "twice the overhang (IBC Table 1604.3)"))
    widest = max((max(_loads_at_ends(line)) for line in case.first.model.lines), default=0.0)
    rows.append(("Largest line load", f"{widest * INCHES_PER_FOOT:.1f} lb per ft"))
    rows += [
        (
            f"Point load of {p.source}",
            f"{p.dead_lb + p.live_lb:.0f} lb at {p.at_in - case.first.model.supports_in[0]:.1f} in",
        )
        for p in case.first.model.points
    ]
    return tuple(rows)


def notes(plan: FloorPlan, case: Case, profile: JoistProfile, practice: Practice) -> tuple[str, ...]:
    """Sentences on what is taken for granted or left unchecked."""
    return (*_seat_notes(plan, case), *_hole_notes(case, profile, practice))


def uplift(case: Case) -> tuple[str, ...]:
    """Bearings that load on other spans lifts off, to be tied down; headers and beams that it pulls up, to check."""
    member, pulls = case.member, case.first.demand.uplift_lb
    hung = {1: member.low, len(pulls): member.high}
    ends = {number: end for number, end in hung.items() if end.kind in (EndKind.HEADER, EndKind.FLUSH)}
    return tuple(
        f"Load on other spans pulls {ends[number].host} up by {force:.0f} lb: the engine does not check it and its "
        "clips for that; have the engineer confirm them."
        if number in ends
        else f"Live load on other spans lifts this member off its bearing {number} by {force:.0f} lb: tie it down."
        for number, force in enumerate(pulls, start=1)
        if force > 0
    )


def _seat_notes(plan: FloorPlan, case: Case) -> tuple[str, ...]:
    drawn = frozenset((*(wall.id for wall in plan.partitions), *(load.label for load in plan.point_loads)))
    return seat_notes(case.member, case.first.model, case.first.seats, drawn)


def _hole_notes(case: Case, profile: JoistProfile, practice: Practice) -> tuple[str, ...]:
    strength = strength_of(profile, practice)
    if not (case.holes_in and holes_unchecked(strength, practice)):
        return ()
    words = (
        "Holes stand by the limits of IRC R505.2.6.1 alone: AISI S100 G3 has no number for webs over h/t 200, "
        f"and this one has {strength.web_slenderness:.0f}. Have the engineer confirm them."
    )
    return (words,)


def _spans(case: Case, units: Units) -> str:
    demand = case.first.demand
    spans, tips = (
        [format_length(round(length * SIXTEENTHS_PER_INCH), units) for length in lengths]
        for lengths in (demand.spans_in, demand.overhangs_in)
    )
    over = [f"{'overhangs' if len(tips) > 1 else 'overhang'} {' + '.join(tips)}"] if tips else []
    return ", ".join([f"{'spans' if len(spans) > 1 else 'span'} {' + '.join(spans)}", *over])


def _loads_at_ends(line: LineLoad) -> tuple[float, float]:
    (dead, dead_end), (live, live_end) = line.dead_ends_lb_in, line.live_ends_lb_in
    return dead + live, dead_end + live_end
