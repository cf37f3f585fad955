"""Pages of repeating, ordering and taking off floors, and the project's page as it shows its floors."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from framing.common.models import Role
from framing.projects import project_floors
from framing.projects.models import Floor, FloorVersion, Project
from framing.projects.repeat_services import floor_times
from tests.factories import people, quotes
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
ROW = {"name": "Second floor", "level": "2", "repeat": "1", "mirrored": "as-drawn"}


@pytest.fixture(autouse=True)
def nothing_kept() -> None:
    cache.clear()


@pytest.fixture
def home() -> Project:
    return make.project()


@pytest.fixture
def floor(home: Project) -> Floor:
    return make.floor(home, name="Main floor")


@pytest.fixture
def client() -> Client:
    return client_of(people.user(Role.SELLER, name="Ida"))


def url(name: str, thing: Floor | Project) -> str:
    return reverse(f"projects:{name}", args=[thing.public_id])


def typed(*rows: dict[str, str], key: str = "k", **more: str) -> dict[str, str]:
    data = {"copies": str(len(rows)), "idempotency_key": key, **more}
    for index, row in enumerate(rows):
        data |= {f"copy-{index}-{name}": text for name, text in row.items()}
    return data


def names(home: Project) -> list[str]:
    return [floor.name for floor in home.floors.all()]


def values(answer: Any) -> list[dict[str, Any]]:
    return [{name: row[name].value() for name in ROW} for row in answer.context["rows"].rows]


def page(client: Client, home: Project, **query: str) -> str:
    return client.get(url("project_page", home), query).content.decode()


def told(answer: Any) -> list[str]:
    return [str(message) for message in answer.context["messages"]]


def test_the_storey_above_is_proposed_and_made(client: Client, home: Project, floor: Floor) -> None:
    shown = client.get(url("floor_repeat", floor))
    assert values(shown) == [ROW | {"repeat": 1}]
    assert shown.content.decode().count("dw-thumb") == 3  # as drawn and both ways mirrored
    key = shown.context["key"]
    sent = client.post(url("floor_repeat", floor), typed(ROW, key=key), follow=True)
    assert sent.redirect_chain == [(url("project_page", home), 302)]
    assert told(sent) == ["Main floor is repeated: Second floor."]
    assert names(home) == ["Main floor", "Second floor"]
    client.post(url("floor_repeat", floor), typed(ROW, key=key))
    assert names(home) == ["Main floor", "Second floor"]


def test_a_mirrored_unit_is_proposed(client: Client, floor: Floor) -> None:
    floor_times(actor=people.actor(Role.MANAGER), at=make.AT, floor=floor, repeat=3, base_version=1)
    shown = client.get(url("floor_repeat", floor), {"mirror": "1"})
    mirror = {"name": "Main floor, mirrored", "level": "1", "repeat": 3, "mirrored": "left-right"}
    assert values(shown) == [mirror]


def test_rows_are_added_and_left_out_and_nothing_typed_is_lost(client: Client, floor: Floor) -> None:
    address = url("floor_repeat", floor)
    first = ROW | {"name": "Upper floor", "repeat": "zwei"}
    more = client.post(address, typed(first, rows="storey"))
    assert values(more) == [first, {"name": "Third floor", "level": "3", "repeat": 1, "mirrored": "as-drawn"}]
    assert not more.context["rows"].wrong
    third = client.post(address, typed(first, ROW, rows="mirror"))
    assert [row["name"] for row in values(third)] == ["Upper floor", "Second floor", "Main floor, mirrored"]
    fewer = client.post(address, typed(first, ROW, rows="drop-0"))
    assert values(fewer) == [ROW]
    full = client.post(address, typed(*[ROW] * 20, rows="storey"))
    assert len(values(full)) == 20
    assert Floor.objects.count() == 1


def test_what_is_wrong_stands_at_its_field(client: Client, floor: Floor) -> None:
    address = url("floor_repeat", floor)
    wrong = client.post(address, typed(ROW | {"name": "Main floor"}, ROW | {"level": "two!"}))
    assert wrong.status_code == 422
    rows = wrong.context["rows"].rows
    assert list(rows[0].errors) == ["name"]
    assert list(rows[1].errors) == ["level"]
    text = wrong.content.decode()
    assert "Floor 1, name: The project has a floor named “Main floor” already" in text
    assert "Floor 2, level: " in text
    unread = client.post(address, typed(ROW | {"repeat": "many", "mirrored": "upside-down"}))
    assert set(unread.context["rows"].rows[0].errors) == {"repeat", "mirrored"}
    assert client.post(address, typed()).context["rows"].problems == [
        "0 floors were asked for; make 1 to 20 at a time."
    ]
    assert client.post(address, typed(ROW) | {"copies": "x"}).status_code == 422
    assert len(client.post(address, typed(*[ROW] * 25)).context["rows"].rows) == 21
    assert Floor.objects.count() == 1


def test_a_refusal_that_names_no_field_stands_over_the_row(client: Client, floor: Floor) -> None:
    version = FloorVersion.objects.get(floor=floor)
    version.document["bays"][0]["spacing"] = "2"
    version.save()
    answer = client.post(url("floor_repeat", floor), typed(ROW))
    (error,) = answer.context["rows"].rows[0].non_field_errors()
    assert error.startswith("Second floor can't be built: ")
    version.document["outline"][0] = ["wide", "0"]
    version.save()
    assert client.get(url("floor_repeat", floor)).context["ways"] == []


def test_without_a_key_nothing_is_made(client: Client, floor: Floor) -> None:
    assert client.post(url("floor_repeat", floor), typed(ROW, key="")).status_code == 400
    assert Floor.objects.count() == 1


def test_times_are_set_from_the_projects_page(client: Client, home: Project, floor: Floor) -> None:
    address = url("floor_times", floor)
    assert 'name="repeat"' in page(client, home)
    done = client.post(address, {"repeat": "12", "version": "1"})
    assert done["Location"] == f"{url('project_page', home)}?open={floor.public_id}#floor-{floor.public_id}"
    assert '<details class="floor-more" open>' in page(client, home, open=floor.public_id)
    assert '<details class="floor-more">' in page(client, home)
    floor.refresh_from_db()
    assert floor.version == 2
    assert "\u00d7 12" in page(client, home)
    stale = client.post(address, {"repeat": "3", "version": "1"}, follow=True)
    assert told(stale)[0].startswith("Ida saved version 2 of Main floor while you worked on version 1")
    for text in ("", "0", "100", "-1", "1.5", "many"):
        refused = client.post(address, {"repeat": text, "version": "2"}, follow=True)
        assert told(refused) == [
            f"Main floor can't be built “{text}” times; write a whole number from 1 to 99."
        ]


def test_floors_are_moved_from_the_projects_page(client: Client, home: Project, floor: Floor) -> None:
    other = make.floor(home, name="Loft")
    assert client.post(url("floor_place", other), {"place": "1"}).status_code == 302
    assert names(home) == ["Loft", "Main floor"]
    text = page(client, home)
    assert text.index("Loft") < text.index("Main floor")
    refused = client.post(url("floor_place", floor), {"place": "x"}, follow=True)
    assert told(refused) == ["Main floor can't stand at place 0; the project has places 1 to 2."]


def test_a_floor_is_taken_off_and_put_back(client: Client, home: Project, floor: Floor) -> None:
    make.floor(home, name="Loft")
    gone = client.post(url("floor_off", floor), follow=True)
    text = gone.content.decode()
    assert "Main floor is off the project." in text
    assert names(home) == ["Loft"]
    assert f'value="{floor.public_id}"' in text
    back = client.post(url("floor_back", home), {"floor": floor.public_id})
    assert back["Location"].endswith(f"#floor-{floor.public_id}")
    assert names(home) == ["Main floor", "Loft"]
    assert "is off the project" not in page(client, home, off=floor.public_id)
    assert client.post(url("floor_back", home), {"floor": "0" * 20}).status_code == 404


def test_who_draws_on_a_floor_keeps_it_there(client: Client, home: Project, floor: Floor) -> None:
    ben = people.user(Role.SELLER, name="Ben")
    floor.drafts.create(user=ben, base_version=1, document="{}", saved_at=make.AT)
    answer = client.post(url("floor_off", floor), follow=True)
    assert told(answer) == ["Ben has drawn on Main floor and not saved it. Ask to save or drop it first."]
    assert names(home) == ["Main floor"]


@pytest.mark.parametrize("role", Role.values)
def test_each_role(role: str, home: Project, floor: Floor) -> None:
    client = client_of(people.user(role))
    may = role in (Role.SELLER, Role.MANAGER)
    answers = [
        client.get(url("floor_repeat", floor)),
        client.post(url("floor_times", floor), {"repeat": "2", "version": "1"}),
        client.post(url("floor_place", floor), {"place": "1"}),
        client.post(url("floor_off", floor)),
        client.post(url("floor_back", home), {"floor": floor.public_id}),
    ]
    assert [answer.status_code for answer in answers] == ([200, 302, 302, 302, 302] if may else [403] * 5)
    if role != Role.SHOP:
        text = page(client, home)
        assert ("Take off the project" in text) is may
        assert (url("floor_repeat", floor) in text) is may


def designed(client: Client, home: Project) -> str:
    return client.get(url("project_ready", home)).content.decode()


def look(text: str, floor: Floor) -> str:
    found = re.search(rf'<div class="floor-look" id="look-{floor.public_id}".*?</div>', text, re.DOTALL)
    assert found is not None
    return found[0]


def test_a_page_is_drawn_once_and_costs_no_design_afterwards(
    client: Client, home: Project, floor: Floor, monkeypatch: pytest.MonkeyPatch
) -> None:
    quotes.price_book()
    first = page(client, home)
    assert "dw-outline" in look(first, floor)
    assert "dw-joist" not in look(first, floor)
    assert f'hx-get="{url("project_ready", home)}"' in first
    part = designed(client, home)
    assert 'hx-swap-oob="true"' in look(part, floor)

    def refuse(*_: object) -> None:
        raise AssertionError("a floor was designed again")

    monkeypatch.setattr(project_floors, "preview_document", refuse)
    again = page(client, home)
    assert f'hx-get="{url("project_ready", home)}"' not in again
    assert "<title>Main floor, 24 ft by 14 ft, 17 joists</title>" in look(again, floor)
    assert "dw-joist" in look(again, floor)
    assert "All floors can be built and all members pass." in again


def test_totals_count_repeats_and_prices_are_for_those_who_may_see_them(home: Project, floor: Floor) -> None:
    """24 ft by 14 ft are 336 sq ft; three of them 1,008."""
    quotes.price_book()
    seller, planner = client_of(Role.SELLER), client_of(Role.PLANNER)
    one = designed(seller, home)
    goods = re.search(r"Goods, floor by floor</dt><dd><span class=\"fig\">\$([0-9,.]+)<", one)
    assert goods is not None
    assert "336 sq ft" in one
    floor_times(actor=people.actor(Role.MANAGER), at=make.AT, floor=floor, repeat=3, base_version=1)
    three = designed(seller, home)
    assert "1,008 sq ft" in three
    assert "51" in three  # joists
    assert f"${goods[1]}" not in three
    assert "for all 3" in look(three, floor)
    unpriced = designed(planner, home)
    assert "1,008 sq ft" in unpriced
    assert "$" not in unpriced


def test_a_metric_project_has_its_area_in_square_metres() -> None:
    """24 ft by 14 ft are 7.3152 m by 4.2672 m, 31.2 square metres."""
    home = make.project(units="metric")
    make.floor(home, name="Main floor")
    assert "31 m²" in designed(client_of(Role.SELLER), home)


def test_what_cannot_be_built_and_what_fails_is_said_on_its_card(client: Client, home: Project) -> None:
    weak = make.floor(home, name="Weak floor", depth="30'", profile="1000S162-54")
    broken = make.floor(home, name="Old floor")
    version = FloorVersion.objects.get(floor=broken)
    version.document["bays"][0]["profile"] = "9999S999-99"
    version.save()
    unread = make.floor(home, name="Odd floor")
    version = FloorVersion.objects.get(floor=unread)
    version.document["outline"][1] = ["wide", "0"]
    version.save()
    assert "No drawing" in look(page(client, home), unread)
    text = designed(client, home)
    assert "17 members fail" in look(text, weak)
    assert "Can't be built" in look(text, broken)
    assert "dw-outline" in look(text, broken)
    assert "No drawing" in look(text, unread)


def test_an_empty_project_says_what_to_do(client: Client, home: Project) -> None:
    text = page(client, home)
    assert "No floors yet" in text
    assert "project-ready" not in text


def test_without_a_price_book_there_is_no_price(client: Client, home: Project, floor: Floor) -> None:
    shown = designed(client, home)
    assert "No price book is in force." in shown
    assert "Goods, floor by floor" not in shown


def test_with_a_price_book_goods_are_told(client: Client, home: Project, floor: Floor) -> None:
    quotes.price_book()
    assert "Goods, floor by floor" in designed(client, home)


def test_a_site_without_a_street_is_told(client: Client, home: Project, floor: Floor) -> None:
    home.site.line = " "
    home.site.save()
    assert "The site has no street and number." in designed(client, home)
