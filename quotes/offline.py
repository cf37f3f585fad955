"""A priced quote of one floor document, without a database: the demo price book and the rules' defaults."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Final

from framing.common.company import company
from framing.common.errors import Refused, TooBig
from framing.engine.catalogue import load_catalogue
from framing.engine.document import MAX_BYTES
from framing.engine.errors import EngineError
from framing.engine.pipeline import design_package
from framing.engine.practice import Practice
from framing.engine.result import PackageResult
from framing.projects.design import plan_of, refusal
from framing.projects.takeoff_files import TakeoffSubject, takeoff_files
from quotes.documents import QuoteHeader, QuotePaper, quote_paper_of_package
from quotes.pricing import MissingPrices, price_package
from quotes.selectors import DEMO_PLACE, DEMO_ZONE, demo_price_table

LEAD_TIME_DAYS: Final = 21


@dataclass(frozen=True, slots=True)
class OfflineQuote:
    """A designed and priced floor with its paper; a draft, for it was never issued to anybody."""

    result: PackageResult
    paper: QuotePaper


def read_floor_file(path: Path) -> bytes:
    """The bytes of a floor document's file. Raises Refused, and TooBig by its size before it is read."""
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            raise TooBig(f"{path} has {size:,} bytes; a floor document has at most {MAX_BYTES:,}.")
        return path.read_bytes()
    except OSError as error:
        raise Refused(f"{path} cannot be read: {error.strerror}.") from error


def quote_floor(document: bytes, *, printed_at: datetime) -> OfflineQuote:
    """Design and price a floor document.

    Raises Refused: unreadable or unbuildable (R50, R51; `detail` lists the places), or prices missing.
    """
    practice = Practice()
    try:
        plan = plan_of(document, practice)
        result = design_package((plan,), load_catalogue(), practice)
        priced = price_package(
            result,
            demo_price_table(),
            tier="",
            freight_zone=DEMO_ZONE,
            tax_place=DEMO_PLACE,
            discount_share=Decimal(0),
            practice=practice,
        )
    except EngineError as error:
        raise refusal(error) from error
    except MissingPrices as error:
        raise Refused(str(error)) from error
    header = QuoteHeader(
        number="Sample",
        revision=1,
        issued_at=None,
        printed_at=printed_at,
        valid_until=None,
        builder="Sample builder",
        contact="",
        project=plan.name,
        site=DEMO_PLACE,
        currency=demo_price_table().currency,
        lead_time_days=LEAD_TIME_DAYS,
        terms="",
        prepared_by=company().name,
    )
    return OfflineQuote(result, quote_paper_of_package(result, priced, header))


def offline_takeoff(quote: OfflineQuote, made_at: datetime) -> dict[str, bytes]:
    """The floor's plan as DXF and its take-off as workbook and CSV, by the last words of their names."""
    result, practice = quote.result, Practice()
    subject = TakeoffSubject(
        floor=quote.paper.header.project,
        version=None,
        project="",
        basis=(
            f"Engine {result.engine_version}, catalogue {result.catalogue_version}, "
            f"practice set {practice.name} {practice.version}, {practice.method.value}"
        ),
        made_at=made_at,
    )
    (floor,) = result.floors
    return takeoff_files(floor, practice, subject)
