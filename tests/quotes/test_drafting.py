"""Drafts: what they hold, how they are priced anew, and what is refused."""

from decimal import Decimal

import pytest

from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed, Refused
from framing.common.models import Role
from framing.projects import services as project_services
from framing.projects.models import Floor
from quotes import selectors, services
from quotes.models import Quote
from tests.factories import people, projects, quotes

pytestmark = pytest.mark.django_db


def test_a_draft_holds_floors_result_versions_and_prices():
    draft = quotes.draft()
    entry = draft.floors[0]
    floor = Floor.objects.get(public_id=entry["floor"])
    assert (entry["name"], entry["version"]) == (floor.name, 1)
    assert entry["document"]["format"] == "spanyard.floor"
    result = selectors.package_of(draft)
    # 24'-0" at 16 in has 17 joists (R3), each 14'-0" less 2 x 1 1/2 in = 13'-9" (R4)
    assert len(result.floors[0].pieces) == 17
    assert {piece.length_16 for piece in result.floors[0].pieces} == {165 * 16}
    assert (draft.engine_version, draft.catalogue_version) == (
        result.engine_version,
        result.catalogue_version,
    )
    assert draft.quote.stage == "bid"
    assert draft.quote.owner == draft.quote.project.owner
    assert [(move.from_stage, move.to_stage) for move in selectors.quote_moves(draft.quote)] == [("", "bid")]
    assert [entry.verb for entry in audit_list(draft.quote)] == ["quote_create"]


def test_totals_are_sums_of_stored_lines():
    draft = quotes.draft(discount_share=Decimal("0.02"))
    lines = list(draft.lines.all())
    assert draft.total == sum(line.extension + line.tax for line in lines)
    assert draft.goods == sum(line.extension for line in lines if line.item_class != "freight")
    joists = next(line for line in lines if line.sold_by == "ft" and line.group == "members")
    # 17 x 13'-9" = 233'-9"
    assert joists.quantity == Decimal("233.75")
    assert joists.extension == (joists.quantity * joists.unit_price).quantize(Decimal("0.01"))
    assert all(line.explain for line in lines)


def test_numbers_follow_without_gap_after_a_refusal():
    first = quotes.draft().quote.number
    with pytest.raises(Refused):
        quotes.draft(discount_share=Decimal("1.2"))
    second = quotes.draft().quote.number
    assert int(second.rsplit("-", 1)[1]) == int(first.rsplit("-", 1)[1]) + 1


def test_a_project_without_floors_is_refused_in_words():
    quotes.price_book()
    with pytest.raises(Refused, match="no floor yet"):
        quotes.draft(of=projects.project())


def test_every_missing_price_is_listed_and_no_draft_is_left():
    document = quotes.price_document(number=900)
    kept = [item for item in document["items"] if not item["code"].startswith(("bearing_clip", "strap"))]
    quotes.price_book(items=kept, number=901)
    with pytest.raises(Refused) as caught:
        quotes.draft()
    codes = {entry["code"] for entry in caught.value.detail}
    assert {"bearing_clip:800", "strap", "strap_screw"} == codes
    assert caught.value.field == "prices"
    assert not Quote.objects.exists()


def test_without_a_price_book_nothing_is_quoted():
    with pytest.raises(Refused, match="No price book"):
        services.quote_create(actor=people.actor(Role.MANAGER), project=quotes.project(), at=quotes.AT)


def test_a_change_reprices_from_the_drafts_own_price_book():
    draft = quotes.draft()
    old = draft.price_book
    quotes.price_book(number=77, surcharge_per_lb="9.0000")
    changed = services.revision_change(
        actor=person(draft.quote.owner),
        revision=draft,
        at=quotes.AT,
        discount_share=Decimal("0.03"),
        lead_time_days=30,
    )
    assert changed.price_book == old
    assert changed.lead_time_days == 30
    assert changed.total < draft.total
    change = audit_list(draft).last().change
    assert change["discount_share"] == ["0.0000", "0.0300"]
    assert "terms" not in change


def test_pricing_anew_takes_the_book_in_force_and_the_floors_as_saved():
    draft = quotes.draft()
    owner = draft.quote.owner
    floor = draft.quote.project.floors.get()
    project_services.floor_save(
        actor=person(owner),
        at=quotes.AT,
        floor=floor,
        document=projects.document(floor.name, width="28'"),
        base_version=1,
    )
    assert selectors.floors_moved(draft) == (floor.name,)
    book = quotes.price_book(number=78)
    anew = services.draft_reprice(actor=person(owner), revision=draft, at=quotes.AT)
    assert anew.price_book == book
    assert anew.floors[0]["version"] == 2
    # 28'-0" at 16 in: stations 16 to 320 in, and none within 3 in of the rim: 20 joists
    assert len(selectors.package_of(anew).floors[0].pieces) == 20
    assert selectors.floors_moved(anew) == ()


@pytest.mark.parametrize("share", ["-0.01", "1", "0.00005", "NaN", "Infinity"])
def test_a_discount_that_cannot_be_is_refused_at_its_field(share):
    draft = quotes.draft()
    with pytest.raises(Refused) as caught:
        services.revision_change(
            actor=person(draft.quote.owner), revision=draft, at=quotes.AT, discount_share=Decimal(share)
        )
    assert caught.value.field == "discount_share"


def test_an_issued_revision_is_no_draft_any_more():
    revision = quotes.issued()
    for verb in (services.draft_reprice, services.revision_change):
        with pytest.raises(Clash, match="never changes"):
            verb(actor=person(revision.quote.owner), revision=revision, at=quotes.AT)


def test_only_the_owner_the_team_and_managers_change_a_draft():
    owner = people.user(Role.SELLER, team="north")
    draft = quotes.draft(owner)
    services.revision_change(
        actor=people.actor(Role.SELLER, team="north"), revision=draft, at=quotes.AT, terms="Cash."
    )
    services.revision_change(actor=people.actor(Role.MANAGER), revision=draft, at=quotes.AT, terms="Net 10.")
    with pytest.raises(NotAllowed):
        services.revision_change(
            actor=people.actor(Role.SELLER, team="south"), revision=draft, at=quotes.AT, terms="Free."
        )


def test_a_seller_cannot_quote_anothers_project():
    quotes.price_book()
    with pytest.raises(NotAllowed):
        services.quote_create(actor=people.actor(Role.SELLER), project=quotes.project(), at=quotes.AT)
