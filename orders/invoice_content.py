"""What stands in an export of what there is to invoice, and its two forms, CSV and JSON. Pure.

An export holds the items from one running number to another, oldest first. Amounts are with tax, in the currency of
the accepted offer, as text with two decimals; a credit is below zero. `tax` is the part of the amount that is tax.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from framing.common.errors import NotThere
from framing.common.listing_files import harmless

FORMAT: Final = "spanyard.invoices"
VERSION: Final = 1
FIELDS: Final[Mapping[str, str]] = {
    "number": "Running number of the item; one after the other without a gap",
    "date": "Day on which it came up, in the company's time zone, as YYYY-MM-DD",
    "kind": "deposit, delivery, change, credit or cancelled (all that a cancelled order came to, taken back)",
    "order": "Number of the order",
    "offer": "The accepted offer: quote and revision, and the alternate where one was picked",
    "builder": "Whom to invoice, as named on the day of the export",
    "project": "The project, as named on the day of the export",
    "reference": "Number of the delivery, change order or claim; empty where the item is for the order as a whole",
    "currency": "ISO 4217 code of all amounts of the line",
    "net": "Amount without tax",
    "tax": "Tax in the amount",
    "amount": "Amount with tax; below zero is a credit",
    "words": "The item in words",
}
"""Every field of an item in its order, with what it means; all forms and the page's help read it."""
MONEY_FIELDS: Final = ("net", "tax", "amount")
TYPES: Final[Mapping[str, str]] = {
    "csv": "text/csv; charset=utf-8",
    "json": "application/json; charset=utf-8",
}


def file_name(number: int, form: str) -> str:
    """`invoices-0007.csv`."""
    return f"invoices-{number:04d}.{form}"


def file_bytes(content: Mapping[str, Any], form: str) -> bytes:
    """An export as CSV or JSON; the same content gives the same bytes. Raises NotThere for another form."""
    if form == "csv":
        return _csv(content)
    if form == "json":
        return (json.dumps(ordered(content), ensure_ascii=False, indent=1) + "\n").encode()
    raise NotThere()


def ordered(content: Mapping[str, Any]) -> dict[str, Any]:
    """The content with its fields in their order, which the database does not keep."""
    head = {name: content[name] for name in ("format", "version", "file", "exported_at", "first", "last")}
    return {**head, "items": [{name: item[name] for name in FIELDS} for item in content["items"]]}


def _csv(content: Mapping[str, Any]) -> bytes:
    out = io.StringIO()
    lines = csv.writer(out)
    lines.writerow(("file", *FIELDS))
    for item in content["items"]:
        lines.writerow((content["file"], *(_cell(name, item[name]) for name in FIELDS)))
    return f"\ufeff{out.getvalue()}".encode()  # by this mark spreadsheet programs know the encoding


def _cell(name: str, value: Any) -> Any:
    """Text that a spreadsheet would run as a formula is defused; amounts are figures."""
    return value if name in MONEY_FIELDS or not isinstance(value, str) else harmless(value)


def sums(items: Sequence[Mapping[str, Any]]) -> list[tuple[str, Decimal]]:
    """What items come to by currency, currencies in order."""
    found: dict[str, Decimal] = {}
    for item in items:
        found[item["currency"]] = found.get(item["currency"], Decimal(0)) + Decimal(item["amount"])
    return sorted(found.items())
