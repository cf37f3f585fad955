"""Every route against the access table: each role, strangers, and what no link may open (C1)."""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.test import Client

from framing.common.access import PUBLIC, SIGNED_IN, TABLE, grants, may, require
from framing.common.actors import Actor, person
from framing.common.errors import NotAllowed, NotThere
from framing.common.models import Role, User
from tests.common.routes import Route, all_routes

ROUTES = [route for route in all_routes() if not route.is_admin]
PAGES = [route for route in ROUTES if not route.is_api]
API = [route for route in ROUTES if route.is_api]
OURS = [route for route in ROUTES if not route.name.startswith("account_")]


def ids(route: Route) -> str:
    return route.name


def user_of(role: str) -> User:
    return User.objects.create_user(f"{role}@example.test", "a long password", name=role.title(), role=role)


@pytest.mark.parametrize("route", ROUTES, ids=ids)
def test_every_route_names_its_act(route: Route) -> None:
    assert route.act is not None, f"{route.path} names no act of the access table"
    if route.act.object not in (PUBLIC, SIGNED_IN):
        everybody = {
            verb.removesuffix(":own") for verbs in TABLE[route.act.object].values() for verb in verbs
        }
        assert route.act.verb in everybody, f"nobody may {route.act.verb} {route.act.object}"


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role.values)
def test_a_role_passes_the_gate_of_its_own_routes_only(role: str) -> None:
    client = Client()
    client.force_login(user_of(role))
    wrong = []
    for route in OURS:
        assert route.act is not None
        allowed = route.act.object in (PUBLIC, SIGNED_IN) or may(role, route.act.object, route.act.verb)
        status = client.get(route.path).status_code
        if (status == 403) == allowed:
            wrong.append((route.name, status, "allowed" if allowed else "not listed"))
    assert wrong == []


@pytest.mark.django_db
def test_a_stranger_is_asked_to_sign_in_whatever_he_asks_for() -> None:
    client = Client()
    for route in PAGES:
        response = client.get(route.path)
        assert route.act is not None
        if route.act.object != PUBLIC:
            assert response.status_code == 302, route.name
            assert response["Location"].startswith("/account/login/"), route.name
    for route in API:
        assert client.get(route.path).status_code in (401, 403), route.name


@pytest.mark.django_db
def test_a_builders_pages_are_not_there_without_a_live_link() -> None:
    client = Client()
    names = [route for route in PAGES if route.name.split(":")[-1].startswith("your_")]
    assert len(names) >= 4
    for route in names:
        assert {client.get(route.path).status_code, client.post(route.path).status_code} <= {404, 405}, (
            route.name
        )
        assert 404 in {client.get(route.path).status_code, client.post(route.path).status_code}, route.name


@pytest.mark.django_db
def test_unsafe_requests_need_a_token() -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(user_of("manager"))
    for route in OURS:
        response = client.post(route.path)
        assert response.status_code in (403, 405), (route.name, response.status_code)


def test_own_verbs_hold_for_the_owner_and_his_team_only() -> None:
    ada = User(pk=1, role="seller", team="North", name="Ada")
    mate = User(pk=2, role="seller", team="North", name="Ben")
    other = User(pk=3, role="seller", team="", name="Cy")
    require(person(ada), "quote", "issue", owner=ada, owned=True)
    require(person(mate), "quote", "issue", owner=ada, owned=True)
    with pytest.raises(NotAllowed, match="issue this quote"):
        require(person(other), "quote", "issue", owner=ada, owned=True)
    with pytest.raises(NotAllowed):
        require(person(other), "quote", "issue", owner=User(pk=4, role="seller", team=""), owned=True)
    require(person(User(pk=5, role="manager")), "quote", "issue", owner=ada, owned=True)


def test_whoever_has_no_account_is_told_nothing() -> None:
    with pytest.raises(NotThere, match="nothing at this address"):
        require(Actor("link", "somebody"), "quote", "issue")


def test_a_misspelt_object_fails_when_the_view_is_defined() -> None:
    with pytest.raises(KeyError):
        grants("qoute", "read")


def test_strangers_are_in_no_row() -> None:
    assert AnonymousUser().is_authenticated is False
    assert all(
        set(row) <= {*Role.values, "quote_link", "delivery_link", "order_link", "trip_link"}
        for row in TABLE.values()
    )
