"""What differs between two price books, row by row: added, removed, changed with old, new and how much. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from quotes.price_documents import FreightEntry, PriceBookDocument

PARTS: Final[Mapping[str, str]] = {
    "terms": "Terms",
    "items": "Items",
    "tiers": "Tier discounts",
    "freight": "Freight",
    "taxes": "Taxes",
}
TERMS: Final[Mapping[str, str]] = {
    "currency": "Currency",
    "surcharge_per_lb": "Steel surcharge per lb",
    "margin_floor": "Margin floor",
    "discount_limit": "Seller's limit, total",
    "line_discount_limit": "Seller's limit, a line",
    "valid_days": "Days that offers hold",
}
ITEM_FIELDS: Final[Mapping[str, str]] = {
    "description": "description",
    "sold_by": "sold by",
    "item_class": "class",
    "price": "price",
    "cost": "cost",
    "no_charge": "no charge because",
}
SHARES: Final = frozenset({"margin_floor", "discount_limit", "line_discount_limit", "discount", "tax"})


@dataclass(frozen=True, slots=True)
class Moved:
    """One value that changed. `percent` is how much of the old one, where both are amounts and the old is not 0."""

    field: str
    old: Any
    new: Any

    @property
    def percent(self) -> Decimal | None:
        if isinstance(self.old, Decimal) and isinstance(self.new, Decimal) and self.old:
            return (self.new - self.old) / self.old * 100
        return None

    @property
    def is_share(self) -> bool:
        return self.field in SHARES

    @property
    def is_words(self) -> bool:
        return isinstance(self.new if self.old is None else self.old, str)

    @property
    def is_cost(self) -> bool:
        return self.field == "cost"


@dataclass(frozen=True, slots=True)
class Change:
    """One row: `kind` is "added", "removed" or "changed"; `key` names the row for a person."""

    part: str
    kind: str
    key: str
    words: str
    moved: tuple[Moved, ...] = ()


Row = tuple[str, Mapping[str, Any]]  # words for the row, and its values


def changes_between(old: PriceBookDocument, new: PriceBookDocument) -> tuple[Change, ...]:
    """All that differs but name, number and first day; empty where nothing does."""
    found: list[Change] = []
    for part in PARTS:
        found += _part_changes(part, _rows(old, part), _rows(new, part))
    return tuple(found)


def without_costs(changes: Sequence[Change]) -> tuple[Change, ...]:
    """The same for a reader who may not see costs; rows whose cost alone moved go."""
    kept = []
    for change in changes:
        moved = tuple(value for value in change.moved if not value.is_cost)
        if moved or change.kind != "changed":
            kept.append(Change(change.part, change.kind, change.key, change.words, moved))
    return tuple(kept)


def change_counts(changes: Sequence[Change]) -> dict[str, Any]:
    """Numbers for the audit trail, and the first rows by name."""
    counts = {kind: sum(c.kind == kind for c in changes) for kind in ("added", "removed", "changed")}
    rows = [f"{change.kind} {PARTS[change.part].lower()}: {change.key}" for change in changes[:20]]
    return {**counts, "rows": rows}


def _part_changes(part: str, old: Mapping[str, Row], new: Mapping[str, Row]) -> Iterator[Change]:
    for key, (words, values) in old.items():
        if key not in new:
            yield Change(part, "removed", key, words, tuple(Moved(n, v, None) for n, v in values.items()))
            continue
        other_words, others = new[key]
        names = dict.fromkeys((*values, *others))
        pairs = ((name, values.get(name, ""), others.get(name, "")) for name in names)
        moved = tuple(Moved(*pair) for pair in pairs if pair[1] != pair[2])
        if moved:
            yield Change(part, "changed", key, other_words, moved)
    for key, (words, values) in new.items():
        if key not in old:
            yield Change(part, "added", key, words, tuple(Moved(n, None, v) for n, v in values.items()))


def _rows(document: PriceBookDocument, part: str) -> dict[str, Row]:
    if part == "terms":
        return {words: (words, {name: getattr(document, name)}) for name, words in TERMS.items()}
    if part == "items":
        return {
            item.code: (
                item.description,
                _filled({words: getattr(item, name) for name, words in ITEM_FIELDS.items()}),
            )
            for item in document.items
        }
    if part == "tiers":
        return {tier: (tier, {"discount": share}) for tier, share in document.tiers.items()}
    if part == "taxes":
        return {
            f"{place}, {kind}": (f"{place}, {kind}", {"tax": share})
            for place, rates in document.taxes.items()
            for kind, share in rates.items()
        }
    return dict(_freight_rows(document.freight))


def _filled(values: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value != ""}


def _freight_rows(freight: Mapping[str, FreightEntry]) -> Iterator[tuple[str, Row]]:
    for zone, entry in freight.items():
        band = ""
        if entry.from_mi is not None and entry.to_mi is not None:  # 60 and 60.0 are one distance
            band = f"{entry.from_mi.normalize():f} to {entry.to_mi.normalize():f} mi"
        values = {
            "price": entry.price,
            "cost": entry.cost,
            "regions": ", ".join(entry.regions),
            "postal codes": ", ".join(entry.postal),
            "distance": band,
            "no charge because": entry.no_charge,
        }
        yield zone, (f"Zone {zone}", _filled(values))
        for small in entry.trucks:
            more: dict[str, Any] = {"up to lb": small.most_lb, "price": small.price, "cost": small.cost}
            more |= {"no charge because": small.no_charge}
            yield f"{zone}, {small.truck}", (f"Zone {zone}, truck {small.truck}", _filled(more))
