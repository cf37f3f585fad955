"""What stands between a project and its quote, and what its floors add up to."""

from __future__ import annotations

import json
from itertools import count
from pathlib import Path

import pytest
from django.core.cache import cache
from django.urls import reverse

from framing.common.actors import person
from framing.common.models import Role
from framing.projects import draw_services, project_floors, services
from framing.projects.draw_ready import Ready, project_ready
from framing.projects.models import FloorVersion, Project
from tests.factories import people, projects, quotes
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
PLANS = Path(__file__).parents[1] / "plans"


@pytest.fixture(autouse=True)
def nothing_kept() -> None:
    cache.clear()


def ready_of(home: Project) -> Ready:
    """With all the time it wants, however busy the machine is."""
    return project_ready(home, clock=lambda: 0.0)


def lines(home: Project) -> list[tuple[str, str]]:
    return [(item.state, item.words) for item in ready_of(home).items]


def test_floors_add_up_times_their_repeats() -> None:
    quotes.price_book()
    home = projects.project()
    make.floor(home, repeat=3)  # 17 joists each
    make.floor(home)
    ready = ready_of(home)
    assert (ready.floors, ready.joists, ready.waiting, ready.blocked) == (4, 4 * 17, 0, 0)
    one = projects.project()
    make.floor(one)
    assert ready.weight_lb == pytest.approx(4 * ready_of(one).weight_lb)
    assert lines(home) == [
        ("good", "All floors can be built and all members pass."),
        ("good", "The price book knows the site and the builder's terms."),
    ]


def test_nothing_drawn_and_no_prices_stand_in_the_way() -> None:
    home = projects.project()
    assert lines(home) == [("bad", "No floor is drawn yet."), ("bad", "No price book is in force.")]


def test_each_floor_that_stands_in_the_way_is_named() -> None:
    quotes.price_book()
    home = projects.project()
    make.floor(home, name="Good floor")
    weak = make.floor(home, name="Weak floor", depth="30'", profile="1000S162-54")
    broken = make.floor(home, name="Old floor")
    version = FloorVersion.objects.get(floor=broken)
    version.document["bays"][0]["profile"] = "9999S999-99"
    version.save()
    ready = ready_of(home)
    by_floor = {item.floor: (item.state, item.words) for item in ready.items if item.floor}
    assert by_floor[weak] == ("care", "Weak floor: 17 members fail; the quote is issued only with a reason.")
    assert by_floor[broken][0] == "bad"
    assert by_floor[broken][1].startswith("Old floor can't be built: Profile 9999S999-99 is not in the")
    assert ("good", "1 of 3 floors can be built and pass.") in lines(home)
    assert ready.blocked == 1
    assert [item.state for item in ready.items] == ["bad", "care", "good", "good"]


def test_warnings_are_told() -> None:
    quotes.price_book()
    home = projects.project()
    document = json.loads((PLANS / "house.json").read_text()) | {"name": "House floor"}
    warned = services.floor_create(actor=people.actor(), at=make.AT, project=home, document=document)
    make.floor(home, name="Plain floor")
    ready = ready_of(home)
    of_floors = [(item.floor, item.state, item.words) for item in ready.items if item.floor]
    assert of_floors == [(warned, "care", "House floor: 1 warning to look at; the quote says them too.")]
    assert ready.blocked == 0


def test_goods_add_up() -> None:
    quotes.price_book()
    home = projects.project()
    make.floor(home, name="Upper floor")
    make.floor(home, name="Lower floor", repeat=2)
    prices = [card.price for card in ready_of(home).cards]
    assert prices[0] is not None
    assert prices[1] is not None
    assert prices[1] > prices[0]
    assert ready_of(home).goods == prices[0] + prices[1]


def test_what_the_price_book_lacks_for_a_floor_stands_in_the_way() -> None:
    items = [item for item in quotes.price_document()["items"] if item["code"] != "strap"]
    quotes.price_book(items=items)
    home = projects.project()
    upper, lower = make.floor(home, name="Upper floor"), make.floor(home, name="Lower floor", repeat=2)
    lacking = ready_of(home)
    words = "floor: The price book lacks what this floor needs: a price of strap."
    assert [(item.floor, item.words) for item in lacking.items if item.state == "bad"] == [
        (upper, f"Upper {words}"),
        (lower, f"Lower {words}"),
    ]
    assert lacking.goods is None


def test_what_the_price_book_does_not_know_is_named() -> None:
    quotes.price_book()
    far = services.SiteAddress("1 Far Way", "Nowhere", "ZZ", "00000", "moon", "ZZ")
    home = projects.project(of=projects.builder(tier="royal"), site=far)
    lacks = "freight zone “moon”, place for sales tax “ZZ”, tier “royal”"
    assert ("bad", f"The price book in force does not know {lacks}.") in lines(home)


def test_drafts_are_told_of() -> None:
    quotes.price_book()
    floor = make.floor(name="Upper floor")
    ida = people.user(Role.SELLER, name="Ida")
    draw_services.draft_keep(actor=person(ida), at=make.AT, floor=floor, document={}, base_version=1)
    assert ("care", "Ida has drawn on Upper floor and not saved it.") in lines(floor.project)


def test_a_call_stops_when_its_time_is_up_and_the_next_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    home = projects.project()
    for _ in range(3):
        make.floor(home)
    seconds = count(0, 2)  # over the limit after the first floor
    first = project_ready(home, clock=lambda: float(next(seconds)))
    assert (first.floors, first.joists, first.waiting) == (3, 17, 2)
    assert ("care", "2 still to be looked at.") in [(item.state, item.words) for item in first.items]
    assert ready_of(home).waiting == 0

    def refuse(*_: object) -> None:
        raise AssertionError("a floor was designed again")

    monkeypatch.setattr(project_floors, "preview_document", refuse)
    assert ready_of(home).joists == 3 * 17


def test_the_page_asks_for_its_part() -> None:
    floor = make.floor(name="Upper floor")
    project = floor.project
    part = reverse("projects:project_ready", args=[project.public_id])
    client = client_of(Role.PLANNER)
    page = client.get(reverse("projects:project_page", args=[project.public_id])).content.decode()
    assert f'hx-get="{part}"' in page
    text = client.get(part).content.decode()
    assert "No price book is in force." in text
    assert "All floors can be built" in text
    assert client_of(Role.SHOP).get(part).status_code == 403
    assert client.get(reverse("projects:project_ready", args=["0" * 20])).status_code == 404
