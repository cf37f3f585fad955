"""Pages of practice sets: who reads and who writes, what they show, slips, clashes, and what a floor makes of it."""

from __future__ import annotations

import pytest
from django.http import QueryDict
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from framing.common.actors import Actor, person
from framing.common.models import Role, User
from framing.engine.practice import Practice
from framing.projects import selectors, services
from framing.projects.models import PracticeSet
from framing.projects.practice_fields import FIELDS, Kind, show, typed_text
from framing.projects.practice_services import practice_set_change, practice_set_draft
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
PAGE, NEW, COMPARE = "/projects/practice/", "/projects/practice/new/", "/projects/practice/compare/"


@pytest.fixture
def greta() -> User:
    return people.user(Role.MANAGER, name="Greta Holm")


@pytest.fixture
def client(greta: User) -> Client:
    return client_of(greta)


def actor(user: User) -> Actor:
    return person(user)


def draft(user: User, **values: object) -> PracticeSet:
    return practice_set_draft(
        actor=actor(user), at=make.AT, name="House", values=values, reason="softer floors sell"
    )


def url(name: str, row: PracticeSet) -> str:
    return reverse(f"projects:{name}", args=[row.public_id])


def text_of(client: Client, address: str, status: int = 200) -> str:
    response = client.get(address)
    assert response.status_code == status
    return response.content.decode()


def typed(**changes: str) -> dict[str, str]:
    """What a browser posts for the rules' defaults, with changes."""
    data = {"name": "House", "reason": "softer floors sell", "edit": "1"}
    for name, field in FIELDS.items():
        if field.kind is not Kind.SWITCH:
            data[name] = typed_text(field, field.default)
        elif field.default:
            data[name] = "on"
    return data | changes


@pytest.mark.parametrize("role", [Role.SELLER, Role.PLANNER, Role.ADMINISTRATOR])
def test_others_read_every_page_and_write_none(greta: User, role: str) -> None:
    row, reader = draft(greta, live_deflection=360), client_of(people.user(role))
    for address in (PAGE, COMPARE, url("practice_version", row)):
        text = text_of(reader, address)
        for verb in ("Make a new version", "Change the draft", "Put in force<"):
            assert verb not in text
    for address in (NEW, url("practice_change", row), url("practice_force", row)):
        assert reader.get(address).status_code == 403
        assert reader.post(address, typed()).status_code == 403
    row.refresh_from_db()
    assert (row.state, row.edit, PracticeSet.objects.count()) == ("draft", 1, 2)


def test_the_shop_floor_and_strangers_read_nothing(greta: User) -> None:
    row = draft(greta)
    shop = client_of(people.user(Role.SHOP))
    for address in (PAGE, COMPARE, url("practice_version", row)):
        assert shop.get(address).status_code == 403
        assert Client().get(address).status_code == 302


def test_before_the_first_version_the_rules_defaults_stand_there(client: Client) -> None:
    text = text_of(client, PAGE)
    assert "No version is in force yet" in text
    assert "Every value is the rules" in text
    for field in FIELDS.values():
        assert escape(field.words) in text
        assert f'<span class="fig">{escape(show(field, field.default))}</span>' in text, field.name
        assert f">{field.rule}</td>" in text
    assert 'href="/projects/profiles/" aria-current="page"' in text, "the menu marks Profiles"


def test_what_differs_is_marked_beside_the_default(client: Client, greta: User) -> None:
    services.practice_set_put(
        actor=actor(greta), at=make.AT, name="House", values={"live_deflection": 360, "lift_limit_lb": 1800.0}
    )
    text = text_of(client, PAGE)
    assert "2 values differ from" in text
    assert text.count('<tr class="own">') == 2
    own = text[text.index("Deflection under live load") :].split("</tr>")[0]
    assert "L/360" in own
    assert "default L/480" in own
    assert "House 1" in text
    assert "by Greta Holm" in text
    assert "Nov 2, 2026" in text


def test_from_a_form_to_a_set_in_force_that_floors_follow(client: Client, greta: User) -> None:
    floor = make.floor(name="First floor", profile="800S162-54", depth="17'")
    page = reverse("projects:floor_page", args=[floor.public_id])
    before = text_of(client, page)
    assert "live-load deflection" in before
    assert '<span class="state bad">Fails</span>' in before
    form = text_of(client, NEW)
    assert 'value="L/480"' in form
    assert "Allowed: L/120 to L/1000, or 0 for no limit." in form
    assert 'value="5 1/2&quot;"' in form
    answer = client.post(NEW, typed(live_deflection="L/360", outside_bearing_16="140mm"))
    row = PracticeSet.objects.get(name="House")
    assert (answer.status_code, answer["Location"]) == (302, url("practice_version", row))
    assert row.values == {"live_deflection": 360}
    version = text_of(client, answer["Location"])
    for words in ("draft", "softer floors sell", "Put in force", "Change the draft"):
        assert words in version
    sure = text_of(client, url("practice_force", row))
    for words in (
        'Deflection under live load: <span class="fig">L/480</span> becomes <strong class="fig">L/360',
        "Issued quotes never change",
        "Open drafts of quotes keep their prices until somebody reprices",
        "All 1 saved floor looked at:",
    ):
        assert words in sure
    hidden = {"edit": "1", "replaces": PracticeSet.objects.get(in_force=True).public_id}
    done = client.post(url("practice_force", row), hidden, follow=True)
    assert "House 1 is in force." in done.content.decode()
    assert selectors.practice_in_force() == Practice(name="House", version=1, live_deflection=360)
    after = text_of(client, page)
    assert '<span class="state good">Passes</span>' in after
    assert '<span class="state bad">Fails</span>' not in after


