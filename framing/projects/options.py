"""The option matrix of a floor (R18): profiles by spacings for each bay, with prices where somebody brings them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property
from typing import Final

from framing.engine.catalogue import load_catalogue
from framing.engine.document import FloorDocument
from framing.engine.errors import UnknownProfile
from framing.engine.floor import Units
from framing.engine.members import BayLayout
from framing.engine.result import FloorResult, Option
from framing.engine.units import SIXTEENTHS_PER_INCH
from framing.projects.entry_fields import SPACINGS, SPACINGS_METRIC

ROWS_SHOWN: Final = 12
"""Passing profiles that stand in view; the rest is folded away."""

OptionKey = tuple[str, str, float]
"""Bay, profile, spacing in inches."""


@dataclass(frozen=True, slots=True)
class OptionPrice:
    """What the floor comes to with one option; without `goods`, `problem` is the sentence that says why.

    `stops` says in two or three words that the option falls out once the floor is framed so.
    """

    goods: Decimal | None = None
    problem: str = ""
    stops: str = ""


@dataclass(frozen=True, slots=True)
class OptionPrices:
    """Prices found so far. `waiting`: passing options not priced yet; `missing`: what the price book lacks."""

    found: Mapping[OptionKey, OptionPrice] = field(default_factory=dict)
    waiting: int = 0
    currency: str = "USD"
    book: str = ""
    tier: str = ""
    missing: tuple[str, ...] = ()
    problem: str = ""


@dataclass(frozen=True, slots=True)
class OptionCell:
    """One profile at one spacing; `typed` is what the form's spacing field takes, `at` how it reads."""

    option: Option
    typed: str
    at: str
    chosen: bool
    cheapest: bool
    price: OptionPrice | None

    @property
    def passes(self) -> bool:
        return self.option.passes and not (self.price and self.price.stops)

    @property
    def value(self) -> str:
        """The option as a button or an address names it; `parse_option` reads it."""
        return f"{self.option.bay}:{self.option.profile}:{self.typed}"

    @property
    def words(self) -> str:
        """What fails, in few words."""
        if not self.option.passes:
            return self.option.governing or "Outside the checks"
        return self.price.stops if self.price else ""

    @property
    def reason(self) -> str:
        """The sentence behind the words."""
        return self.option.reason or (self.price.problem if self.price else "")


@dataclass(frozen=True, slots=True)
class OptionRow:
    """One profile of the matrix; cells by spacing, None where it was not tried."""

    profile: str
    cells: tuple[OptionCell | None, ...]

    @property
    def passes(self) -> bool:
        return any(cell.passes for cell in self.cells if cell)

    @property
    def chosen(self) -> bool:
        return any(cell.chosen for cell in self.cells if cell)


@dataclass(frozen=True)
class BayOptions:
    """The matrix of one bay, its passing rows first."""

    bay: str
    drawn: str
    fixed: bool
    heads: tuple[str, ...]
    rows: tuple[OptionRow, ...]
    cheapest: OptionCell | None

    @cached_property
    def groups(self) -> tuple[tuple[str, tuple[OptionRow, ...], bool], ...]:
        """Rows as they are shown: (words of the fold, rows, whether it is open); no words, no fold."""
        passing = tuple(row for row in self.rows if row.passes)
        failing = tuple(row for row in self.rows if not row.passes)
        first, rest = passing[:ROWS_SHOWN], passing[ROWS_SHOWN:]
        groups = [("", first, True)] if first else []
        if rest:
            groups.append(
                (
                    f"{_profiles(len(rest), 'more ')} that pass{'es' if len(rest) == 1 else ''}",
                    rest,
                    _chosen(rest),
                )
            )
        if failing:
            words = f"{_profiles(len(failing))} that fail{'s' if len(failing) == 1 else ''} at every spacing"
            groups.append((words, failing, _chosen(failing) or not first))
        return tuple(groups)


@dataclass(frozen=True)
class OptionMatrix:
    """All bays of a floor. `prices` is None where nobody asked for them."""

    bays: tuple[BayOptions, ...]
    repeat: int
    prices: OptionPrices | None

    @property
    def passing(self) -> int:
        rows = (row for bay in self.bays for row in bay.rows)
        return sum(cell.passes for row in rows for cell in row.cells if cell)

    @property
    def priced(self) -> int:
        found = self.prices.found.values() if self.prices else ()
        return len(found)

    @property
    def unpriced(self) -> bool:
        """Whether asking for prices (again) brings more."""
        if self.prices is None:
            return self.passing > 0
        return self.prices.waiting > 0


