"""The quote as a paper (R43): what stands on it, what never does, and that equal input gives equal bytes."""

import re
import socket
from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pypdfium2
import pytest

from framing.common import side_by_side
from framing.common.actors import person
from framing.common.cautions import QUOTE_CAUTIONS
from framing.common.clock import database_now
from framing.common.documents import RenderedPaper
from framing.common.models import OutboxEntry, StoredPaper
from framing.common.outbox import outbox_run
from framing.common.papers import paper_bytes, paper_get
from framing.common.section_store import SectionStore
from quotes import services, tasks
from quotes.documents import (
    EXCLUDED,
    PaperChange,
    PaperFloor,
    PaperGroup,
    PaperLine,
    PaperMoved,
    QuoteHeader,
    QuotePaper,
    framing_words,
    materials,
    quote_paper_of_package,
    quote_paper_of_revision,
    render_quote,
)
from quotes.pricing import PricedPackage, price_package
from quotes.selectors import quote_get
from tests.documents.reading import bookmarks, check_universal_access, reader, tags, words
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
    return price(result, table())


def price(result, prices) -> PricedPackage:
    return price_package(
        result,
        prices,
        tier="regular",
        freight_zone="near",
        tax_place="Fallow",
        discount_share=Decimal("0.02"),
    )


def paper(header: QuoteHeader = HEADER, *floors) -> QuotePaper:
    result = package(*(floors or (floor(), floor("Upper floor", repeat=2))))
    return quote_paper_of_package(result, priced(result), header)


@pytest.fixture(scope="module")
def made() -> tuple[QuotePaper, RenderedPaper]:
    """The paper of two floors, rendered once for all who only read it."""
    built = paper()
    return built, render_quote(built)


def test_the_paper_says_what_r43_asks_for(made):
    built, rendered = made
    found = words(rendered.data)
    text = " ".join(found)
    assert len(found) == rendered.pages
    for expected in (
        "Hollin Homes", "Rae Winter", "Marsh Lane 12", "Larkmeadow Joist Supply", "December 25, 2026", "21 days",
        "Half with the order.", "Dana Vole", "1000S162-54 at 16 in", "40 psf live, 10 psf dead",
        f"${built.total:,.2f}", f"${built.freight:,.2f}", f"${built.tax:,.2f}", "1J01", "9'-9\"",
        "146.3", "Signature", "This revision takes the place of all earlier ones.", "1/2\" = 1'-0\"",
    ):  # fmt: skip
        assert expected in text, expected
    for sentence in (*QUOTE_CAUTIONS, *EXCLUDED):
        assert sentence in text, sentence


def test_discounts_stand_in_the_builders_words(made):
    """How we call the tier that a builder is in is ours; what it gives him is his to read."""
    text = " ".join(words(made[1].data))
    assert "Trade discount on material" in text
    assert "Trade discount on shop work" in text
    assert "regular" not in text
    assert not re.search(r"\b[Tt]ier\b", text)
    told = {
        line.code: line.explain[0] for line in priced(package(floor())).lines if line.code.startswith("tier:")
    }
    assert told["tier:material"].words.startswith("tier “regular”, 3 % of ")


def test_every_page_names_quote_revision_date_and_sheet(made):
    found = words(made[1].data)
    for number, text in enumerate(found, start=1):
        assert "Q-2026-0042" in text
        assert "Nov 25, 2026" in text
        assert re.search(r"[Rr]evision 3\b", text) or "Revision Q-2026-0042 3" in text, text
        assert f"{number} of {len(found)}" in text


def test_parts_come_in_the_order_of_the_trade(made):
    marks = bookmarks(reader(made[1].data))
    assert [title for level, title, _ in marks if level == 0] == [
        "Letter", "Scope", "Drawing: Ground floor", "Drawing: Upper floor", "Joist schedule Ground floor",
        "Joist schedule Upper floor", "Materials", "Price", "Terms", "Annex Calculation of Ground floor",
        "Annex Calculation of Upper floor",
    ]  # fmt: skip
    numbers = {title: number for level, title, number in marks if level == 0}
    assert list(numbers.values()) == sorted(numbers.values())
    assert numbers["Terms"] == numbers["Price"]  # what is signed stands with its price
    assert len(set(numbers.values())) == len(numbers) - 1


