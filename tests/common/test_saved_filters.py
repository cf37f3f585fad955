"""Saved filters and where lists begin: services, pages, API, who may change what; single keys."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from framing.common.actors import Actor, person
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.listing_saved import (
    list_start_set,
    saved_filter_change,
    saved_filter_make,
    saved_filter_remove,
    saved_get,
    saved_list,
    single_keys_on,
    single_keys_set,
)
from framing.common.lists_models import ListStart, SavedFilter
from framing.common.models import AuditEntry, Role, User
from tests.factories import people, projects

pytestmark = pytest.mark.django_db
AT = projects.AT
LIST = "quotes:quote_list"
ALL_ROLES = list(Role.values)


def make(actor: Actor, **fields: Any) -> SavedFilter:
    values = {"key": "quotes", "name": "Issued", "query": "stage=issued&sort=-total", "shared": False}
    return saved_filter_make(actor=actor, at=AT, **(values | fields))


def of(actor: Actor) -> User:
    assert actor.user is not None
    return actor.user


def client_of(actor: Actor) -> Client:
    return people.client_of(of(actor))


@pytest.fixture
def seller() -> Actor:
    return people.actor(Role.SELLER, team="North")


@pytest.fixture
def mate() -> Actor:
    return people.actor(Role.SELLER, team="North")


@pytest.fixture
def manager() -> Actor:
    return people.actor(Role.MANAGER)


def test_a_filter_is_kept_in_its_shortest_form_and_leaves_a_trail(seller: Actor) -> None:
    row = make(
        seller, name="  Issued,   highest ", query="stage=issued&total_from=&colour=red&sort=-total&page=3"
    )
    assert (row.name, row.query, row.shared) == ("Issued, highest", "stage=issued&sort=-total", False)
    entry = AuditEntry.objects.get(verb="saved_filter_make")
    assert entry.object_id == row.pk
    assert entry.change["list"] == "quotes"


def test_private_filters_are_not_there_for_others_not_even_for_a_team_mate(
    seller: Actor, mate: Actor, manager: Actor
) -> None:
    row = make(seller)
    for other in (mate, manager):
        assert list(saved_list(of(other))) == []
        with pytest.raises(NotThere):
            saved_get(of(other), row.public_id)
        with pytest.raises(NotThere):
            saved_filter_change(actor=other, at=AT, row=row, name="Mine now", shared=False)
        with pytest.raises(NotThere):
            saved_filter_remove(actor=other, at=AT, row=row)
        client = client_of(other)
        for name in ("saved_change", "saved_remove", "saved_start"):
            assert client.post(reverse(f"common:{name}", args=[row.public_id])).status_code == 404
        assert client.get(f"/api/v1/saved-filters/{row.public_id}").status_code == 404
        assert client.delete(f"/api/v1/saved-filters/{row.public_id}").status_code == 404
    row.refresh_from_db()
    assert row.name == "Issued"


def test_shared_filters_are_used_by_all_and_changed_by_maker_and_manager(
    seller: Actor, mate: Actor, manager: Actor
) -> None:
    row = make(seller, shared=True)
    assert list(saved_list(of(mate))) == [row]
    with pytest.raises(NotAllowed):
        saved_filter_change(actor=mate, at=AT, row=row, name="Mine now", shared=True)
    with pytest.raises(NotAllowed):
        saved_filter_remove(actor=mate, at=AT, row=row)
    assert client_of(mate).post(reverse("common:saved_remove", args=[row.public_id])).status_code == 403
    saved_filter_change(actor=manager, at=AT, row=row, name="Issued offers", shared=True)
    row.refresh_from_db()
    assert row.name == "Issued offers"
    assert row.owner == seller.user
    saved_filter_remove(actor=manager, at=AT, row=row)
    assert not SavedFilter.objects.exists()


def test_shared_filters_of_lists_one_may_not_read_are_not_there(seller: Actor) -> None:
    row = make(seller, shared=True)
    planner = people.actor(Role.PLANNER)
    assert list(saved_list(of(planner))) == []
    with pytest.raises(NotThere):
        saved_get(of(planner), row.public_id)
    with pytest.raises(NotAllowed):
        make(planner)
    assert client_of(planner).get(reverse("common:saved_make", args=["quotes"])).status_code == 403
    with pytest.raises(NotAllowed):
        list_start_set(actor=planner, at=AT, key="quotes", row=row)


def test_one_name_once_for_a_person_and_list(seller: Actor, mate: Actor) -> None:
    row = make(seller)
    with pytest.raises(Clash, match="“Issued” for quotes already"):
        make(seller, query="stage=bid")
    make(seller, key="orders", query="stage=closed")
    make(mate)
    other = make(seller, name="Bids", query="stage=bid")
    with pytest.raises(Clash):
        saved_filter_change(actor=seller, at=AT, row=other, name="Issued", shared=False)
    with pytest.raises(IntegrityError), transaction.atomic():
        SavedFilter.objects.create(owner=row.owner, list_key="quotes", name="Issued", query="")
    with pytest.raises(IntegrityError), transaction.atomic():
        SavedFilter.objects.create(owner=row.owner, list_key="quotes", name="", query="")


@pytest.mark.parametrize(
    ("name", "words"), [("", "Give the filter a name"), (" \x00 ", "Give"), ("x" * 61, "60 signs")]
)
def test_names_that_are_none_are_refused(seller: Actor, name: str, words: str) -> None:
    with pytest.raises(Refused, match=words) as refused:
        make(seller, name=name)
    assert refused.value.field == "name"


def test_there_is_no_filter_of_a_list_that_is_none(seller: Actor) -> None:
    with pytest.raises(NotThere):
        make(seller, key="nothing")
    assert client_of(seller).get(reverse("common:saved_make", args=["nothing"])).status_code == 404


def test_endless_addresses_are_refused_or_cut(seller: Actor) -> None:
    kept = make(seller, query="colour=" + "x" * 5000)
    assert kept.query == ""


def test_at_most_so_many_filters_of_a_list(seller: Actor) -> None:
    for number in range(60):
        make(seller, name=f"Filter {number}")
    with pytest.raises(Refused, match="60 filters of yours"):
        make(seller, name="One more")


def test_a_list_begins_with_the_chosen_filter_and_all_stays_reachable(seller: Actor) -> None:
    client = client_of(seller)
    row = make(seller)
    assert client.get(reverse(LIST)).status_code == 200
    client.post(reverse("common:saved_start", args=[row.public_id]))
    answer = client.get(reverse(LIST))
    assert answer.status_code == 302
    assert answer["Location"] == f"{reverse(LIST)}?stage=issued&sort=-total"
    page = client.get(answer["Location"]).content.decode()
    assert f'<a href="{reverse(LIST)}?all=1">All</a>' in page
    assert client.get(f"{reverse(LIST)}?all=1").status_code == 200
    other = make(seller, name="Bids", query="stage=bid")
    list_start_set(actor=seller, at=AT, key="quotes", row=other)
    assert ListStart.objects.get(user=seller.user).saved == other
    client.post(reverse("common:start_clear", args=["quotes"]))
    assert client.get(reverse(LIST)).status_code == 200
    assert AuditEntry.objects.filter(verb="list_start_set").count() == 2
    assert AuditEntry.objects.filter(verb="list_start_clear").count() == 1
    assert make(seller, name="Whole", query="").query == ""


def test_a_start_is_ones_own_and_ends_with_its_filter(seller: Actor, mate: Actor) -> None:
    row = make(seller, shared=True)
    list_start_set(actor=mate, at=AT, key="quotes", row=row)
    list_start_set(actor=seller, at=AT, key="quotes", row=row)
    assert client_of(people.actor(Role.SELLER)).get(reverse(LIST)).status_code == 200
    assert client_of(mate).get(reverse(LIST)).status_code == 302
    saved_filter_change(actor=seller, at=AT, row=row, name="Issued", shared=False)
    assert client_of(mate).get(reverse(LIST)).status_code == 200
    assert client_of(seller).get(reverse(LIST)).status_code == 302
    saved_filter_remove(actor=seller, at=AT, row=row)
    assert client_of(seller).get(reverse(LIST)).status_code == 200
    assert not ListStart.objects.exists()


def test_a_filter_of_another_list_is_no_start(seller: Actor) -> None:
    row = make(seller, key="orders", query="stage=closed")
    with pytest.raises(NotThere):
        list_start_set(actor=seller, at=AT, key="quotes", row=row)
    ListStart.objects.create(user=of(seller), list_key="orders", saved=row)
    with pytest.raises(IntegrityError), transaction.atomic():
        ListStart.objects.create(user=of(seller), list_key="orders", saved=row)


def test_what_a_filter_names_that_is_gone_is_said_and_no_error(seller: Actor) -> None:
    gone = people.user(Role.SELLER, name="Gone Soon")
    key = gone.pk
    row = make(seller, query=f"owner={key}&stage=issued")
    assert row.query == f"stage=issued&owner={key}"
    SavedFilter.objects.filter(pk=row.pk).update(query=f"stage=issued&owner={key}&sort=old&cols=number,older")
    gone.delete()
    client = client_of(seller)
    page = client.get(f"{reverse(LIST)}?stage=issued&owner={key}&sort=old&cols=number,older").content.decode()
    listed = client.get(reverse("common:saved_page")).content.decode()
    api = client.get(f"/api/v1/saved-filters/{row.public_id}").json()
    for text in (page, listed, " ".join(api["problems"])):
        assert f"Seller “{key}” was left out" in text
        assert "“older”" in text
        assert "“old”" in text
    assert "Stage: Issued" in listed


def test_the_form_keeps_what_was_typed_and_says_what_is_wrong(seller: Actor) -> None:
    make(seller)
    client = client_of(seller)
    address = reverse("common:saved_make", args=["quotes"])
    form = client.get(f"{address}?query=stage%3Dissued").content.decode()
    assert 'value="stage=issued"' in form
    assert "It keeps Stage: Issued." in form
    answer = client.post(address, {"name": "Issued", "query": "stage=bid", "shared": "on"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "There is a filter “Issued” for quotes already" in page
    assert 'value="Issued"' in page
    assert 'value="stage=bid"' in page
    answer = client.post(address, {"name": "Bids", "query": "stage=bid", "shared": "on"})
    assert answer["Location"] == f"{reverse(LIST)}?stage=bid"
    shown = client.get(answer["Location"]).content.decode()
    assert '?stage=bid" aria-current="page">Bids' in shown
    assert "Save this filter" not in shown
    row = SavedFilter.objects.get(name="Bids")
    assert row.shared
    changed = client.post(reverse("common:saved_change", args=[row.public_id]), {"name": "My bids"})
    assert changed.status_code == 302
    row.refresh_from_db()
    assert (row.name, row.shared, row.query) == ("My bids", False, "stage=bid")


def test_the_page_offers_change_to_those_who_may(seller: Actor, mate: Actor, manager: Actor) -> None:
    row = make(seller, shared=True)
    change = reverse("common:saved_change", args=[row.public_id])
    for actor, may in ((seller, True), (manager, True), (mate, False)):
        page = client_of(actor).get(reverse("common:saved_page")).content.decode()
        assert "Issued" in page
        assert (f'href="{change}"' in page) == may


@pytest.mark.parametrize("role", ALL_ROLES)
def test_each_role_by_the_operations(role: str) -> None:
    key = "orders"  # a list that every role may read
    client = people.client_of(role)
    made = client.post(
        "/api/v1/saved-filters", {"list": key, "name": "Held", "query": "stage=held"}, "application/json"
    )
    assert made.status_code == 201
    one = f"/api/v1/saved-filters/{made.json()['id']}"
    assert (
        client.post(
            "/api/v1/saved-filters", {"list": key, "name": "Held", "query": ""}, "application/json"
        ).status_code
        == 409
    )
    changed = client.put(
        one, {"name": "On hold", "shared": True, "query": "stage=held&sort=number"}, "application/json"
    )
    assert changed.json()["query"] == "stage=held&sort=number"
    assert client.post(f"{one}/start").json()["is_start"] is True
    assert [row["name"] for row in client.get("/api/v1/saved-filters", {"list": key}).json()] == ["On hold"]
    assert client.delete(f"/api/v1/lists/{key}/start").status_code == 204
    assert client.get(one).json()["is_start"] is False
    assert client.delete(one).status_code == 204
    assert client.get(one).status_code == 404
    assert (
        client.post("/api/v1/saved-filters", {"list": "x", "name": "y"}, "application/json").status_code
        == 422
    )


def test_lists_tell_as_often_whatever_is_saved(seller: Actor, django_assert_num_queries: Any) -> None:
    client = client_of(seller)
    make(seller, name="First")
    client.get(f"{reverse(LIST)}?all=1")
    with django_assert_num_queries(5):  # session, reader, saved filters, sellers, count: no row to read
        client.get(f"{reverse(LIST)}?all=1")
    for number in range(20):
        make(seller, name=f"Filter {number}", shared=True)
    with django_assert_num_queries(5):
        client.get(f"{reverse(LIST)}?all=1")


def test_single_keys_are_switched_off_for_a_person(seller: Actor, mate: Actor) -> None:
    client = client_of(seller)
    keys = reverse("common:keys_page")
    assert 'data-single-keys="off"' not in client.get(reverse(LIST)).content.decode()
    client.post(keys, {})
    page = client.get(reverse(LIST)).content.decode()
    assert 'data-single-keys="off"' in page
    assert 'aria-keyshortcuts="/"' not in page
    assert not single_keys_on(of(seller))
    assert 'data-single-keys="off"' in client_of(seller).get(reverse(LIST)).content.decode()  # a new session
    assert 'data-single-keys="off"' not in client_of(mate).get(reverse(LIST)).content.decode()
    client.post(keys, {"on": "on"})
    assert 'data-single-keys="off"' not in client.get(reverse(LIST)).content.decode()
    assert client.put("/api/v1/keys", {"single_keys": False}, "application/json").json() == {
        "single_keys": False
    }
    assert client.get("/api/v1/keys").json() == {"single_keys": False}
    single_keys_set(actor=seller, at=AT, on=False)
    assert AuditEntry.objects.filter(verb="single_keys_set").count() == 3
    assert person(of(seller)).audience == Role.SELLER
