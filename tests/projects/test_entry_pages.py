"""The floor page of a floor with several bays: shown, saved untouched, edited without script, refused at its fields."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.models import Role, User
from framing.engine.document import dump_document, read_document
from framing.projects import services
from framing.projects.models import Floor
from framing.projects.selectors import floor_version
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of
from tests.projects.test_entry import real_floor

pytestmark = pytest.mark.django_db


class FormReader(HTMLParser):
    """The texts that a browser would send of the floor's form, templates of rows left out."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self._inside = self._template = False
        self._name = self._chosen = ""
        self._text: list[str] | None = None
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {key: value or "" for key, value in attrs}
        self._inside = self._inside or (tag == "form" and given.get("id") == "floor-form")
        self._template = self._template or tag == "template"
        if not self._inside or self._template:
            return
        if tag == "input" and given.get("name"):
            if given.get("type") not in ("radio", "checkbox") or "checked" in given:
                self.fields[given["name"]] = given.get("value", "")
        elif tag == "select":
            self._name, self.fields[given["name"]] = given["name"], ""
            self._chosen = ""
        elif tag == "option" and ("selected" in given or not self._chosen):
            self._chosen = "yes"
            self.fields[self._name] = given.get("value", "")
        elif tag == "textarea":
            self._name, self._text = given["name"], []

    def handle_data(self, data: str) -> None:
        if self._text is not None:
            self._text.append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea" and self._text is not None:
            self.fields[self._name] = "".join(self._text).removeprefix("\n")
            self._text = None
        elif tag == "template":
            self._template = False
        elif tag == "form":
            self._inside = False


def typed_floor() -> dict[str, Any]:
    """The floor of two bays with every length a text, as the form sends it."""
    floor = real_floor(name="First floor")
    floor["outline"][0] = ["0", "0"]
    floor["bays"][1]["outline"][0] = ["12'", "0"]
    return floor


@pytest.fixture
def seller() -> User:
    return people.user(Role.SELLER)


@pytest.fixture
def client(seller: User) -> Client:
    return client_of(seller)


@pytest.fixture
def floor(seller: User) -> Floor:
    return services.floor_create(
        actor=person(seller), at=make.AT, project=make.project(seller), document=typed_floor()
    )


def url_of(floor: Floor) -> str:
    return reverse("projects:floor_page", args=[floor.public_id])


def saved(floor: Floor) -> dict[str, Any]:
    return floor_version(Floor.objects.get(pk=floor.pk)).document


def test_a_saved_form_that_nobody_touched_changes_nothing(client: Client, floor: Floor) -> None:
    page = client.get(url_of(floor)).content.decode()
    sent = FormReader(page).fields
    assert sent["bay-0-outline"] == "12', 0; 20', 0; 20', 10'; 12', 10'"
    assert (sent["plies"], sent["bay-0-plies"], sent["corner-4-kind"]) == ("1", "2", "free")
    assert sent["support-0-kind"] == "flush_beam"
    answer = client.post(url_of(floor), sent | {"intent": "save"})
    assert answer.status_code == 302
    assert Floor.objects.get().version == 1
    assert saved(floor) == dump_document(read_document(typed_floor()))


def test_the_page_says_what_it_keeps(client: Client, floor: Floor) -> None:
    page = client.get(url_of(floor)).content.decode()
    assert "Loads of its own: Store, 125 psf live, 12 psf dead, 15 psf partitions. They are kept;" in page
    assert "<svg" in page
    assert "it is changed by its document" not in page
    assert "<details open><summary>Several bays</summary>" in page


def test_options_are_told_bay_by_bay(client: Client, floor: Floor) -> None:
    page = client.get(url_of(floor)).content.decode()
    assert [page.count(f"<h3>Bay {name}</h3>") for name in "AB"] == [1, 1]
    assert 'aria-label="Options of bay B"' in page
    assert "<h3>Bay" not in client.get(url_of(make.floor())).content.decode()


def test_a_plain_floor_keeps_the_bays_folded(client: Client) -> None:
    plain = make.floor()
    page = client.get(url_of(plain)).content.decode()
    assert "<details><summary>Several bays</summary>" in page


def test_bays_edges_and_beams_are_edited(client: Client, floor: Floor) -> None:
    sent = FormReader(client.get(url_of(floor)).content.decode()).fields
    changes = {"plies": "2", "bay-0-plies": "1", "bay-0-spacing": "16", "corner-4-kind": "platform"}
    answer = client.post(url_of(floor), sent | changes | {"intent": "save"})
    assert answer.status_code == 302
    document = saved(floor)
    assert [bay["plies"] for bay in document["bays"]] == [2, 1]
    assert document["bays"][1]["spacing"] == "16"
    assert document["bays"][1]["load_case"]["occupancy"] == "Store"
    assert document["edges"] == [{"edge": 4, "kind": "platform", "width": None}]


def test_a_bay_is_added_and_taken_away_without_script(client: Client, floor: Floor) -> None:
    sent = FormReader(client.get(url_of(floor)).content.decode()).fields
    added = FormReader(client.post(url_of(floor), sent | {"rows": "add:bay"}).content.decode()).fields
    assert (added["bay-count"], added["bay-1-spacing"], added["bay-1-outline"]) == ("2", "16", "")
    assert added["bay-0-load_case"] == sent["bay-0-load_case"]
    taken = FormReader(client.post(url_of(floor), added | {"rows": "remove:bay:0"}).content.decode()).fields
    assert taken["bay-count"] == "1"
    assert "Store" not in taken["bay-0-load_case"]


def test_problems_of_bays_and_borders_stand_at_their_fields(client: Client, floor: Floor) -> None:
    sent = FormReader(client.get(url_of(floor)).content.decode()).fields
    away = {"support-0-from_x": "", "support-0-from_y": "", "support-0-to_x": "", "support-0-to_y": ""}
    answer = client.post(url_of(floor), sent | away | {"plies-count": "0", "intent": "save"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'id="id_bay-0-outline_error"' in page
    assert "nothing bears at (12&#x27;-0&quot;, 5&#x27;-0&quot;)" in page
    # Without script the field is in sight.
    assert "<details open><summary>Several bays</summary>" in page
    preview = client.post(
        reverse("projects:floor_preview"), sent | {"bay_outline": "0, 0; 12', 0; 12', 9'; 0, 9'"}
    )
    assert 'href="#id_bay_outline"' in preview.content.decode()


def test_an_edge_that_can_not_be_free_is_said_at_its_corner(client: Client, floor: Floor) -> None:
    sent = FormReader(client.get(url_of(floor)).content.decode()).fields
    page = client.post(url_of(floor), sent | {"corner-5-kind": "free", "intent": "save"}).content.decode()
    assert 'id="id_corner-5-kind_error"' in page
    assert "runs along the joists, so none end on it" in page


def test_a_flush_beam_takes_no_width(client: Client, floor: Floor) -> None:
    sent = FormReader(client.get(url_of(floor)).content.decode()).fields
    page = client.post(url_of(floor), sent | {"support-0-width": "7", "intent": "save"}).content.decode()
    assert 'id="id_support-0-width_error"' in page
    assert "A flush beam takes no width" in page


def test_readers_see_the_bays_too(floor: Floor) -> None:
    page = client_of(people.user(Role.PLANNER)).get(url_of(floor)).content.decode()
    assert "12&#x27;, 0; 20&#x27;, 0" in page
