"""Rows of a take-off in words: bill lines with their derivation, the schedule, the cut list. No database."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from framing.engine.floor import Units
from framing.engine.members import Member, MemberKind, Piece
from framing.engine.placement import Placed
from framing.engine.practice import Practice
from framing.engine.result import BomLine, FloorResult, ScheduleLine, Term
from framing.engine.units import feet, format_length

TIMES: Final = "\N{MULTIPLICATION SIGN}"
GROUPS: Final = {
    "members": "Members",
    "hardware": "Hardware",
    "fasteners": "Fasteners",
    "boards": "Boards",
    "sheathing": "Sheathing",
}
KINDS: Final = {
    MemberKind.JOIST: "Joist",
    MemberKind.TRIMMER: "Trimmer",
    MemberKind.HEADER: "Header",
    MemberKind.BEAM: "Beam",
    MemberKind.BLOCK: "Block",
}
_SIZES_MOST: Final = 3
_MANY: Final = {"ft": "ft", "box": "boxes"}


@dataclass(frozen=True, slots=True)
class TermRow:
    """One addend: `number` counts terms over the whole bill; `each` is how its places add up to it, "" where plain."""

    number: int
    term: Term
    amount: str
    each: str
    marks: tuple[str, ...]

    @property
    def places(self) -> int:
        return len(self.term.places)


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line of the bill; `how` says how `bought` follows from `exact`."""

    line: BomLine
    exact: str
    bought: str
    how: str
    terms: tuple[TermRow, ...]

    @property
    def places(self) -> int:
        """Distinct things that the line counts."""
        return len({name for row in self.terms for name in row.term.places})

    @property
    def first(self) -> int:
        return self.terms[0].number

    @property
    def last(self) -> int:
        return self.terms[-1].number

    @property
    def weight(self) -> str:
        """Pounds to a tenth, without the unit."""
        return f"{self.line.weight_lb:,.1f}"

    @property
    def sum_words(self) -> str:
        """The whole derivation on one line: `26 = 8 + 6 + 12`."""
        return f"{self.exact} = {' + '.join(row.amount for row in self.terms)}"


@dataclass(frozen=True, slots=True)
class Group:
    """Lines that go out together."""

    code: str
    words: str
    lines: tuple[LineRow, ...]

    @property
    def weight_lb(self) -> float:
        return sum(row.line.weight_lb for row in self.lines)


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """One mark; holes are places from the printed end."""

    line: ScheduleLine
    kind: str
    length: str
    holes: tuple[str, ...]

    @property
    def hole_count(self) -> int:
        return len(self.holes)


@dataclass(frozen=True, slots=True)
class CutRow:
    """Equal pieces that are rolled one after the other; `first` and `last` are install numbers (R12)."""

    first: int
    last: int
    mark: str
    profile: str
    length_16: int
    length: str
    holes_16: tuple[int, ...]
    pieces: int

    @property
    def hole_count(self) -> int:
        return len(self.holes_16)


def bill_groups(
    result: FloorResult, practice: Practice, owners: Mapping[str, frozenset[str]]
) -> tuple[Group, ...]:
    """The bill by group. `owners` names the members that each placed thing belongs to (`owners_of`)."""
    things = {thing.id: thing for thing in result.placed}
    lengths = {line.mark: line.length_16 for line in result.schedule}
    marks = {member.id: member.mark for member in result.members}
    units = result.plan.units
    number = 0
    found: dict[str, list[LineRow]] = {}
    for line in result.bill:
        rows = []
        for term in line.terms:
            met = dict.fromkeys(
                marks[member] for name in term.places for member in sorted(owners.get(name, {name}))
            )
            each = _each(line, term, things, lengths, marks, units)
            rows.append(TermRow(number, term, _amount(term.quantity, line.unit, units), each, tuple(met)))
            number += 1
        found.setdefault(line.group, []).append(
            LineRow(
                line,
                _amount(line.exact, line.unit, units),
                bought_words(line),
                how_bought(line, practice),
                tuple(rows),
            )
        )
    return tuple(Group(code, words, tuple(found[code])) for code, words in GROUPS.items() if code in found)


def _amount(quantity: int, unit: str, units: Units) -> str:
    return format_length(quantity, units) if unit == "length_16" else f"{quantity:,}"


