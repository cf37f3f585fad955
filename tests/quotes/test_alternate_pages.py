"""Alternates on the pages and by the API: staff's table, the form, the builder's pick, what each role may."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.projects import services as projects_services
from quotes import selectors
from quotes.models import Acceptance, Alternate
from tests.factories import people, projects, quotes
from tests.factories.alternates import DEEP, alternate, issued_with_one

pytestmark = pytest.mark.django_db
ROLES = [*Role.values]


def signed_in(user):
    client = Client()
    client.force_login(user)
    return client


def url(name, revision, *more):
    return reverse(f"quotes:{name}", args=[revision.public_id, *more])


def api(revision, tail=""):
    return f"/api/v1/revisions/{revision.public_id}/alternates/{tail}"


def chosen(draft, value=f"{DEEP}|24", label="Deeper joist at 24 in"):
    return {"label": label, f"choice:{draft.floors[0]['floor']}:A": value}


# --- staff's pages ---


def test_an_alternate_is_chosen_on_the_form_and_stands_beside_the_base():
    draft = quotes.draft()
    client = signed_in(draft.quote.owner)
    form = client.get(url("alternate_new", draft)).content.decode()
    assert f'<option value="{DEEP}|24">' in form
    assert "as in the base offer" in form
    answer = client.post(url("alternate_new", draft), chosen(draft))
    assert answer.headers["Location"] == url("revision_page", draft)
    made = Alternate.objects.get()
    shown = client.get(url("revision_page", draft)).content.decode()
    assert "Deeper joist at 24 in" in shown
    assert f"${made.total:,.2f}" in shown
    assert f"{made.margin * 100:.1f} %" in shown, "the owner sees margins"
    assert "Take A away" in shown
    own = client.get(url("alternate_page", draft, "A")).content.decode()
    assert f"${made.total:,.2f}" in own
    assert f"${made.cost:,.2f}" in own
    assert client.get(url("alternate_page", draft, "B")).status_code == 404


def test_a_refusal_keeps_what_was_chosen():
    draft = quotes.draft()
    client = signed_in(draft.quote.owner)
    answer = client.post(url("alternate_new", draft), chosen(draft, "", "Same again"))
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert "framed like the base offer" in shown
    assert 'value="Same again"' in shown
    answer = client.post(url("alternate_new", draft), chosen(draft, "no such|24"))
    assert answer.status_code == 422
    answer = client.post(url("alternate_new", draft), chosen(draft, label=""))
    assert answer.status_code == 422
    assert f'<option value="{DEEP}|24" selected>' in answer.content.decode()
    assert not Alternate.objects.exists()


def test_an_alternate_from_an_earlier_version_of_the_floor():
    home = quotes.project()
    floor = home.floors.get()
    wider = projects.document(name=floor.name, width="30'")
    projects_services.floor_save(
        actor=person(home.owner), at=quotes.AT, floor=floor, document=wider, base_version=floor.version
    )
    draft = quotes.draft(of=home)
    typed = {"label": "As first drawn", f"version:{floor.public_id}": "1"}
    answer = signed_in(home.owner).post(url("alternate_new", draft), typed)
    assert answer.status_code == 302
    made = Alternate.objects.get()
    assert made.floors[0]["own"] is True
    plan = selectors.package_of(made).floors[0].plan
    assert max(corner.x_16 for corner in plan.outline) == 24 * 192
    assert made.total < draft.total


def test_rename_and_take_away_on_the_page():
    draft = quotes.draft()
    alternate(draft)
    client = signed_in(draft.quote.owner)
    assert client.post(url("alternate_rename", draft, "A"), {"label": ""}).status_code == 422
    assert client.post(url("alternate_rename", draft, "A"), {"label": "24 in"}).status_code == 302
    assert Alternate.objects.get().label == "24 in"
    assert client.post(url("alternate_remove", draft, "Z")).status_code == 404
    assert client.post(url("alternate_remove", draft, "A")).status_code == 302
    assert not Alternate.objects.exists()


def test_what_fell_out_is_told_on_the_draft():
    draft = quotes.draft()
    alternate(draft)
    floor = draft.quote.project.floors.get()
    document = projects.document(name=floor.name)
    document["bays"][0]["id"] = "B"
    owner = person(draft.quote.owner)
    projects_services.floor_save(
        actor=owner, at=quotes.AT, floor=floor, document=document, base_version=floor.version
    )
    client = signed_in(draft.quote.owner)
    client.post(url("revision_reprice", draft))
    shown = client.get(url("revision_page", draft)).content.decode()
    assert "<strong>Left out.</strong>" in shown
    assert "Alternate A “Deeper joist at 24 in”" in shown


def test_a_manager_decides_on_the_alternates_that_he_saw():
    draft = quotes.draft(discount_share=Decimal("0.06"))
    alternate(draft)
    seller, manager = signed_in(draft.quote.owner), signed_in(people.user(Role.MANAGER))
    seller.post(url("approval_ask", draft), {"reason": "Big builder"})
    seen = selectors.alternates_seen(draft)
    for page in (url("revision_page", draft), reverse("quotes:approval_list")):
        assert f'name="alternates_seen" value="{seen}"' in manager.get(page).content.decode()
    alternate(draft, "Closer", spacing="12")
    told = {"granted": "yes", "total_seen": str(draft.total), "alternates_seen": seen}
    assert manager.post(url("approval_decide", draft), told).status_code == 409
    queue = manager.get(reverse("quotes:approval_list")).content.decode()
    assert f"<strong>The alternates moved</strong> since it was asked for: there were {seen}." in queue
    worst = min(offer.margin for offer in (draft, *draft.alternates.all()))
    assert f'<dt>Worst margin</dt><dd class="fig"><strong>{worst * 100:.1f} %</strong>' in queue
    told["alternates_seen"] = selectors.alternates_seen(draft)
    assert manager.post(url("approval_decide", draft), told).status_code == 302
    assert selectors.approval_holds(draft)


def test_staff_record_which_offer_was_accepted():
    revision = issued_with_one()
    client = signed_in(revision.quote.owner)
    told = {"name": "Rae Winter", "why": "By phone.", "idempotency_key": "k"}
    refused = client.post(url("quote_accept", revision), told)
    assert refused.status_code == 422
    assert "Choose the offer that is accepted." in refused.content.decode()
    assert client.post(url("quote_accept", revision), told | {"alternate": "A"}).status_code == 302
    assert Acceptance.objects.get().alternate.letter == "A"
    shown = client.get(url("revision_page", revision)).content.decode()
    assert "Alternate A: Deeper joist at 24 in" in shown
    assert "accepted</span>" in shown


@pytest.mark.parametrize("role", ROLES)
def test_each_role_on_the_pages(role):
    draft = quotes.draft()
    alternate(draft)
    client = signed_in(people.user(role))
    may_read, may_change = role in ("seller", "manager", "administrator"), role == "manager"
    page = client.get(url("alternate_page", draft, "A"))
    assert page.status_code == (200 if may_read else 403)
    cost = f"${Alternate.objects.get().cost:,.2f}"
    assert (cost in page.content.decode()) == (role == "manager")
    form = client.get(url("alternate_new", draft)).status_code
    assert form == (200 if role in ("seller", "manager") else 403)
    for name, data, more in (
        ("alternate_new", chosen(draft, f"{DEEP}|12"), ()),
        ("alternate_rename", {"label": "Other"}, ("A",)),
        ("alternate_remove", {}, ("A",)),
    ):
        assert client.post(url(name, draft, *more), data).status_code == (302 if may_change else 403)


# --- the API ---


@pytest.mark.parametrize("role", ROLES)
def test_each_role_by_the_api(role):
    draft = quotes.draft()
    alternate(draft)
    client = signed_in(people.user(role))
    may_read, may_change = role in ("seller", "manager", "administrator"), role == "manager"
    listed = client.get(api(draft))
    assert listed.status_code == (200 if may_read else 403)
    if may_read:
        (row,) = listed.json()
        assert ("cost" in row, "margin" in row) == (role == "manager", role == "manager")
        assert "unit_cost" not in str(row)
    floor = draft.floors[0]["floor"]
    body = {"label": "Closer", "choices": [{"floor": floor, "bay": "A", "profile": DEEP, "spacing": "12"}]}
    for tail, data, good in (("add/", body, 201), ("A/rename/", {"label": "x"}, 200), ("A/remove/", {}, 204)):
        answer = client.post(api(draft, tail), data, content_type="application/json")
        assert answer.status_code == (good if may_change else 403)


def test_the_owner_by_the_api():
    draft = quotes.draft()
    client = signed_in(draft.quote.owner)
    floor = draft.floors[0]["floor"]
    body = {"label": "Deep", "choices": [{"floor": floor, "bay": "A", "profile": DEEP, "spacing": "24"}]}
    made = client.post(api(draft, "add/"), body, content_type="application/json").json()
    assert (made["letter"], made["label"], made["fits"], made["accepted"]) == ("A", "Deep", True, False)
    assert made["figures"]["depth"] == "10 in"
    assert Decimal(made["total"]) == Alternate.objects.get().total
    assert Decimal(made["difference"]) == Alternate.objects.get().total - draft.total
    assert sum(Decimal(line["extension"]) + Decimal(line["tax"]) for line in made["lines"]) == Decimal(
        made["total"]
    )
    wide = projects.document(name="Wider", width="30'")
    other = client.post(
        api(draft, "add/"), {"label": "Wider", "documents": {floor: wide}}, content_type="application/json"
    )
    assert (other.status_code, other.json()["letter"]) == (201, "B")
    refused = client.post(api(draft, "add/"), {"label": "None"}, content_type="application/json")
    assert refused.status_code == 422
    broken = {"label": "None", "documents": {floor: wide | {"outline": []}}}
    assert client.post(api(draft, "add/"), broken, content_type="application/json").status_code == 422
    for nonsense in (5, None, [], "x", True, {"format": "spanyard.floor", "version": 99}):
        body = {"label": "None", "documents": {floor: nonsense}}
        assert client.post(api(draft, "add/"), body, content_type="application/json").status_code in (
            400,
            422,
        )
    gone = client.post(api(draft, "Q/rename/"), {"label": "x"}, content_type="application/json")
    assert gone.status_code == 404


def test_accepting_an_alternate_by_the_api():
    revision = issued_with_one()
    client = signed_in(revision.quote.owner)
    where = f"/api/v1/revisions/{revision.public_id}/accept/"
    body = {"name": "Rae", "why": "Phone", "alternate": "B"}
    headers = {"Idempotency-Key": "k1"}
    refused = client.post(where, body, content_type="application/json", headers=headers)
    assert refused.status_code == 422
    done = client.post(
        where, body | {"alternate": "A"}, content_type="application/json", headers={"Idempotency-Key": "k2"}
    )
    assert (done.status_code, done.json()["alternate"]) == (200, "A")
    assert client.get(api(revision)).json()[0]["accepted"] is True


# --- the builder's page ---


@pytest.fixture
def offer(monkeypatch):
    """An offer with an alternate, its builder's browser and page, on the factories' day."""
    from framing.common import views
    from quotes import builder_views

    for module in (builder_views, views):
        monkeypatch.setattr(module, "database_now", lambda: quotes.AT)
    revision = issued_with_one()
    _, secret = quotes.link(revision)
    client = Client()
    return revision, client, client.get(f"/l/{secret}/").headers["Location"]


def test_the_builder_sees_both_offers_without_cost_and_picks_one(offer):
    revision, client, page = offer
    made = revision.alternates.get()
    shown = client.get(page).content.decode()
    assert f"${made.total:,.2f}" in shown
    assert f"${revision.total:,.2f}" in shown
    for hidden in (f"{made.cost:,.2f}", f"{revision.cost:,.2f}", "argin", f"{made.margin * 100:.1f} %"):
        assert hidden not in shown
    typed = {"name": "Rae Winter", "idempotency_key": "k"}
    unsaid = client.post(page + "accept/", typed)
    assert unsaid.status_code == 422
    assert "Choose the offer that is accepted." in unsaid.content.decode()
    look = client.post(page + "accept/", typed | {"alternate": "A"}).content.decode()
    assert "Alternate A: Deeper joist at 24 in" in look
    assert f"Accept for ${made.total:,.2f}" in look
    assert not Acceptance.objects.exists()
    done = client.post(page + "accept/", typed | {"alternate": "A", "sure": "yes"})
    assert done.headers["Location"] == page
    assert Acceptance.objects.get().alternate == made
    after = client.get(page).content.decode()
    assert "accepted alternate A (Deeper joist at 24 in)" in after


def test_the_builder_may_take_the_base_offer(offer):
    revision, client, page = offer
    typed = {"name": "Rae Winter", "idempotency_key": "k", "alternate": "base"}
    look = client.post(page + "accept/", typed).content.decode()
    assert "Base offer" in look
    assert f"Accept for ${revision.total:,.2f}" in look
    client.post(page + "accept/", typed | {"sure": "yes"})
    assert Acceptance.objects.get().alternate is None


def test_the_order_rolls_the_picked_alternate(offer):
    from orders import services as orders_services
    from orders.models import Order
    from orders.selectors import accepted_package

    revision, client, page = offer
    typed = {"name": "Rae Winter", "idempotency_key": "k", "alternate": "A", "sure": "yes"}
    client.post(page + "accept/", typed)
    outbox_run(OutboxEntry.objects.get(kind="order_book").pk)
    order = Order.objects.get()
    planner = people.actor(Role.PLANNER)
    orders_services.drawings_approve(actor=planner, at=quotes.AT, order=order)
    orders_services.order_release(actor=planner, at=quotes.AT, order=order)
    package = selectors.package_of(revision.alternates.get())
    assert accepted_package(order) == package
    rolled = sorted((piece.profile, piece.length_16) for piece in order.pieces.all())
    assert rolled == sorted((piece.profile, piece.length_16) for piece in package.floors[0].pieces)
    assert {profile for profile, _ in rolled} == {DEEP}
    told = signed_in(people.user(Role.PLANNER))
    shown = told.get(reverse("orders:order_page", args=[order.public_id])).content.decode()
    assert f"{revision}, alternate A" in shown
    assert told.get(f"/api/v1/orders/{order.public_id}/").json()["alternate"] == "A"
