"""Prices of the option matrix (R18): what a cell says is what a quote would say, and nobody waits long for it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import count
from typing import Any

import pytest
from django.urls import reverse

from framing.common.actors import person
from framing.common.models import Role
from framing.engine.catalogue import load_catalogue
from framing.engine.document import FloorDocument, read_document
from framing.engine.practice import Practice
from framing.engine.result import FloorResult, Option
from framing.projects.design import design_plan, plan_of
from framing.projects.models import Project
from framing.projects.options import OptionPrices, option_document
from quotes import option_prices, services
from tests.factories import options as options_of
from tests.factories import people, projects, quotes
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db

SMALL = {"width": "12'", "depth": "8'"}
TYPED = {
    "name": "First floor",
    "level": "1",
    "repeat": "1",
    "units": "imperial",
    "shape": "rectangle",
    "width": "12'",
    "depth": "8'",
    "direction": "y",
    "start": "low",
    "spacing": "16",
    "occupancy": "Sleeping rooms",
    "layer-count": "1",
    "layer-0-name": "Floor",
    "layer-0-psf": "10",
}


def passing(profile: str, spacing_in: float, bay: str = "A") -> Option:
    return Option(bay, profile, spacing_in, True, 0.5, "Shear", "", 100.0)


def floor(*options: Option, **fields: Any) -> tuple[FloorDocument, FloorResult]:
    """A floor and its result; with `options`, only those."""
    document = read_document(projects.document(**(SMALL | fields)))
    result = design_plan(plan_of(document, Practice()), Practice())
    return document, replace(result, options=options) if options else result


def ask(home: Project, document: FloorDocument, result: FloorResult, **more: Any) -> OptionPrices:
    return option_prices.price_options(document, result, home, Practice(), **more)


def goods(prices: OptionPrices, *key: Any) -> Decimal | None:
    return prices.found[key].goods


@pytest.fixture
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the engine's answer hold only as many options as take two calls."""
    options_of.limit(monkeypatch, option_prices.OPTIONS_MOST + 2)


@pytest.fixture
def nothing_is_designed(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: Any) -> Any:
        raise AssertionError("an option was designed again")

    monkeypatch.setattr(option_prices, "design_floor", refuse)


@pytest.mark.parametrize(
    ("profile", "spacing", "inches"), [("1000S162-54", "16", 16), ("1200S200-68", "19.2", 19.2)]
)
def test_a_cell_says_what_a_quote_drafted_so_would_say(profile: str, spacing: str, inches: float) -> None:
    quotes.price_book()
    fields: dict[str, Any] = {"width": "24'", "depth": "14'", "spacing": "12", "repeat": 2}
    owner = people.user(Role.SELLER)
    home = projects.project(owner, of=projects.builder(owner, tier="volume"))
    document, result = floor(passing(profile, inches), **fields)
    prices = ask(home, document, result)
    projects.floor(home, **fields | {"spacing": spacing, "profile": profile})
    revision = services.quote_create(actor=person(owner), project=home, at=quotes.AT)
    assert goods(prices, "A", profile, inches) == revision.goods > 0
    assert (prices.waiting, prices.tier) == (0, "volume")


def test_one_call_prices_only_so_many_and_the_next_goes_on() -> None:
    quotes.price_book()
    home = projects.project()
    document, result = floor()
    total = sum(option.passes for option in result.options)
    first = ask(home, document, result)
    assert 0 < len(first.found) <= option_prices.OPTIONS_MOST < total
    assert first.waiting == total - len(first.found)
    second = ask(home, document, result)
    assert set(first.found) < set(second.found)
    lightest = min((option for option in result.options if option.passes), key=lambda o: o.weight_lb)
    assert ("A", lightest.profile, lightest.spacing_in) in first.found


def test_none_is_begun_after_the_time_limit() -> None:
    quotes.price_book()
    document, result = floor()
    seconds = count(0)
    prices = ask(projects.project(), document, result, clock=lambda: float(next(seconds)))
    # the clock reads 0 at the start, 1 before the first option and 2 before the second
    assert len(prices.found) == 1


def test_a_second_look_designs_nothing_whatever_is_chosen(request: pytest.FixtureRequest) -> None:
    quotes.price_book()
    home = projects.project()
    document, result = floor(passing("1000S162-54", 16), passing("1200S162-54", 24))
    before = ask(home, document, result)
    request.getfixturevalue("nothing_is_designed")
    chosen = option_document(document, "A", "1200S162-54", "24")
    assert ask(home, chosen, result) == before
    with pytest.raises(AssertionError, match="designed again"):
        ask(home, read_document(projects.document(**(SMALL | {"depth": "9'"}))), result)


def test_another_book_or_tier_is_never_answered_from_the_old_prices() -> None:
    quotes.price_book()
    owner = people.user(Role.SELLER)
    listed = projects.project(owner)
    volume = projects.project(owner, of=projects.builder(owner, tier="volume"))
    document, result = floor(passing("1000S162-54", 16))
    key = ("A", "1000S162-54", 16)
    before = goods(ask(listed, document, result), *key)
    reduced = goods(ask(volume, document, result), *key)
    assert before is not None
    assert reduced is not None
    assert reduced < before
    items = [item | {"price": str(2 * Decimal(item["price"]))} for item in quotes.price_document()["items"]]
    quotes.price_book(items=items)
    after = goods(ask(listed, document, result), *key)
    assert after is not None
    assert after > before