def test_the_contents_name_the_sheets_and_lead_to_them(made):
    document = reader(made[1].data)
    letter = words(made[1].data)[0]
    starts = {
        title.split(":")[0].split(" Ground")[0]: number
        for level, title, number in reversed(bookmarks(document))
    }
    for title, first in (("Scope", "Scope"), ("Materials", "Materials"), ("Price", "Price")):
        assert f"{title} {starts[first]}" in letter
    assert f"Drawings {starts['Drawing']} to {starts['Drawing'] + 1}" in letter
    assert f"cautions on sheet {starts['Terms']}" in letter
    places = document.named_destinations
    assert document.get_destination_page_number(places["terms"]) + 1 == starts["Terms"]
    aims = [note.get_object()["/Dest"] for note in document.pages[0]["/Annots"]]
    assert {"scope", "floor-1-drawing", "floor-1-schedule", "terms", "floor-1-annex"} <= set(aims)


def test_each_floor_has_a_drawing_on_a_sheet_of_its_own(made):
    data = made[1].data
    wide = [
        number for number, page in enumerate(reader(data).pages) if page.mediabox.width > page.mediabox.height
    ]
    assert wide == [2, 3]
    sheet = words(data)[3]
    for expected in ("Upper floor", "11/25/2026", "R3", "4 of 10", "Scale, full size"):
        assert expected in sheet, expected
    assert "00/00/0000" not in sheet
    assert "8 of 9" not in sheet


def test_tags_bookmarks_links_and_fonts_read_back(made):
    tree = check_universal_access(made[1].data)
    counted = Counter(element.tag for element in tree.walk())
    assert counted["H1"] == 8  # a drawing's sheet is a figure with words of its own
    assert counted["Figure"] == 2
    assert counted["Table"] >= 6
    alternatives = [element.raw["/Alt"] for element in tree.walk() if element.tag == "Figure"]
    assert alternatives[0].startswith("Framing plan of Ground floor: 1000S162-54 at 16 in.")


def test_page_labels_are_the_sheets_numbers(made):
    document = reader(made[1].data)
    assert document.page_labels == [str(number) for number in range(1, len(document.pages) + 1)]


def test_heads_and_feet_are_artifacts_and_the_numbers_are_text(made):
    """The overlay's words are on the page but under no structure element."""
    document = reader(made[1].data)
    for number, page in enumerate(document.pages, start=1):
        content = page.get_contents().get_data()
        overlay = content[content.index(b"/Pagination") :]
        assert b"/Frame Do" in overlay
        assert b"/Number Do" in overlay
        assert b"MCID" not in overlay
        for drawn in ("/Number", "/Frame"):
            assert b"BDC" not in page["/Resources"]["/XObject"][drawn].get_data()
        assert (b"/Strip Do" in overlay) == (page.mediabox.width > page.mediabox.height)
        assert f"{number} of 10" in words(made[1].data)[number - 1]


def test_materials_say_what_is_needed_and_what_comes():
    """Joist sections to a tenth of a foot, boxes with the count that they hold, no surcharge among goods."""
    package_ = package(floor())
    lines = price(package_, replace(table(), surcharge_per_lb=Decimal("0.05"))).lines
    found = {line.description: line for group in materials.paper_groups(lines) for line in group.lines}
    assert next(group.priced for group in materials.paper_groups(lines)).endswith("with the steel surcharge")
    assert not [name for name in found if "urcharge" in name]
    for line in lines:
        if line.description in found:
            shown = found[line.description]
            assert not re.search(r"\.\d\d", shown.quantity + shown.needed), shown
            boxed = line.sold_by == "box"
            assert bool(shown.needed) == (boxed or line.exact != line.quantity)
            if boxed:
                assert shown.needed == f"{line.exact:,.0f}"
                assert shown.unit == ("box" if line.quantity == 1 else "boxes")


