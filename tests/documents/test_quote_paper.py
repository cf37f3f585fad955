"""The quote as a paper (R43): what stands on it, what never does, and that equal input gives equal bytes."""

import io
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pypdf
import pytest

from framing.common.actors import person
from framing.common.cautions import QUOTE_CAUTIONS
from framing.common.clock import database_now
from framing.common.models import OutboxEntry, StoredPaper
from framing.common.outbox import outbox_run
from framing.common.papers import paper_bytes, paper_get
from quotes import services, tasks
from quotes.documents import (
    EXCLUDED,
    QuoteHeader,
    QuotePaper,
    quote_paper_of_package,
    quote_paper_of_revision,
    render_quote,
)
from quotes.pricing import PricedPackage, price_package
from quotes.selectors import quote_get
from tests.factories import quotes
from tests.factories.packages import floor, package
from tests.quotes.tables import table

AT = datetime(2026, 11, 25, 14, 0, tzinfo=UTC)
HEADER = QuoteHeader(
    number="Q-2026-0042",
    revision=3,
    issued_at=AT,
    printed_at=AT,
    valid_until=AT + timedelta(days=30),
    builder="Hollin Homes",
    contact="Rae Winter",
    project="Marsh Lane 12",
    site="14 Marsh Lane, Alder Falls, OH 44000",
    currency="USD",
    lead_time_days=21,
    terms="Half with the order.",
    prepared_by="Dana Vole",
)


def priced(result) -> PricedPackage:
    return price_package(
        result,
        table(),
        tier="regular",
        freight_zone="near",
        tax_place="Fallow",
        discount_share=Decimal("0.02"),
    )


def paper(header: QuoteHeader = HEADER, *floors) -> QuotePaper:
    result = package(*(floors or (floor(), floor("Upper floor", repeat=2))))
    return quote_paper_of_package(result, priced(result), header)


def pages(data: bytes) -> list[str]:
    """Text of each page, with runs of white space as one space."""
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(data)).pages]


def test_the_paper_says_what_r43_asks_for():
    made = paper()
    rendered = render_quote(made)
    found = pages(rendered.data)
    text = " ".join(found)
    assert len(found) == rendered.pages
    for words in (
        "Hollin Homes", "Marsh Lane 12", "Larkmeadow Joist Supply", "December 25, 2026", "21 days",
        "Half with the order.", "Dana Vole", "1000S162-54 at 16 in", "40 psf live, 10 psf dead",
        f"${made.total:,.2f}", f"${made.freight:,.2f}", f"${made.tax:,.2f}", "1J01", "9'-9\"",
        "146.25", "Signature",
    ):  # fmt: skip
        assert words in text, words
    for sentence in (*QUOTE_CAUTIONS, *EXCLUDED):
        assert sentence in text, sentence


def test_every_page_names_quote_revision_date_and_sheet():
    found = pages(render_quote(paper()).data)
    for number, text in enumerate(found, start=1):
        assert "Q-2026-0042" in text
        assert "Nov 25, 2026" in text
        assert f"{number} of {len(found)}" in text


def test_each_floor_has_a_drawing_on_a_sheet_of_its_own():
    data = render_quote(paper()).data
    wide = [
        page for page in pypdf.PdfReader(io.BytesIO(data)).pages if page.mediabox.width > page.mediabox.height
    ]
    assert len(wide) == 2
    assert "Upper floor" in wide[1].extract_text()


def test_cost_and_margin_never_stand_on_it():
    result = package()
    sums = priced(result)
    text = " ".join(pages(render_quote(quote_paper_of_package(result, sums, HEADER)).data))
    assert f"{sums.cost:,.2f}" not in text
    assert "argin" not in text
    assert not [name for name in QuotePaper.__dataclass_fields__ if "cost" in name or "margin" in name]


def test_a_draft_says_that_it_is_no_offer():
    text = " ".join(pages(render_quote(paper(replace(HEADER, issued_at=None, valid_until=None))).data))
    assert "Draft: no offer" in text
    assert "Signature" not in text


def test_failing_members_and_their_release_stand_on_it():
    header = replace(HEADER, release_reason="Sealed calculation 114.")
    text = " ".join(pages(render_quote(paper(header, floor(passes=False))).data))
    # 40.0 / 31.11 kip-in = 1.2858
    assert "moment at 1.286 of what is allowed" in text
    assert "Sealed calculation 114." in text


def test_words_that_people_typed_are_words():
    header = replace(HEADER, builder="<b>Hollin</b> & Sons", terms="<img src='https://example.test/x.png'>")
    text = " ".join(pages(render_quote(paper(header)).data))
    assert "<b>Hollin</b> & Sons" in text
    assert "example.test/x.png" in text


def test_equal_papers_have_equal_bytes():
    assert render_quote(paper()).data == render_quote(paper()).data


@pytest.mark.django_db
def test_the_worker_stores_the_paper_once():
    revision = quotes.issued()
    entry = OutboxEntry.objects.get(kind="quote_paper")
    assert outbox_run(entry.pk)
    stored = paper_get("quote", revision)
    assert stored.file_name == f"{revision.quote.number}-R1.pdf"
    text = " ".join(pages(paper_bytes(stored)))
    assert f"${revision.total:,.2f}" in text
    assert f"{revision.cost:,.2f}" not in text
    tasks.quote_paper(entry.payload)
    assert StoredPaper.objects.count() == 1


@pytest.mark.django_db
def test_the_stored_revision_and_the_pure_path_give_the_same_paper():
    revision = quotes.issued()
    stored = quote_paper_of_revision(revision, quotes.AT)
    assert stored.total == revision.total
    assert stored.reference == str(revision)
    assert (
        sum(group.amount for group in stored.groups) + sum(a for _, a in stored.adjustments) == revision.goods
    )


@pytest.mark.django_db
def test_the_timed_task_lets_old_offers_lapse_and_no_others():
    now = database_now()
    old, young = quotes.draft(), quotes.draft()
    for revision, days in ((old, 31), (young, 29)):
        services.revision_issue(
            actor=person(revision.quote.owner), revision=revision, key="k", at=now - timedelta(days=days)
        )
    tasks.quotes_lapse_due()
    assert [quote_get(revision.quote.public_id).stage for revision in (old, young)] == ["lapsed", "issued"]
