"""Pages of builders, projects and floors: rights, key texts, bounded queries, clashes, bad input."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.models import Role, User
from framing.projects import services
from framing.projects.models import Builder, Floor, Project
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db

TYPED = make.TYPED_FLOOR


@pytest.fixture
def seller() -> User:
    return people.user(Role.SELLER)


@pytest.fixture
def client(seller: User) -> Client:
    return client_of(seller)


def floor_url(floor: Floor) -> str:
    return reverse("projects:floor_page", args=[floor.public_id])


def new_floor_url(project: Project) -> str:
    return reverse("projects:floor_new", args=[project.public_id])


def test_strangers_are_asked_to_sign_in() -> None:
    for url in (reverse("projects:builder_list"), floor_url(make.floor()), reverse("projects:project_new")):
        response = Client().get(url)
        assert response.status_code == 302
        assert reverse("account_login") in response["Location"]


@pytest.mark.parametrize(
    "name", ["builder_list", "project_list", "profile_list", "builder_new", "project_new"]
)
def test_the_shop_floor_sees_none_of_the_sales_pages(name: str) -> None:
    assert client_of(people.user(Role.SHOP)).get(reverse(f"projects:{name}")).status_code == 403


@pytest.mark.parametrize("name", ["builder_page", "project_page", "floor_page", "floor_new"])
@pytest.mark.parametrize("public_id", ["0" * 20, "%00", "%F0%9F%98%80"])
def test_what_is_not_there_is_not_found(client: Client, name: str, public_id: str) -> None:
    address = reverse(f"projects:{name}", args=["zz"]).replace("/zz/", f"/{public_id}/")
    assert client.get(address).status_code == 404


def test_empty_lists_offer_the_first_step(client: Client) -> None:
    assert "Enter the first builder" in client.get(reverse("projects:builder_list")).content.decode()
    assert "Begin the first project" in client.get(reverse("projects:project_list")).content.decode()


def test_lists_ask_the_database_equally_often_for_two_rows_and_for_ten(
    client: Client, django_assert_num_queries: Any
) -> None:
    for _ in range(10):
        make.floor()
    # session, reader, saved filters, owners and tiers to choose from, count, rows
    with django_assert_num_queries(7):
        builders = client.get(reverse("projects:builder_list"))
    with django_assert_num_queries(6):
        projects = client.get(reverse("projects:project_list"))
    assert builders.content.decode().count("Hollin Homes") == 10
    assert projects.content.decode().count("14 Marsh Lane, Alder Falls") == 10


def test_lists_are_searched(client: Client) -> None:
    make.builder(name="Tern and Daughters")
    make.builder(name="Hollin Ridge")
    text = client.get(reverse("projects:builder_list"), {"q": "tern"}).content.decode()
    assert "Tern and Daughters" in text
    assert "Hollin Ridge" not in text
    assert "No builder has" in client.get(reverse("projects:builder_list"), {"q": "zz"}).content.decode()
    refused = client.get(reverse("projects:builder_list"), {"q": "\x00zz"})
    assert refused.status_code == 400


def test_a_builder_is_entered_and_shown(client: Client, seller: User) -> None:
    data = {"name": "Hollin <b>Homes", "contact_name": "Rae", "email": "rae@example.test"}
    response = client.post(reverse("projects:builder_new"), data, follow=True)
    builder = Builder.objects.get()
    assert builder.owner == seller
    assert "Hollin &lt;b&gt;Homes" in response.content.decode()
    assert f"{seller.name} entered the builder." in response.content.decode()


def test_a_taken_builder_name_is_said_at_the_field(client: Client) -> None:
    make.builder(name="Hollin Homes")
    data = {"name": "Hollin Homes", "contact_name": "Rae", "email": "rae@example.test"}
    response = client.post(reverse("projects:builder_new"), data)
    assert response.status_code == 422
    assert "There is a builder of this name already." in response.content.decode()
    assert 'value="rae@example.test"' in response.content.decode()


def test_a_builder_is_changed_on_his_page(client: Client) -> None:
    builder = make.builder()
    url = reverse("projects:builder_page", args=[builder.public_id])
    data = {"name": "Hollin Ridge", "contact_name": "Rae", "email": "new@example.test"}
    assert client.post(url, data).status_code == 302
    builder.refresh_from_db()
    assert (builder.name, builder.email) == ("Hollin Ridge", "new@example.test")
    planner = client_of(people.user(Role.PLANNER))
    assert "Save the builder" not in planner.get(url).content.decode()
    assert planner.post(url, data).status_code == 403


def test_a_project_is_begun_with_its_site(client: Client, seller: User) -> None:
    builder = make.builder()
    data = {
        "builder": builder.public_id,
        "name": "Marsh Lane 14",
        "units": "imperial",
        "line": "14 Marsh Lane",
        "city": "Alder Falls",
        "region": "OH",
        "postal_code": "44000",
        "freight_zone": "near",
        "tax_place": "OH",
    }
    response = client.post(reverse("projects:project_new"), data)
    project = Project.objects.get()
    assert response["Location"] == reverse("projects:project_page", args=[project.public_id])
    assert (project.owner, project.site.freight_zone) == (seller, "near")
    again = client.post(reverse("projects:project_new"), data)
    assert again.status_code == 422
    assert "has a project of this name already" in again.content.decode()


def test_the_project_page_draws_its_floors_and_offers_the_quote(
    client: Client, django_assert_max_num_queries: Any
) -> None:
    project = make.project()
    for name in ("First floor", "Second floor", "Attic"):
        make.floor(project, name=name)
    with django_assert_max_num_queries(9):
        text = client.get(reverse("projects:project_page", args=[project.public_id])).content.decode()
    assert text.count("<svg") >= 3
    assert "Attic" in text
    assert f"{reverse('quotes:quote_new')}?project={project.public_id}" in text


def test_profiles_are_listed_with_their_strengths(client: Client) -> None:
    text = client.get(reverse("projects:profile_list")).content.decode()
    assert "1000S162-54" in text
    assert "kip-in" in text


def test_a_floor_is_drawn_then_saved(client: Client) -> None:
    project = make.project()
    drawn = client.post(new_floor_url(project), TYPED | {"intent": "draw"})
    assert drawn.status_code == 200
    assert "<svg" in drawn.content.decode()
    assert Floor.objects.count() == 0
    saved = client.post(new_floor_url(project), TYPED | {"intent": "save"})
    floor = Floor.objects.get()
    assert saved["Location"] == floor_url(floor)
    page = client.get(floor_url(floor)).content.decode()
    assert "Saved as version 1." in page
    assert "Joists and tails" in page


def test_an_unreadable_length_is_said_at_its_field_and_the_rest_stays(client: Client) -> None:
    project = make.project()
    response = client.post(new_floor_url(project), TYPED | {"intent": "save", "width": "twelve <i>"})
    text = response.content.decode()
    assert response.status_code == 422
    assert "“twelve &lt;i&gt;” is not a length" in text
    assert 'id="id_width_error"' in text
    assert 'value="14&#x27;"' in text
    assert Floor.objects.count() == 0


def test_a_stale_save_shows_both_documents_and_loses_nothing(client: Client) -> None:
    floor = make.floor(name="First floor")
    other = person(people.user(Role.MANAGER, name="Ira Penn"))
    theirs = make.document("First floor", width="26'")
    services.floor_save(actor=other, at=make.AT, floor=floor, document=theirs, base_version=1)
    response = client.post(floor_url(floor), TYPED | {"intent": "save", "base_version": "1", "depth": "15'"})
    text = response.content.decode()
    assert response.status_code == 409
    assert "Ira Penn saved version 2" in text
    assert "corner 2, x" in text
    assert 'value="15&#x27;"' in text
    assert "Save mine over version 2" in text
    assert text.count("<figure") == 3
    after = client.post(floor_url(floor), TYPED | {"intent": "save", "base_version": "2", "depth": "15'"})
    assert after.status_code == 302
    assert Floor.objects.get().version == 3


def test_readers_without_the_right_see_the_floor_but_save_nothing() -> None:
    floor = make.floor()
    planner = client_of(people.user(Role.PLANNER))
    text = planner.get(floor_url(floor)).content.decode()
    assert "<svg" in text
    assert "Save the floor" not in text
    assert planner.post(floor_url(floor), TYPED | {"intent": "save", "base_version": "1"}).status_code == 403
    assert planner.post(reverse("projects:floor_preview"), TYPED).status_code == 403
    assert planner.get(new_floor_url(floor.project)).status_code == 403


def test_rows_are_added_and_taken_away_without_script(client: Client) -> None:
    url = new_floor_url(make.project())
    added = client.post(url, TYPED | {"rows": "add:opening"}).content.decode()
    assert 'name="opening-0-corner_x"' in added
    sent = TYPED | {"opening-count": "2", "opening-0-name": "North", "opening-1-name": "South"}
    taken = client.post(url, sent | {"rows": "remove:opening:0"}).content.decode()
    assert 'value="South"' in taken
    assert 'value="North"' not in taken


def test_the_preview_answers_with_a_part_of_the_page(client: Client) -> None:
    response = client.post(reverse("projects:floor_preview"), TYPED)
    text = response.content.decode()
    assert text.lstrip().startswith('<div id="preview"')
    assert "<svg" in text
    assert 'data-announce="17 joists and tails, all members pass"' in text


def test_an_unreadable_preview_swaps_the_words_only(client: Client) -> None:
    response = client.post(reverse("projects:floor_preview"), TYPED | {"depth": "12 cubits"})
    text = response.content.decode()
    assert response["HX-Retarget"] == "#preview-words"
    assert 'data-field="id_depth"' in text
    assert "<svg" not in text


def test_a_refused_floor_links_to_its_field_and_is_drawn(client: Client) -> None:
    opening = {"opening-count": "1", "opening-0-name": "Stair", "opening-0-kind": "stair"}
    opening |= {"opening-0-corner_x": "22'", "opening-0-corner_y": "2'"}
    opening |= {"opening-0-size_x": "4'", "opening-0-size_y": "6'"}
    text = client.post(reverse("projects:floor_preview"), TYPED | opening).content.decode()
    assert 'href="#id_opening-0-corner_x"' in text
    assert "<svg" in text


@pytest.mark.parametrize("method", ["get", "head"])
def test_looking_changes_nothing(client: Client, method: str) -> None:
    floor = make.floor()
    for url in (floor_url(floor), new_floor_url(floor.project)):
        assert getattr(client, method)(url).status_code == 200
    assert Floor.objects.get().version == 1
    assert client.get(reverse("projects:floor_preview")).status_code == 405


def document_post(client: Client, url: str, **fields: Any) -> Any:
    return client.post(url, {"intent": "document", "base_version": "1"} | fields)


def test_a_document_is_pasted_as_a_new_floor(client: Client) -> None:
    project = make.project()
    text = json.dumps(make.document("Pasted floor"))
    assert document_post(client, new_floor_url(project), document_text=text).status_code == 302
    assert Floor.objects.get().name == "Pasted floor"


def test_a_document_is_uploaded_as_the_next_version(client: Client) -> None:
    floor = make.floor(name="First floor")
    body = json.dumps(make.document("First floor", width="26'")).encode()
    file = SimpleUploadedFile("floor.json", body, content_type="application/json")
    assert document_post(client, floor_url(floor), document_file=file).status_code == 302
    assert Floor.objects.get().version == 2


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "not JSON"),
        ("no json", "not JSON"),
        ("[]", "JSON object"),
        ('{"format": "spanyard.floor", "version": 2}', "Version 2"),
        ('{"format": "other", "version": 1}', "format"),
        ('{"format": "spanyard.floor", "version": NaN}', "NaN"),
        ("[" * 10_000, "nested"),
        ('{"a":' * 10_000, "nested"),
        ("x" * 1_000_001, "1,000,000"),
    ],
)
def test_a_bad_document_is_refused_in_words_and_stays(client: Client, text: str, words: str) -> None:
    response = document_post(client, new_floor_url(make.project()), document_text=text)
    page = response.content.decode()
    assert response.status_code == 422
    assert words in page
    assert Floor.objects.count() == 0


def test_a_document_that_is_no_text_is_refused(client: Client) -> None:
    file = SimpleUploadedFile("floor.json", b"\xff\xfe\x00\x01")
    response = document_post(client, floor_url(make.floor()), document_file=file)
    assert response.status_code == 422
    assert "not UTF-8" in response.content.decode()


def test_a_document_with_an_unbuildable_floor_shows_its_problems(client: Client) -> None:
    document = make.document("First floor")
    document["bays"][0]["spacing"] = "17"
    response = document_post(client, new_floor_url(make.project()), document_text=json.dumps(document))
    assert response.status_code == 422
    assert "is not offered" in response.content.decode()


@pytest.mark.parametrize("size", [50_000_000, 2_000_000_000])
@pytest.mark.parametrize("kind", ["multipart/form-data; boundary=x", "application/x-www-form-urlencoded"])
def test_a_body_that_is_too_big_is_refused_before_it_is_read(client: Client, size: int, kind: str) -> None:
    class Unread:
        def read(self, *_: Any) -> bytes:
            raise AssertionError("the body was read")

        readline = read

    floor = make.floor()
    for url in (floor_url(floor), new_floor_url(floor.project), reverse("projects:floor_preview")):
        environment = {"CONTENT_LENGTH": str(size), "CONTENT_TYPE": kind, "wsgi.input": Unread()}
        response = client.generic("POST", url, **environment)
        assert response.status_code == 413
        assert "bytes" in response.content.decode()


def test_the_form_needs_its_token(seller: User) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(seller)
    floor = make.floor()
    for url in (floor_url(floor), new_floor_url(floor.project), reverse("projects:floor_preview")):
        assert client.post(url, TYPED | {"intent": "save", "base_version": "1"}).status_code == 403
    assert Floor.objects.get().version == 1


@pytest.mark.parametrize(
    "field", ["name", "level", "width", "spacing", "occupancy", "layer-0-psf", "profile"]
)
@pytest.mark.parametrize("text", ["\x00", "x" * 5000, "<script>alert(1)</script>", "\u202e", "-1", "1e400"])
def test_odd_texts_are_answered_and_never_run(client: Client, field: str, text: str) -> None:
    for url in (new_floor_url(make.project()), reverse("projects:floor_preview")):
        response = client.post(url, TYPED | {"intent": "save", field: text})
        assert response.status_code in (200, 302, 422)
        assert "<script>alert(1)" not in response.content.decode()
