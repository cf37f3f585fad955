"""Two offers side by side: what goes in, and what comes out (R40). Plain frozen data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Protocol

from framing.drawing import MemberChanges
from framing.engine.members import MemberKind
from framing.engine.result import FloorResult


class Line(Protocol):
    """What a comparison reads of a price line, stored or not."""

    @property
    def group(self) -> str: ...
    @property
    def code(self) -> str: ...
    @property
    def description(self) -> str: ...
    @property
    def exact(self) -> Decimal: ...
    @property
    def exact_unit(self) -> str: ...
    @property
    def quantity(self) -> Decimal: ...
    @property
    def sold_by(self) -> str: ...
    @property
    def unit_price(self) -> Decimal: ...
    @property
    def extension(self) -> Decimal: ...
    @property
    def tax(self) -> Decimal: ...


@dataclass(frozen=True, slots=True)
class OfferFloor:
    """One floor of an offer: the project's floor by its public id, its document and what the engine made of it."""

    key: str
    document: Mapping[str, Any]
    result: FloorResult

    @property
    def name(self) -> str:
        return self.result.plan.name


@dataclass(frozen=True, slots=True)
class Fact:
    """A term of an offer in words; one that is `inside` is not for the builder."""

    name: str
    value: str
    inside: bool = False


@dataclass(frozen=True, slots=True)
class Offer:
    """A revision, or an alternate of one. `cost` is staff's only (R39)."""

    title: str
    floors: tuple[OfferFloor, ...]
    lines: tuple[Line, ...]
    goods: Decimal
    freight: Decimal
    tax: Decimal
    total: Decimal
    cost: Decimal
    facts: tuple[Fact, ...] = ()
    currency: str = ""


@dataclass(frozen=True, slots=True)
class Moved:
    """One value in words, before and after; "" where there was or is none."""

    name: str
    was: str
    now: str
    inside: bool = False


@dataclass(frozen=True, slots=True)
class FloorChange:
    """One floor that differs: `kinds` of "added", "removed", "renamed", "changed"; `moved` says what in it."""

    key: str
    name: str
    kinds: tuple[str, ...]
    moved: tuple[Moved, ...] = ()


@dataclass(frozen=True, slots=True)
class JoistRow:
    """Members of one floor, kind, profile and length, counted with the floor's repeats, whatever their marks."""

    floor: str
    kind: MemberKind
    profile: str
    plies: int
    length_16: int
    was: int
    now: int

    @property
    def difference(self) -> int:
        return self.now - self.was


@dataclass(frozen=True, slots=True)
class FloorMembers:
    """The members of one floor that were added, removed or changed, with both floors for the drawing."""

    key: str
    name: str
    was: FloorResult | None
    now: FloorResult | None
    changes: MemberChanges


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """One code of the bill: what is bought in `unit`, before and after; `exact` is what was counted."""

    group: str
    code: str
    description: str
    unit: str
    was: Decimal
    now: Decimal
    exact_was: Decimal
    exact_now: Decimal
    exact_unit: str

    @property
    def difference(self) -> Decimal:
        return self.now - self.was


@dataclass(frozen=True, slots=True)
class CheckFigure:
    """The governing check of the worst case with one title."""

    ratio: float
    name: str
    profile: str
    clause: str
    passes: bool


@dataclass(frozen=True, slots=True)
class CheckRow:
    """A case of one floor, before and after; None where there is none."""

    floor: str
    title: str
    was: CheckFigure | None
    now: CheckFigure | None

    @property
    def new_failure(self) -> bool:
        """It fails now, and did not before."""
        return self.now is not None and not self.now.passes and (self.was is None or self.was.passes)


@dataclass(frozen=True, slots=True)
class MoneyFigure:
    """One side of a price line."""

    quantity: Decimal
    unit_price: Decimal
    extension: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True)
class MoneyRow:
    """One price line, before and after; its difference counts amount and tax."""

    group: str
    code: str
    description: str
    unit: str
    was: MoneyFigure | None
    now: MoneyFigure | None

    @property
    def amount(self) -> Decimal:
        """Difference before tax."""
        return (self.now.extension if self.now else Decimal(0)) - (
            self.was.extension if self.was else Decimal(0)
        )

    @property
    def tax(self) -> Decimal:
        return (self.now.tax if self.now else Decimal(0)) - (self.was.tax if self.was else Decimal(0))

    @property
    def difference(self) -> Decimal:
        return self.amount + self.tax

    @property
    def why(self) -> str:
        """What moved it."""
        if self.was is None or self.now is None:
            return "new" if self.was is None else "gone"
        parts = []
        if self.was.quantity != self.now.quantity:
            parts.append("quantity")
        if self.was.unit_price != self.now.unit_price:
            parts.append("amount" if self.unit == "offer" else "price")
        return " and ".join(parts) or "tax"


@dataclass(frozen=True, slots=True)
class Sum:
    """A sum before and after: a group of lines, goods, freight, tax, total or cost."""

    name: str
    was: Decimal
    now: Decimal

    @property
    def difference(self) -> Decimal:
        return self.now - self.was


@dataclass(frozen=True, slots=True)
class Comparison:
    """All that differs between two offers; sums stand there whether they moved or not."""

    was: str
    now: str
    floors: tuple[FloorChange, ...]
    joists: tuple[JoistRow, ...]
    members: tuple[FloorMembers, ...]
    materials: tuple[MaterialRow, ...]
    checks: tuple[CheckRow, ...]
    money: tuple[MoneyRow, ...]
    groups: tuple[Sum, ...]
    sums: tuple[Sum, ...]
    cost: Sum
    facts: tuple[Moved, ...]
    currencies: tuple[str, str] = ("", "")

    @property
    def same_currency(self) -> bool:
        """Whether amounts can be set against each other."""
        return self.currencies[0] == self.currencies[1]

    @property
    def is_empty(self) -> bool:
        """Whether nothing differs."""
        parts = (self.floors, self.joists, self.members, self.materials, self.checks, self.money, self.facts)
        return not any(parts) and not any(entry.difference for entry in (*self.groups, *self.sums, self.cost))

    @property
    def total(self) -> Sum:
        return self.sums[-1]

    @property
    def new_failures(self) -> tuple[CheckRow, ...]:
        return tuple(row for row in self.checks if row.new_failure)
