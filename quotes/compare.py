"""Two offers of a quote compared (R40): floors, joists, materials, checks, money and terms. Pure, in Decimal.

Quantities: what `was` holds plus the differences is what `now` holds, code by code. Money: the differences of all
lines with their tax add up to the difference of the totals, to the cent.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from quotes.compare_floors import floor_changes
from quotes.compare_members import check_rows, floor_pairs, joist_rows, members_moved
from quotes.compare_shapes import (
    Comparison,
    Fact,
    Line,
    MaterialRow,
    MoneyFigure,
    MoneyRow,
    Moved,
    Offer,
    Sum,
)
from quotes.pricing import GROUP_NAMES, GROUPS

_LineKey = tuple[str, str]
ADDED_UP = ("discount", "freight")  # groups that are no material


def compare(was: Offer, now: Offer) -> Comparison:
    """All that differs between two offers; empty but for the sums where nothing does."""
    pairs = floor_pairs(was.floors, now.floors)
    before, after = _by_key(was.lines), _by_key(now.lines)
    keys = sorted(before.keys() | after.keys(), key=lambda key: _place(key, before, after))
    return Comparison(
        was=was.title,
        now=now.title,
        floors=tuple(floor_changes(pairs)),
        joists=tuple(joist_rows(pairs)),
        members=tuple(members_moved(pairs)),
        materials=tuple(_materials(keys, before, after)),
        checks=tuple(check_rows(pairs)),
        money=tuple(_money(keys, before, after)),
        groups=tuple(_groups(was.lines, now.lines)),
        sums=tuple(
            Sum(name, getattr(was, field), getattr(now, field))
            for name, field in (
                ("Goods", "goods"),
                ("Freight", "freight"),
                ("Tax", "tax"),
                ("Total", "total"),
            )
        ),
        cost=Sum("Cost", was.cost, now.cost),
        facts=tuple(_facts(was.facts, now.facts)),
        currencies=(was.currency, now.currency),
    )


def builders_part(comparison: Comparison) -> Comparison:
    """The same for a builder: no cost, no price of a single line, no checks, nothing that is inside only."""
    return Comparison(
        was=comparison.was,
        now=comparison.now,
        floors=comparison.floors,
        joists=comparison.joists,
        members=comparison.members,
        materials=tuple(row for row in comparison.materials if row.group not in ("shop", *ADDED_UP)),
        checks=(),
        money=(),
        groups=comparison.groups,
        sums=comparison.sums,
        cost=Sum("Cost", Decimal(0), Decimal(0)),
        facts=tuple(fact for fact in comparison.facts if not fact.inside),
        currencies=comparison.currencies,
    )


def _by_key(lines: Sequence[Line]) -> dict[_LineKey, Line]:
    """Lines by code and unit: by another unit, counts can't be set against each other."""
    return {(line.code, line.sold_by): line for line in lines}


def _place(
    key: _LineKey, before: dict[_LineKey, Line], after: dict[_LineKey, Line]
) -> tuple[int, str, str, str]:
    line = after.get(key) or before[key]
    return GROUPS.index(line.group), line.description, *key


def _materials(
    keys: Sequence[_LineKey], before: dict[_LineKey, Line], after: dict[_LineKey, Line]
) -> Iterator[MaterialRow]:
    for key in keys:
        old, new = before.get(key), after.get(key)
        line = new or before[key]
        row = MaterialRow(
            group=line.group,
            code=line.code,
            description=line.description,
            unit=line.sold_by,
            was=old.quantity if old else Decimal(0),
            now=new.quantity if new else Decimal(0),
            exact_was=old.exact if old else Decimal(0),
            exact_now=new.exact if new else Decimal(0),
            exact_unit=line.exact_unit,
        )
        if line.group != "discount" and (row.was, row.exact_was) != (row.now, row.exact_now):
            yield row


def _money(
    keys: Sequence[_LineKey], before: dict[_LineKey, Line], after: dict[_LineKey, Line]
) -> Iterator[MoneyRow]:
    for key in keys:
        old, new = _figure(before.get(key)), _figure(after.get(key))
        line = after.get(key) or before[key]
        if old != new:
            yield MoneyRow(line.group, line.code, line.description, line.sold_by, old, new)


def _figure(line: Line | None) -> MoneyFigure | None:
    return MoneyFigure(line.quantity, line.unit_price, line.extension, line.tax) if line else None


def _groups(was: Sequence[Line], now: Sequence[Line]) -> Iterator[Sum]:
    for group in GROUPS:
        old, new = ([line.extension for line in lines if line.group == group] for lines in (was, now))
        if old or new:
            yield Sum(GROUP_NAMES[group], sum(old, Decimal(0)), sum(new, Decimal(0)))


def _facts(was: Sequence[Fact], now: Sequence[Fact]) -> Iterator[Moved]:
    before, after = {fact.name: fact for fact in was}, {fact.name: fact for fact in now}
    for name in dict.fromkeys((*after, *before)):
        old, new = before.get(name), after.get(name)
        values = (old.value if old else "", new.value if new else "")
        if values[0] != values[1]:
            yield Moved(name, *values, inside=bool((new or old) and (new or before[name]).inside))