def test_what_the_book_lacks_is_listed_once_and_nothing_costs_zero() -> None:
    items = [
        item for item in quotes.price_document()["items"] if item["code"] not in ("strap", "1200S162-54")
    ]
    quotes.price_book(items=items)
    document, result = floor(passing("1000S162-54", 16), passing("1200S162-54", 24), depth="14'")
    prices = ask(projects.project(), document, result)
    assert sorted(prices.missing) == ["a price of 1200S162-54", "a price of strap"]
    assert {price.goods for price in prices.found.values()} == {None}
    assert all("lacks" in price.problem for price in prices.found.values())


def test_without_a_price_book_that_is_said() -> None:
    document, result = floor(passing("1000S162-54", 16))
    prices = ask(projects.project(), document, result)
    assert prices.problem == "No price book is in force. Import one before quoting."
    assert (prices.found, prices.waiting) == ({}, 0)


def test_an_option_that_can_not_be_built_so_has_no_price_but_a_reason() -> None:
    quotes.price_book()
    # R3: the first joist stands at most one spacing off, so 14 in is too far at 12 in
    document, result = floor(passing("1000S162-54", 12), passing("1000S162-54", 16))
    bays = tuple(bay.model_copy(update={"offset": "14"}) for bay in document.bays)
    prices = ask(projects.project(), document.model_copy(update={"bays": bays}), result)
    refused = prices.found["A", "1000S162-54", 12]
    assert (refused.goods, refused.stops) == (None, "Can't be built so")
    assert refused.problem.startswith("Offset 1'-2\" leaves more than one spacing")
    assert goods(prices, "A", "1000S162-54", 16)


def test_an_option_that_fails_once_framed_has_no_price_but_the_case() -> None:
    quotes.price_book()
    document, result = floor(passing("800S162-54", 24), depth="30'")
    found = ask(projects.project(), document, result).found["A", "800S162-54", 24]
    assert (found.goods, found.stops) == (None, "Fails as framed")
    assert found.problem.startswith("Joist")


def test_only_a_bay_whose_profile_is_open_needs_the_whole_catalogue() -> None:
    document, _ = floor()
    fixed = option_document(document, "A", "1000S162-54", "16")
    assert [p.designator for p in option_prices._catalogue(fixed).profiles] == ["1000S162-54"]
    assert option_prices._catalogue(document) is load_catalogue()


# --- pages ---


def test_the_form_is_answered_with_prices_until_all_are_there(few: None) -> None:
    quotes.price_book()
    client, project = client_of(Role.SELLER), projects.project().public_id
    sent = TYPED | {"project": project}
    text, rounds = "", 0
    while not text or "hx-trigger" in text:
        text = client.post(reverse("quotes:form_options"), sent).content.decode()
        rounds += 1
        assert rounds < 30
    assert text.lstrip().startswith('<section id="options"')
    assert text.count("Cheapest</span>") == 1
    assert "the cheapest is" in text.split("\n", 1)[0]
    assert "No price" not in text
    assert "no freight, no tax" in text


def test_an_unreadable_form_is_answered_with_an_empty_part() -> None:
    sent = TYPED | {"project": projects.project().public_id, "width": "wide"}
    response = client_of(Role.SELLER).post(reverse("quotes:form_options"), sent)
    assert (response.status_code, response.content.decode().strip()) == (
        200,
        '<section id="options"></section>',
    )


def test_a_form_without_its_project_is_not_found() -> None:
    for project in ("", "0" * 20, "é", "a/b"):
        response = client_of(Role.SELLER).post(reverse("quotes:form_options"), TYPED | {"project": project})
        assert response.status_code == 404


@pytest.mark.parametrize(("role", "links"), [(Role.SELLER, True), (Role.ADMINISTRATOR, False)])
def test_a_saved_floor_has_a_page_of_prices_without_script(few: None, role: str, links: bool) -> None:
    quotes.price_book()
    saved = projects.floor(**SMALL)
    url = reverse("quotes:floor_options", args=[saved.public_id])
    client = client_of(role)
    page = client.get(url).content.decode()
    assert "<h1" in page
    assert "option-price" in page
    assert "Price the rest" in page
    back = reverse("projects:floor_page", args=[saved.public_id])
    assert (f'href="{back}?option=A%3A' in page) is links
    part = client.get(url, headers={"HX-Request": "true"}).content.decode()
    assert part.lstrip().startswith('<section id="options"')
    assert "<h1" not in part


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER])
def test_who_sees_no_prices_is_turned_away(role: str) -> None:
    saved = projects.floor(**SMALL)
    client = client_of(role)
    assert client.get(reverse("quotes:floor_options", args=[saved.public_id])).status_code == 403
    sent = TYPED | {"project": saved.project.public_id}
    assert client.post(reverse("quotes:form_options"), sent).status_code == 403


def test_missing_prices_are_said_once_on_the_part(few: None) -> None:
    items = [item for item in quotes.price_document()["items"] if item["code"] != "bearing_nail"]
    quotes.price_book(items=[item for item in items if item["code"] != "rim_stick:16"])
    saved = projects.floor(**SMALL)
    url = reverse("quotes:floor_options", args=[saved.public_id])
    text = client_of(Role.SELLER).get(url).content.decode()
    assert text.count("Some prices are missing.") == 1
    assert text.count("<li>a price of bearing_nail</li>") == 1
    assert "$0.00" not in text