def test_slips_are_said_at_their_fields_and_nothing_typed_is_lost(client: Client) -> None:
    answer = client.post(
        NEW,
        typed(live_deflection="L/90", impulse_a_mm_per_kn="0.4", end_clearance_16="wide", ladder_nails="7"),
    )
    text = answer.content.decode()
    assert answer.status_code == 422
    for words in (
        "L/90 is outside L/120 to L/1000, or 0 for no limit.",
        "0.4 mm per kN is outside 0.5 to 2 mm per kN.",
        'id="id_end_clearance_16_error"',
    ):
        assert words in text
    for kept in (
        'value="L/90"',
        'value="0.4"',
        'value="wide"',
        'value="7"',
        ">\nsofter floors sell</textarea>",
    ):
        assert kept in text
    assert not PracticeSet.objects.exists()


def test_a_new_version_can_begin_with_an_earlier_one(client: Client, greta: User) -> None:
    row = draft(greta, live_deflection=600, vibration_walking=True)
    text = text_of(client, f"{NEW}?from={row.public_id}")
    assert 'value="L/600"' in text
    assert 'value="House"' in text
    ticked = text[text.index('name="vibration_walking"') :].split(">")[0]
    assert "checked" in ticked
    assert client.get(f"{NEW}?from={'0' * 20}").status_code == 404


def test_a_draft_changed_meanwhile_comes_back_with_what_differs(client: Client, greta: User) -> None:
    row = draft(greta, live_deflection=360)
    change = url("practice_change", row)
    assert 'value="L/360"' in text_of(client, change)
    practice_set_change(
        actor=actor(greta), at=make.AT, row=row, values={"live_deflection": 400}, reason="other", edit=1
    )
    answer = client.post(change, typed(live_deflection="L/500"))
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Somebody changed House 1" in text
    assert '<span class="fig">L/400</span> there, <span class="fig">L/500</span> here' in text
    assert 'name="edit" value="2"' in text
    assert client.post(change, typed(live_deflection="L/500", edit="2")).status_code == 302
    row.refresh_from_db()
    assert (row.values, row.edit) == ({"live_deflection": 500}, 3)


def test_what_is_in_force_cannot_be_changed_only_succeeded(client: Client, greta: User) -> None:
    row = services.practice_set_put(actor=actor(greta), at=make.AT, name="House", values={})
    answer = client.get(url("practice_change", row), follow=True)
    assert "never changes" in answer.content.decode()
    assert "is in force since" in text_of(client, url("practice_force", row))
    answer = client.post(url("practice_force", row), {"edit": "1"})
    assert answer.status_code == 409
    assert "is in force already" in answer.content.decode()


@pytest.mark.parametrize("edit", ["2", "", "x", "9" * 30, "\u00b2"])
def test_putting_in_force_needs_the_draft_as_it_is(client: Client, greta: User, edit: str) -> None:
    row = draft(greta, live_deflection=360)
    answer = client.post(url("practice_force", row), {"edit": edit})
    assert answer.status_code == 409
    assert "Somebody changed House 1" in answer.content.decode()
    assert selectors.practice_in_force() == Practice()


def test_another_put_in_force_meanwhile_is_told(client: Client, greta: User) -> None:
    row = draft(greta, live_deflection=360)
    seen = PracticeSet.objects.get(in_force=True).public_id
    services.practice_set_put(actor=actor(greta), at=make.AT, name="Other", values={"plies_most": 2})
    answer = client.post(url("practice_force", row), {"edit": "1", "replaces": seen})
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "Other 1 was put in force meanwhile" in text
    assert "Plies at most: " in text


def test_any_two_versions_are_compared(client: Client, greta: User) -> None:
    one, other = draft(greta, live_deflection=360), draft(greta, live_deflection=600, plies_most=2)
    text = text_of(client, f"{COMPARE}?a={one.public_id}&b={other.public_id}")
    assert "2 values differ." in text
    row = text[text.index("Deflection under live load") :].split("</tr>")[0]
    assert row.index("L/360") < row.index("L/600")
    assert "Deflection under total load" not in text
    assert "1 value differs." in text_of(client, f"{COMPARE}?b={one.public_id}")
    assert "They say the same" in text_of(client, COMPARE)
    assert client.get(f"{COMPARE}?a=%00").status_code in (400, 404)


@pytest.mark.parametrize("name", ["practice_version", "practice_change", "practice_force"])
@pytest.mark.parametrize("public_id", ["0" * 20, "%F0%9F%98%80"])
def test_what_is_not_there_is_not_found(client: Client, name: str, public_id: str) -> None:
    address = reverse(f"projects:{name}", args=["x"]).replace("/x/", f"/{public_id}/")
    assert client.get(address).status_code == 404


def test_a_table_of_spans_has_limits_where_the_practice_has_none(client: Client, greta: User) -> None:
    values = {"live_deflection": 0, "total_deflection": 0}
    services.practice_set_put(actor=actor(greta), at=make.AT, name="House", values=values)
    assert "no limit" in text_of(client, PAGE)
    text = text_of(client, reverse("projects:span_page"))
    assert 'value="L/480"' in text
    assert 'value="L/240"' in text


def test_the_form_survives_a_post_without_fields(client: Client) -> None:
    answer = client.post(NEW, QueryDict("edit=1").dict())
    assert answer.status_code == 422
    assert "Say why" in answer.content.decode()