def option_matrix(result: FloorResult, prices: OptionPrices | None = None) -> OptionMatrix:
    """The matrix of a designed floor: passing rows by least price (by least weight while prices are out),
    then failing ones by least ratio (R18)."""
    bays = tuple(_bay(layout, result, prices) for layout in result.bays)
    return OptionMatrix(bays, result.plan.repeat, prices)


def parse_option(text: str) -> tuple[str, str, str] | None:
    """Bay, profile and spacing as typed, of a cell's `value`; None where a part is not one of ours."""
    bay, _, rest = text.partition(":")
    profile, _, typed = rest.partition(":")
    known = {value for value, _ in (*SPACINGS, *SPACINGS_METRIC)}
    try:
        load_catalogue().profile(profile)
    except UnknownProfile:
        return None
    return (bay, profile, typed) if typed in known else None


def option_document(document: FloorDocument, bay: str, profile: str, spacing: str) -> FloorDocument:
    """The document with one bay's profile and spacing fixed; all else as it stands."""
    fixed = {"profile": profile, "spacing": spacing}
    bays = tuple(entry.model_copy(update=fixed) if entry.id == bay else entry for entry in document.bays)
    return document.model_copy(update={"bays": bays})


def spacing_typed(spacing_in: float, units: Units) -> str:
    """How the form and a document write an offered spacing: `19.2`, or `19.2"` in a metric document."""
    return f'{spacing_in:g}"' if units == "metric" else f"{spacing_in:g}"


def _bay(layout: BayLayout, result: FloorResult, prices: OptionPrices | None) -> BayOptions:
    bay, units = layout.bay, result.plan.units
    options = [option for option in result.options if option.bay == bay.id]
    spacings = sorted({option.spacing_in for option in options})
    heads = dict(SPACINGS_METRIC if units == "metric" else SPACINGS)
    drawn_in = float(bay.spacing_16) / SIXTEENTHS_PER_INCH
    cheapest = _cheapest(options, prices)
    cells = {}
    for option in options:
        typed = spacing_typed(option.spacing_in, units)
        key = (option.bay, option.profile, option.spacing_in)
        cells[option.profile, option.spacing_in] = OptionCell(
            option=option,
            typed=typed,
            at=heads.get(typed, f"{typed} in"),
            chosen=(option.profile, option.spacing_in) == (layout.profile, drawn_in),
            cheapest=key == cheapest,
            price=prices.found.get(key) if prices else None,
        )
    rows = [
        OptionRow(profile, tuple(cells.get((profile, spacing)) for spacing in spacings))
        for profile in dict.fromkeys(option.profile for option in options)
    ]
    by_price = prices is not None and not prices.waiting
    drawn = spacing_typed(drawn_in, units)
    return BayOptions(
        bay=bay.id,
        drawn=f"{layout.profile} at {heads.get(drawn, f'{drawn_in:g} in')}",
        fixed=bay.profile is not None,
        heads=tuple(heads.get(spacing_typed(s, units), f"{s:g} in") for s in spacings),
        rows=tuple(sorted(rows, key=lambda row: _order(row, by_price=by_price))),
        cheapest=next((cell for cell in cells.values() if cell.cheapest), None),
    )


def _cheapest(options: Iterable[Option], prices: OptionPrices | None) -> OptionKey | None:
    """The passing option of least price, the lighter and shallower of equals; None while prices are out."""
    if prices is None or prices.waiting:
        return None
    found = []
    for option in options:
        key = (option.bay, option.profile, option.spacing_in)
        price = prices.found.get(key)
        if option.passes and price is not None and price.goods is not None:
            found.append((price.goods, option.weight_lb, key))
    return min(found)[2] if found else None


def _order(row: OptionRow, *, by_price: bool) -> tuple[bool, bool, Decimal | float, str]:
    """Passing rows by least price or weight, those without any price after them, then failing by ratio."""
    passing = [cell for cell in row.cells if cell and cell.passes]
    if not passing:
        return True, False, min(cell.option.ratio for cell in row.cells if cell), row.profile
    goods = [cell.price.goods for cell in passing if cell.price and cell.price.goods is not None]
    if by_price and goods:
        return False, False, min(goods), row.profile
    return False, by_price, min(cell.option.weight_lb for cell in passing), row.profile


def _chosen(rows: Iterable[OptionRow]) -> bool:
    return any(row.chosen for row in rows)


def _profiles(count: int, more: str = "") -> str:
    return f"{count} {more}profile{'' if count == 1 else 's'}"