def _each(
    line: BomLine,
    term: Term,
    things: Mapping[str, Placed],
    lengths: Mapping[str, int],
    marks: Mapping[str, str],
    units: Units,
) -> str:
    """How many by how much, as 36 times 1 and 4 times 2; "" for single pieces and for many different ones."""
    if line.unit == "length_16" and term.places[0] in marks:
        length_16 = lengths[marks[term.places[0]]]
        return f"{term.quantity // length_16} {TIMES} {format_length(length_16, units)}"
    counted = Counter(things[name].quantity for name in term.places)
    if len(term.places) == 1 or set(counted) == {1} or len(counted) > _SIZES_MOST:
        return ""
    return " + ".join(
        f"{count} {TIMES} {_amount(quantity, line.unit, units)}"
        for quantity, count in sorted(counted.items())
    )


def bought_words(line: BomLine) -> str:
    """What is ordered, with its pack: `4 boxes of 250`."""
    words = line.sold_by if line.bought == 1 else _MANY.get(line.sold_by, f"{line.sold_by}s")
    return f"{line.bought:,} {words}" + (f" of {line.pack:,}" if line.pack > 1 else "")


def how_bought(line: BomLine, practice: Practice) -> str:
    """How `bought` follows from `exact` (R31); "" where exactly the count is bought."""
    if line.group == "fasteners":
        share = practice.fastener_allowance_percent
        wanted = f"{line.exact * (100 + share) / 100:,.2f}".rstrip("0").rstrip(".")
        return (
            f"{line.exact:,} and {share} % allowance are {wanted}: {bought_words(line)}, "
            f"{line.bought * line.pack:,} in all."
        )
    if line.sold_by == "ft":
        return f"{feet(line.exact):,.2f} ft, up to whole feet: {line.bought:,} ft."
    if line.unit == "length_16":
        one = feet(practice.tube_bead_16)
        return f"{feet(line.exact):,.2f} ft of bead at {one:g} ft a {line.sold_by}: {bought_words(line)}."
    return ""


def owners_of(result: FloorResult) -> dict[str, frozenset[str]]:
    """For each placed thing the members that it belongs to: those its id names, else those of its host.

    Ids are readable by contract (`lap:A.J1:A.J30`), and a clip's screws have the clip as host. Panels, rim boards
    and straps belong to no member.
    """
    members = {member.id for member in result.members}
    things = {thing.id: thing for thing in result.placed}
    return {name: frozenset(_owners(thing, members, things)) for name, thing in things.items()}


def _owners(thing: Placed, members: set[str], things: Mapping[str, Placed]) -> set[str]:
    named = {part for part in thing.id.replace("/", ":").split(":") if part in members}
    if named or thing.host in members:
        return named or {thing.host}
    host = things.get(thing.host)
    return _owners(host, members, things) if host is not None else set()


def counted_of(
    groups: Iterable[Group], result: FloorResult, owners: Mapping[str, frozenset[str]]
) -> dict[str, dict[int, str]]:
    """For each member the terms that count it or what belongs to it: term number -> how much of it, in words.

    What joins two members is counted at both.
    """
    things = {thing.id: thing.quantity for thing in result.placed}
    steel = {member.id: member.length_16 * member.plies for member in result.members}
    found: dict[str, dict[int, str]] = {}
    for line in (line for group in groups for line in group.lines):
        for row in line.terms:
            shares: Counter[str] = Counter()
            for name in row.term.places:
                for member in owners.get(name, (name,)):
                    shares[member] += things.get(name) or steel[name]
            for member, share in shares.items():
                found.setdefault(member, {})[row.number] = _amount(share, line.line.unit, result.plan.units)
    return found


def schedule_rows(result: FloorResult) -> tuple[ScheduleRow, ...]:
    units = result.plan.units
    return tuple(
        ScheduleRow(
            line,
            KINDS[line.kind],
            format_length(line.length_16, units),
            tuple(format_length(hole_16, units) for hole_16 in line.holes_16),
        )
        for line in result.schedule
    )


def cut_rows(result: FloorResult) -> tuple[CutRow, ...]:
    """The cut list in running order: pieces in install order, equal neighbours together."""
    pieces = sorted(result.pieces, key=lambda piece: (piece.sequence, piece.id))
    members = {member.id: member for member in result.members}
    return tuple(_cut_rows(pieces, members, result.plan.units))


def _cut_rows(pieces: Sequence[Piece], members: Mapping[str, Member], units: Units) -> Iterator[CutRow]:
    for (mark, profile, length_16), run in groupby(pieces, key=lambda p: (p.mark, p.profile, p.length_16)):
        same = list(run)
        yield CutRow(
            same[0].sequence,
            same[-1].sequence,
            mark,
            profile,
            length_16,
            format_length(length_16, units),
            members[same[0].member].holes_16,
            len(same),
        )
