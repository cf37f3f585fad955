"""Members and checks of two offers: which joists came, went or changed, whatever their marks (R40). Pure.

A member is the same if kind, profile, plies and both ends on the plan are the same. What went and what came on one
line of the plan, overlapping, is one changed member; so is one whose service holes moved.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from framing.drawing import MemberChanges
from framing.engine.geometry import Point
from framing.engine.members import Member, MemberKind
from framing.engine.result import FloorResult, MemberCheck
from quotes.compare_shapes import CheckFigure, CheckRow, FloorMembers, JoistRow, OfferFloor

_Ends = tuple[Point, Point]
_Placed = tuple[Member, _Ends]
_Pair = tuple[OfferFloor | None, OfferFloor | None]
_SHOWN: Final = 3  # decimals of a ratio on page and paper


def floor_pairs(was: Sequence[OfferFloor], now: Sequence[OfferFloor]) -> list[_Pair]:
    """Floors by their key: those of `now` in order, then those that went."""
    before, after = {floor.key: floor for floor in was}, {floor.key: floor for floor in now}
    return [(before.get(key), floor) for key, floor in after.items()] + [
        (floor, None) for key, floor in before.items() if key not in after
    ]


def pair_name(pair: _Pair) -> str:
    """The floor's name as it is now."""
    was, now = pair
    return now.name if now else was.name if was else ""


# --- members ---


def members_moved(pairs: Iterable[_Pair]) -> Iterator[FloorMembers]:
    """Floors with members that differ."""
    for pair in pairs:
        was, now = (floor.result if floor else None for floor in pair)
        changes = member_changes(was, now)
        if changes.any:
            key = next(floor.key for floor in pair if floor)
            yield FloorMembers(key, pair_name(pair), was, now, changes)


def member_changes(was: FloorResult | None, now: FloorResult | None) -> MemberChanges:
    """Ids of members added and removed, and pairs of ids (before, now) that changed."""
    before, after = _by_identity(was), _by_identity(now)
    gone, come, changed = [], [], []
    for identity in before.keys() | after.keys():
        old, new = before.get(identity, []), after.get(identity, [])
        changed += [
            (a[0].id, b[0].id) for a, b in zip(old, new, strict=False) if a[0].holes_16 != b[0].holes_16
        ]
        gone += old[len(new) :]
        come += new[len(old) :]
    pairs = _on_one_line(gone, come)
    changed += pairs
    paired_old, paired_new = {a for a, _ in pairs}, {b for _, b in pairs}
    return MemberChanges(
        added=frozenset(member.id for member, _ in come if member.id not in paired_new),
        removed=frozenset(member.id for member, _ in gone if member.id not in paired_old),
        changed=tuple(sorted(changed)),
    )


def _by_identity(result: FloorResult | None) -> dict[tuple[object, ...], list[_Placed]]:
    found: dict[tuple[object, ...], list[_Placed]] = defaultdict(list)
    for layout in result.bays if result else ():
        for member in layout.members:
            ends = member.plan_ends(layout.frame)
            found[member.kind, member.profile, member.plies, ends].append((member, ends))
    return found


def _on_one_line(gone: Iterable[_Placed], come: Iterable[_Placed]) -> list[tuple[str, str]]:
    """Pairs on one line of the plan, the longest overlap first; each member once."""
    lines: dict[tuple[bool, int], list[tuple[Member, int, int]]] = defaultdict(list)
    for member, ends in come:
        upright, place, low, high = _reach(ends)
        lines[upright, place].append((member, low, high))
    found = []
    for member, ends in gone:
        upright, place, low, high = _reach(ends)
        for other, other_low, other_high in lines.get((upright, place), ()):
            overlap = min(high, other_high) - max(low, other_low)
            if overlap > 0:
                found.append((-overlap, member.id, other.id))
    taken_old: set[str] = set()
    taken_new: set[str] = set()
    pairs = []
    for _, old, new in sorted(found):
        if old not in taken_old and new not in taken_new:
            taken_old.add(old)
            taken_new.add(new)
            pairs.append((old, new))
    return pairs


def _reach(ends: _Ends) -> tuple[bool, int, int, int]:
    """Whether a member runs up the plan, its place across, and its low and high end along."""
    a, b = ends
    if a.x_16 == b.x_16:
        return True, a.x_16, min(a.y_16, b.y_16), max(a.y_16, b.y_16)
    return False, a.y_16, min(a.x_16, b.x_16), max(a.x_16, b.x_16)


# --- the schedule ---


def joist_rows(pairs: Iterable[_Pair]) -> Iterator[JoistRow]:
    """Counts that differ, by floor, kind, profile, plies and length; a floor counts with its repeats."""
    for pair in pairs:
        was, now = (_counts(floor.result if floor else None) for floor in pair)
        for key in sorted(was.keys() | now.keys(), key=_order):
            if was[key] != now[key]:
                kind, profile, plies, length_16 = key
                yield JoistRow(pair_name(pair), kind, profile, plies, length_16, was[key], now[key])


_Key = tuple[MemberKind, str, int, int]


def _counts(result: FloorResult | None) -> Counter[_Key]:
    found: Counter[_Key] = Counter()
    for member in result.members if result else ():
        found[member.kind, member.profile, member.plies, member.length_16] += (
            result.plan.repeat if result else 0
        )
    return found


def _order(key: _Key) -> tuple[int, str, int, int]:
    kind, profile, plies, length_16 = key
    return list(MemberKind).index(kind), profile, plies, -length_16


# --- checks ---


def check_rows(pairs: Iterable[_Pair]) -> Iterator[CheckRow]:
    """Cases whose governing ratio, check or profile differs. Cases go by title; spans that moved, by their order."""
    for pair in pairs:
        was, now = (_figures(floor.result if floor else None) for floor in pair)
        for title, other in _titles(was, now):
            old, new = was.get(other), now.get(title)
            if _seen(old) != _seen(new):
                yield CheckRow(pair_name(pair), title or other, old, new)


def _titles(was: Mapping[str, CheckFigure], now: Mapping[str, CheckFigure]) -> list[tuple[str, str]]:
    """Pairs (title now, title before), "" where there is none."""
    pairs = [(title, title) for title in now if title in was]
    left = [title for title in was if title not in now]
    for title in (title for title in now if title not in was):
        alike = next((other for other in left if _head(other) == _head(title)), "")
        if alike:
            left.remove(alike)
        pairs.append((title, alike))
    return pairs + [("", title) for title in left]


def _head(title: str) -> str:
    """A title without its span: “Joist” of “Joist, span 14'-0"”."""
    return title.split(", span")[0]


def _figures(result: FloorResult | None) -> dict[str, CheckFigure]:
    worst: dict[str, MemberCheck] = {}
    for case in result.checks if result else ():
        known = worst.get(case.title)
        if known is None or _governing(case) > _governing(known):
            worst[case.title] = case
    return {title: _figure(case) for title, case in worst.items()}


def _governing(case: MemberCheck) -> float:
    return case.checks[case.governing].ratio


def _figure(case: MemberCheck) -> CheckFigure:
    check = case.checks[case.governing]
    return CheckFigure(check.ratio, check.name, case.profile, check.clause, case.passes)


def _seen(figure: CheckFigure | None) -> tuple[object, ...] | None:
    if figure is None:
        return None
    return round(figure.ratio, _SHOWN), figure.name, figure.profile, figure.passes