@pytest.mark.parametrize(
    ("exact", "exact_unit", "quantity", "sold_by", "shown"),
    [
        ("69.9375", "ft", "70", "ft", ("69.9 ft", "70", "ft")),
        ("736.7500", "ft", "736.7500", "ft", ("", "736.8", "ft")),
        ("13190.625", "ft", "13190.625", "ft", ("", "13,190.6", "ft")),
        ("1555", "piece", "2", "box", ("1,555", "2", "boxes")),
        ("746.0417", "ft", "19", "tube", ("746.0 ft", "19", "tubes")),
        ("1", "piece", "1.0000", "sheet", ("", "1", "sheet")),
        ("56", "piece", "56", "piece", ("", "56", "pieces")),
        ("284", "piece", "284", "hole", ("", "284", "holes")),
    ],
)
def test_a_material_in_the_units_of_the_trade(exact, exact_unit, quantity, sold_by, shown):
    line = replace(
        priced(package(floor())).lines[0],
        exact=Decimal(exact), exact_unit=exact_unit, quantity=Decimal(quantity), sold_by=sold_by,
    )  # fmt: skip
    found = materials._material(line)
    assert (found.needed, found.quantity, found.unit) == shown


def test_framing_is_told_in_the_floors_units():
    imperial = floor()
    metric = replace(imperial, plan=replace(imperial.plan, units="metric"))
    assert framing_words(imperial) == "1000S162-54 at 16 in"
    assert framing_words(metric) == "1000S162-54 at 406 mm"


def test_terms_that_do_not_fit_under_the_price_begin_a_sheet():
    """They are not cut in two, and letter, contents and links know where they went."""
    long = replace(HEADER, terms="\n\n".join(f"Term {number} of many, in a line." for number in range(12)))
    data = render_quote(paper(long)).data
    document, found = reader(data), words(data)
    marks = {title: number for level, title, number in bookmarks(document) if level == 0}
    assert marks["Terms"] == marks["Price"] + 1
    assert "Term 0 of many" in found[marks["Terms"] - 1]
    assert "Signature" in found[marks["Terms"] - 1]
    assert f"cautions on sheet {marks['Terms']}" in found[0]
    assert f"Price {marks['Price']} " in found[0]
    place = document.named_destinations["terms"]
    assert document.get_destination_page_number(place) + 1 == marks["Terms"]
    check_universal_access(data)


def test_one_floors_schedule_and_materials_share_a_sheet_where_they_fit():
    data = render_quote(paper(HEADER, floor())).data
    check_universal_access(data)
    marks = {title: number for level, title, number in bookmarks(reader(data)) if level == 0}
    assert marks["Materials"] == marks["Joist schedule Ground floor"]
    assert f"Joist schedule {marks['Materials']} Materials {marks['Materials']} " in words(data)[0]
    place = reader(data).named_destinations["materials"]
    assert reader(data).get_destination_page_number(place) + 1 == marks["Materials"]


@pytest.mark.parametrize(("marks", "pages"), [(25, 1), (60, 2), (70, 2)])
def test_the_contents_count_a_sheet_that_two_parts_share(marks, pages):
    """A schedule that ends above the materials stands on that sheet too; one that fills its sheets does not."""
    built = paper(HEADER, floor())
    rows = tuple(replace(built.floors[0].schedule[0], mark=f"1J{number:03}") for number in range(marks))
    long = replace(built, floors=(replace(built.floors[0], schedule=rows),))
    data = render_quote(long).data
    found = words(data)
    of_schedule = [number for number, text in enumerate(found, 1) if re.search(r"\b1J0\d\d\b", text)]
    start = next(n for _, title, n in bookmarks(reader(data)) if title == "Materials")
    shown = f"{of_schedule[0]} to {of_schedule[-1]}" if len(of_schedule) > 1 else f"{of_schedule[0]}"
    assert len(of_schedule) == pages
    assert f"Joist schedule {shown} Materials {start}" in found[0], found[0]
    assert (start == of_schedule[-1]) == (marks == 60)


