"""The quotes' API: each verb, who may use it, what never goes out, and one effect for one key."""

import json
from decimal import Decimal

import pytest
from django.test import Client

from framing.common.clock import database_now
from framing.common.models import OutboxEntry, Role
from quotes import selectors, services
from quotes.models import Acceptance, PriceBook, QuoteRevision
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db
API = "/api/v1"


class Api:
    """A signed-in caller that speaks JSON."""

    def __init__(self, user) -> None:
        self.client = Client()
        self.client.force_login(user)

    def get(self, path: str, **query):
        return self.client.get(API + path, query)

    def post(self, path: str, body: object = None, key: str = ""):
        headers = {"Idempotency-Key": key} if key else {}
        return self.client.post(
            API + path, json.dumps(body or {}), content_type="application/json", headers=headers
        )


def at(revision, verb: str = "") -> str:
    return f"/revisions/{revision.public_id}/{verb}"


def test_an_offer_from_project_to_acceptance():
    quotes.price_book()
    home = quotes.project()
    api = Api(home.owner)
    made = api.post("/quotes/new/", {"project": home.public_id, "discount_share": "0.0600"})
    assert made.status_code == 201
    body = made.json()
    assert (body["number"], body["stage"], body["discount_share"]) == (1, "bid", "0.0600")
    path = f"/revisions/{body['id']}/"
    assert sum(Decimal(line["extension"]) + Decimal(line["tax"]) for line in body["lines"]) == Decimal(
        body["total"]
    )
    assert body["approval_reasons"] == ["Discount 6.00 % is over the seller's limit of 5.00 %."]
    assert api.post(path + "issue/", key="k").status_code == 422
    assert api.post(path + "approval/ask/", {"reason": "Big builder"}).status_code == 201
    manager = Api(people.user(Role.MANAGER))
    decided = manager.post(path + "approval/decide/", {"granted": True, "total_seen": body["total"]})
    assert decided.json()["granted"] is True
    issued = api.post(path + "issue/", key="k2")
    assert (issued.status_code, issued.json()["stage"]) == (200, "issued")
    assert api.post(path + "issue/", key="k2").json() == issued.json()
    told = {"name": "Rae Winter", "why": "By phone."}
    accepted = api.post(path + "accept/", told, key="k3")
    assert accepted.json()["name"] == "Rae Winter"
    assert api.post(path + "accept/", told, key="k3").json() == accepted.json()
    assert api.post(path + "accept/", told, key="k4").status_code == 409
    assert Acceptance.objects.count() == 1
    assert OutboxEntry.objects.filter(kind="order_book").count() == 1


def test_money_verbs_need_a_key_and_a_key_is_for_one_body():
    draft = quotes.draft()
    api = Api(draft.quote.owner)
    missing = api.post(at(draft, "issue/"))
    assert (missing.status_code, missing.headers["Content-Type"]) == (400, "application/problem+json")
    api.post(at(draft, "issue/"), key="one")
    other = api.post(at(draft, "issue/"), {"release_reason": "another body"}, key="one")
    assert other.status_code == 422


def test_drafts_change_reprice_revise_and_decline():
    draft = quotes.draft()
    api = Api(draft.quote.owner)
    changed = api.post(at(draft, "change/"), {"terms": "Net 10."}).json()
    assert (changed["terms"], changed["lead_time_days"]) == ("Net 10.", draft.lead_time_days)
    quotes.price_book(number=60)
    assert api.post(at(draft, "reprice/")).json()["price_book"] == "Demo list 60"
    api.post(at(draft, "issue/"), key="k")
    declined = api.post(at(draft, "decline/"), {"why": "Too late."})
    assert declined.json() == {"id": draft.quote.public_id, "stage": "declined"}
    revised = api.post(f"/quotes/{draft.quote.public_id}/revise/")
    assert (revised.status_code, revised.json()["number"]) == (201, 2)
    assert api.get(f"/quotes/{draft.quote.public_id}/").json()["number"] == 2


def test_links_are_made_once_and_withdrawn():
    revision = quotes.issued()
    api = Api(revision.quote.owner)
    made = api.post(at(revision, "links/"), {"for_name": "Rae Winter"})
    assert made.status_code == 201
    body = made.json()
    assert "/l/" in body["address"]
    assert api.post(at(revision, f"links/{body['id']}/withdraw/")).status_code == 204
    assert api.post(at(revision, "links/no-such-link/withdraw/")).status_code == 404


