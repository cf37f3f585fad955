"""What the engine answers: frozen, complete, the same byte for byte for the same input."""

from __future__ import annotations

from dataclasses import dataclass

from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan
from framing.engine.members import BayLayout, Member, MemberKind, Piece
from framing.engine.placement import BridgingLine, Placed


@dataclass(frozen=True, slots=True)
class Check:
    """One check of a member (R17): `ratio` = demand / capacity, over 1 fails; nothing is rounded to pass.

    `required` is False for what is shown for information: a vibration method that the practice set leaves off.
    """

    name: str
    demand: float
    capacity: float
    unit: str
    clause: str
    inputs: tuple[tuple[str, str], ...]
    required: bool = True

    @property
    def ratio(self) -> float:
        return self.demand / self.capacity

    @property
    def passes(self) -> bool:
        return self.demand <= self.capacity


@dataclass(frozen=True, slots=True)
class MemberCheck:
    """The answer for all members that share one case (same profile, plies, spans, loads).

    `governing` is the index of the required check with the largest ratio; `notes` say in sentences what is
    taken for granted or left unchecked (a bearing that its clip stiffens), `warnings` what somebody must see to
    (an uplift to tie down); these stay on the quote.
    """

    members: tuple[str, ...]
    title: str
    profile: str
    plies: int
    span_in: float
    checks: tuple[Check, ...]
    governing: int
    notes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def passes(self) -> bool:
        return all(check.passes for check in self.checks if check.required)


@dataclass(frozen=True, slots=True)
class Value:
    """One line of a calculation: words, symbol (plain text such as `Fcrd`), number, unit, clause or source.

    `reach_in` is where a load stands: (from, to) in inches from the member's low end, equal for a point.
    """

    words: str
    symbol: str
    value: float
    unit: str
    source: str = ""
    reach_in: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Working:
    """How one capacity comes about: the formula in plain text, then its numbers in reading order."""

    title: str
    clause: str
    formula: str
    values: tuple[Value, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """A figure along the member: largest and smallest of all load patterns at each place.

    Attributes:
        name, unit: "Moment" in kip-in, "Shear" in lb or "Deflection" in in (down positive).
        points: (place in inches from the low end, largest, smallest), rising.
    """

    name: str
    unit: str
    points: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, slots=True)
class MemberSheet:
    """The calculation sheet of one case (R17).

    Attributes:
        check: what the result holds; `reference` is a short stable name on the floor, as `C3` for the third case.
        supports: (place in inches from the low end, words) of each support.
        loads, reactions: as they stand on the member; reactions are dead, live and both at each support.
        section: properties of one ply.
        workings: one for each capacity that the checks use.
    """

    reference: str
    check: MemberCheck
    length_in: float
    supports: tuple[tuple[float, str], ...]
    loads: tuple[Value, ...]
    reactions: tuple[Value, ...]
    section: tuple[Value, ...]
    curves: tuple[Curve, ...]
    workings: tuple[Working, ...]


@dataclass(frozen=True, slots=True)
class Option:
    """One profile at one spacing for a bay (R18); `reason` says what fails, "" where it passes."""

    bay: str
    profile: str
    spacing_in: float
    passes: bool
    ratio: float
    governing: str
    reason: str
    weight_lb: float


@dataclass(frozen=True, slots=True)
class Term:
    """One addend of a bill line: `words` and the places (ids of placed things or members) it counts."""

    words: str
    rule: str
    quantity: int
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BomLine:
    """One line of the bill of materials.

    Attributes:
        code: `<item>` or `<item>:<size>`, or the profile designator for rolled members; the price book's key.
        group: "members", "hardware", "fasteners", "boards" or "sheathing".
        exact: counted quantity in `unit` ("piece", or "length_16" for sixteenths).
        bought: what is ordered in `sold_by` (piece, ft, box, sheet, stick, tube) after allowance and packing.
        pack: pieces in one box where sold by the box, else 1.
        terms: the derivation; their quantities add up to `exact`.
    """

    code: str
    description: str
    group: str
    exact: int
    unit: str
    bought: int
    sold_by: str
    pack: int
    weight_lb: float
    terms: tuple[Term, ...]


@dataclass(frozen=True, slots=True)
class ScheduleLine:
    """One mark of the joist schedule and cut list; `pieces` counts C-sections, `members` places."""

    mark: str
    kind: MemberKind
    profile: str
    plies: int
    length_16: int
    members: int
    pieces: int
    holes_16: tuple[int, ...]
    weight_lb: float


@dataclass(frozen=True, slots=True)
class FloorResult:
    """One floor, designed. Counts are for one floor; `plan.repeat` equal floors are the caller's product."""

    plan: FloorPlan
    bays: tuple[BayLayout, ...]
    pieces: tuple[Piece, ...]
    lines: tuple[BridgingLine, ...]
    placed: tuple[Placed, ...]
    bill: tuple[BomLine, ...]
    schedule: tuple[ScheduleLine, ...]
    checks: tuple[MemberCheck, ...]
    options: tuple[Option, ...]
    warnings: tuple[Problem, ...]

    @property
    def members(self) -> tuple[Member, ...]:
        return tuple(member for bay in self.bays for member in bay.members)

    @property
    def passes(self) -> bool:
        return all(check.passes for check in self.checks)


@dataclass(frozen=True, slots=True)
class BundlePiece:
    """A piece in a bundle: `floor` is the floor's index in the package, `copy` counts repeats from 1."""

    floor: int
    copy: int
    piece: str
    mark: str
    length_16: int
    sequence: int
    weight_lb: float


@dataclass(frozen=True, slots=True)
class Bundle:
    """8 to 15 pieces of one profile that a crew can lift and open in install order (R32-R35)."""

    number: int
    profile: str
    pieces: tuple[BundlePiece, ...]
    weight_lb: float
    length_16: int
    zone: str
    short: bool
    note: str


@dataclass(frozen=True, slots=True)
class Carton:
    """A numbered pack of what is not bundled: short pieces and blocks, hardware, boxes, sheets (R32, R36)."""

    number: int
    title: str
    contents: tuple[tuple[str, int, str], ...]  # description, quantity, sold_by
    weight_lb: float


@dataclass(frozen=True, slots=True)
class TruckLoad:
    """One truck, by weight only in this pass: indexes of bundles and cartons on it."""

    number: int
    bundles: tuple[int, ...]
    cartons: tuple[int, ...]
    weight_lb: float


@dataclass(frozen=True, slots=True)
class PackageResult:
    """All floors of one job with their shared bundles and loads."""

    engine_version: str
    catalogue_version: str
    practice_name: str
    practice_version: int
    floors: tuple[FloorResult, ...]
    bundles: tuple[Bundle, ...]
    cartons: tuple[Carton, ...]
    loads: tuple[TruckLoad, ...]
    notes: tuple[Problem, ...]