def test_numbers_of_sheets_stand_in_their_cells(settings):
    """On every kind of sheet and both sizes the number begins where the word over it begins, below it."""
    for size in ("letter", "a4"):
        settings.SPANYARD_COMPANY = settings.SPANYARD_COMPANY | {"paper_size": size}
        data = render_quote(paper(HEADER, floor())).data
        document = pypdfium2.PdfDocument(data)
        for number, page in enumerate(document, start=1):
            if page.get_width() > page.get_height():
                continue
            text = page.get_textpage()
            head = place_of(text, "Sheet", last=True)
            value = place_of(text, f"{number} of {len(document)}", last=True)
            assert abs(head[0] - value[0]) < 1.5, (size, number, head, value)
            assert 0 < head[1] - value[3] < 6, (size, number, head, value)
        document.close()


def place_of(text, wanted, *, last):
    """Left, bottom, right and top of a text on a page, in points."""
    search = text.search(wanted, match_case=True)
    found = list(iter(search.get_next, None))
    index, count = found[-1 if last else 0]
    boxes = [text.get_charbox(place) for place in range(index, index + count)]
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )


def test_a_drawing_fills_the_free_part_of_its_sheet(settings):
    for size, share in (("letter", 0.90), ("a4", 0.90)):
        settings.SPANYARD_COMPANY = settings.SPANYARD_COMPANY | {"paper_size": size}
        document = reader(render_quote(paper(HEADER, floor())).data)
        page = next(page for page in document.pages if page.mediabox.width > page.mediabox.height)
        left, bottom, right, top = page_figure(document, page)
        assert (right - left) / float(page.mediabox.width) > share, size
        assert (top - bottom) / float(page.mediabox.height) > 0.86, size


def page_figure(document, page):
    """The box of the one figure of a page, as its tag says."""
    number = page.indirect_reference.idnum
    (found,) = [
        one for one in tags(document).walk() if one.tag == "Figure" and one.raw.raw_get("/Pg").idnum == number
    ]
    return [float(value) for value in found.raw["/A"]["/BBox"]]


def test_cost_and_margin_never_stand_on_it(made):
    result = package(floor(), floor("Upper floor", repeat=2))
    text = " ".join(words(made[1].data))
    assert f"{priced(result).cost:,.2f}" not in text
    assert "argin" not in text
    assert " cost" not in text.lower()
    for shown in (QuotePaper, QuoteHeader, PaperFloor, PaperGroup, PaperLine):
        assert not [name for name in shown.__dataclass_fields__ if "cost" in name or "margin" in name]


def test_a_cost_of_another_size_gives_the_same_paper():
    """The paper does not depend on what things cost us, in no digit."""
    result = package(floor())
    dearer = replace(
        table(), rows={code: replace(row, cost=row.cost * 3) for code, row in table().rows.items()}
    )
    papers = [quote_paper_of_package(result, price(result, prices), HEADER) for prices in (table(), dearer)]
    assert price(result, table()).cost != price(result, dearer).cost
    assert papers[0] == papers[1]


def test_a_draft_says_that_it_is_no_offer():
    text = " ".join(words(render_quote(paper(replace(HEADER, issued_at=None, valid_until=None))).data))
    assert "Draft: no offer" in text
    assert "Draft of a quote" in text
    assert "Signature" not in text
    assert "Acceptance" not in text