def test_cost_goes_out_only_to_those_who_may_see_it():
    owner = people.user(Role.SELLER, team="north")
    draft = quotes.draft(owner)
    for reader in (owner, people.user(Role.SELLER, team="north"), people.user(Role.MANAGER)):
        assert Api(reader).get(at(draft)).json()["cost"] == str(draft.cost)
    for reader in (people.user(Role.SELLER, team="south"), people.user(Role.ADMINISTRATOR)):
        body = Api(reader).get(at(draft)).json()
        assert not {"cost", "margin", "approval_reasons"} & body.keys()
        assert not [line for line in body["lines"] if "unit_cost" in line]
        assert str(draft.cost) not in json.dumps(body)


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER])
def test_other_roles_are_refused_everywhere(role):
    draft = quotes.draft()
    api = Api(people.user(role))
    for path in ("/quotes/", f"/quotes/{draft.quote.public_id}/", at(draft), "/price-book/"):
        assert api.get(path).status_code == 403, path
    verbs = (
        "change/", "reprice/", "approval/ask/", "approval/decide/", "issue/", "accept/", "decline/", "links/",
        "lost/",
    )  # fmt: skip
    for verb in verbs:
        assert api.post(at(draft, verb), key="k").status_code == 403, verb
    assert api.post("/price-book/import/").status_code == 403


def test_strangers_are_refused():
    draft = quotes.draft()
    client = Client()
    assert client.get(API + at(draft)).status_code in (401, 403)
    assert client.post(API + at(draft, "issue/")).status_code in (401, 403)


def test_a_reason_is_told_with_a_decline_and_named_after_a_lapse():
    revision = quotes.issued()
    api = Api(revision.quote.owner)
    wrong = api.post(at(revision, "decline/"), {"reason": "dear"})
    assert (wrong.status_code, list(wrong.json()["errors"])) == (422, ["reason"])
    wordless = api.post(at(revision, "decline/"), {"reason": "other"})
    assert (wordless.status_code, wordless.json()["field"]) == (422, "why")
    assert api.post(at(revision, "lost/"), {"reason": "price"}).status_code == 409
    services.quotes_lapse_due(at=revision.valid_until)
    named = api.post(at(revision, "lost/"), {"reason": "price", "why": "4 % over."})
    assert named.status_code == 201
    told = {key: named.json()[key] for key in ("revision", "ended", "reason", "words", "recorded_by")}
    assert told == {
        "revision": revision.public_id,
        "ended": "lapsed",
        "reason": "price",
        "words": "4 % over.",
        "recorded_by": revision.quote.owner.name,
    }
    assert api.post(at(revision, "lost/"), {"reason": "date"}).status_code == 409


def test_extra_fields_do_not_stick():
    draft = quotes.draft()
    api = Api(draft.quote.owner)
    api.post(
        at(draft, "change/"),
        {
            "total": "1.00",
            "cost": "0.00",
            "issued_at": "2026-01-01T00:00:00Z",
            "stage": "booked",
            "terms": "x",
        },
    )
    fresh = QuoteRevision.objects.get(pk=draft.pk)
    assert (fresh.total, fresh.cost, fresh.issued_at) == (draft.total, draft.cost, None)
    assert selectors.quote_get(draft.quote.public_id).stage == "bid"


@pytest.mark.parametrize(
    ("verb", "body"),
    [
        ("change/", {"discount_share": "1.5"}),
        ("change/", {"discount_share": "NaN"}),
        ("change/", {"lead_time_days": 0}),
        ("approval/ask/", {}),
        ("accept/", {"name": ""}),
        ("links/", {"for_name": "x" * 161}),
        ("change/", [1, 2]),
    ],
)
def test_what_cannot_be_is_a_problem_document(verb, body):
    draft = quotes.draft()
    answer = Api(draft.quote.owner).post(at(draft, verb), body, key="k")
    assert answer.status_code == 422
    assert answer.json()["title"] == "Not possible as asked"


def test_lists_filter_and_count():
    revision = quotes.issued()
    quotes.draft()
    api = Api(revision.quote.owner)
    assert api.get("/quotes/").json()["count"] == 2
    body = api.get("/quotes/", stage="issued").json()
    assert [row["number"] for row in body["quotes"]] == [revision.quote.number]
    assert api.get("/quotes/", search=revision.quote.number).json()["count"] == 1
    assert api.get("/quotes/", stage="nonsense").status_code == 422


def test_a_manager_puts_a_price_book_in_force_and_bad_ones_leave_no_trace():
    api = Api(people.user(Role.MANAGER))
    quotes.price_book(number=1)
    document = quotes.price_document(number=2, valid_from=database_now().date().isoformat())
    bad = document | {"items": [*document["items"], document["items"][0]]}
    refused = api.post("/price-book/import/", {"document": bad})
    assert refused.status_code == 422
    assert "priced twice" in json.dumps(refused.json())
    assert PriceBook.objects.count() == 1
    assert api.post("/price-book/import/", {"document": document}).status_code == 201
    assert api.post("/price-book/import/", {"document": document}).status_code == 409
    assert api.get("/price-book/").json()["version"] == 2
    assert api.post("/price-book/import/", {"document": [1]}).status_code == 422