def test_a_change_says_what_it_moves_and_what_is_accepted():
    moved = tuple(
        PaperMoved("Ground floor", f"Opening {n}, size", "3' 6\", 10'", "3' 6\", 11'") for n in range(13)
    )
    added = PaperMoved("Attic", "added", "", "")
    change = PaperChange(
        2, "SO-2026-0018", "Q-2026-0042-R2", Decimal("6400.19"), Decimal("-12.08"), (added, *moved)
    )
    found = words(render_quote(paper(replace(HEADER, change=change), floor())).data)
    assert "What it moves stands on sheet 2" in found[0]
    assert "−$12.08" in found[0], "a sign and its figure stand in one row"  # noqa: RUF001
    assert "the whole floor added" in found[1]
    assert "Opening 10, size" in found[1]
    assert "Opening 11, size" not in found[1]
    assert "And 2 more" in found[1]
    text = " ".join(found)
    assert "accepts change 2 to order SO-2026-0018" in text


def test_failing_members_and_their_release_stand_on_it():
    header = replace(HEADER, release_reason="Sealed calculation 114.")
    text = " ".join(words(render_quote(paper(header, floor(passes=False))).data))
    # 40.0 / 31.11 kip-in = 1.2858
    assert "moment at 1.286 of what is allowed" in text
    assert "Sealed calculation 114." in text
    assert "1 of 1 cases fails" in text or "cases fail" in text


def test_words_that_people_typed_are_words():
    header = replace(
        HEADER,
        builder="<b>Hollin</b> & Sons",
        project="Weaver's <loft> & co",
        terms="<img src='https://example.test/x.png'>",
    )
    data = render_quote(paper(header)).data
    text = " ".join(words(data))
    assert "<b>Hollin</b> & Sons" in text
    assert "example.test/x.png" in text
    assert "&lt;" not in reader(data).metadata.subject
    assert reader(data).metadata.title.endswith(", Weaver's <loft> & co")
    check_universal_access(data)


def test_no_address_outside_is_asked(monkeypatch):
    def refuse(*_args, **_kwargs):
        raise AssertionError("a paper opened a socket")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(side_by_side, "cores", lambda: 1)
    built = paper(replace(HEADER, project="No address 1"))
    assert render_quote(built).pages == 10


def test_equal_papers_have_equal_bytes(tmp_path):
    """Also from another store, by another number of processes, and from sections that are there already."""
    first = render_quote(paper(), SectionStore(tmp_path / "a"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(side_by_side, "cores", lambda: 1)
        second = render_quote(paper(), SectionStore(tmp_path / "b"))
    assert first.data == second.data == render_quote(paper(), SectionStore(tmp_path / "a")).data
    other = render_quote(paper(replace(HEADER, revision=4)), SectionStore(tmp_path / "a"))
    assert other.data != first.data


@pytest.mark.parametrize(("size", "points"), [("letter", (612, 792)), ("a4", (595, 842))])
def test_sheets_have_the_companys_size(settings, size, points):
    settings.SPANYARD_COMPANY = settings.SPANYARD_COMPANY | {"paper_size": size}
    document = reader(render_quote(paper(HEADER, floor())).data)
    sizes = {(round(page.mediabox.width), round(page.mediabox.height)) for page in document.pages}
    assert sizes == {points, points[::-1]}


@pytest.mark.django_db
def test_the_worker_stores_the_paper_once():
    revision = quotes.issued()
    entry = OutboxEntry.objects.get(kind="quote_paper")
    assert outbox_run(entry.pk)
    stored = paper_get("quote", revision)
    assert stored.file_name == f"{revision.quote.number}-R1.pdf"
    text = " ".join(words(paper_bytes(stored)))
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
def test_a_paper_is_dated_by_the_day_at_the_site():
    """At 3 o'clock UTC it is still the evening before in New York, and noon of the day in Brisbane."""
    revision = quotes.draft()
    at = datetime(2026, 11, 26, 3, 0, tzinfo=UTC)
    for zone, day in (("America/New_York", 25), ("Australia/Brisbane", 26)):
        revision.quote.project.site.time_zone = zone
        found = quote_paper_of_revision(revision, at)
        assert (found.header.dated.month, found.header.dated.day) == (11, day)
    assert replace(found.header, day=None).dated == at.date()


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
