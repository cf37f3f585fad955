"""The menu of each role: all that it may open, a short line, the rest by its place under “More”."""

from __future__ import annotations

import re

import pytest
from django.test import RequestFactory
from django.urls import reverse

from framing.common.access import may
from framing.common.context import IN_LINE, MENU, MenuEntry, menu
from framing.common.models import Role
from tests.factories import people

LINE_MOST = 9


def entries(role: Role, path: str = "/") -> tuple[MenuEntry, ...]:
    request = RequestFactory().get(path)
    request.user = people.user(role)
    request.session = {}  # type: ignore[assignment]
    found = menu(request)["nav"]
    assert isinstance(found, tuple)
    return found


@pytest.mark.django_db
@pytest.mark.parametrize("role", list(Role))
def test_each_role_finds_all_it_may_open_and_a_line_that_is_short(role: Role) -> None:
    shown = entries(role)
    allowed = [label for label, _, act, _ in MENU if act is None or may(role, *act)]
    assert [entry.label for entry in shown] == list(dict.fromkeys(allowed))
    line = {entry.label for entry in shown if not entry.more}
    assert len(line) <= LINE_MOST
    assert line == IN_LINE.get(role, line), "what a role has in its line it may open"
    assert (len(shown) > LINE_MOST) == any(entry.more for entry in shown)


@pytest.mark.django_db
def test_entries_of_one_place_stand_together() -> None:
    places = [entry.place for entry in entries(Role.MANAGER)]
    assert list(dict.fromkeys(places)) == [
        place for i, place in enumerate(places) if places[:i][-1:] != [place]
    ]


@pytest.mark.django_db
def test_a_page_under_more_is_marked_in_both_menus() -> None:
    url = reverse("orders:bundle_list")
    page = people.client_of(Role.MANAGER).get(url).content.decode()
    assert page.count(f'<a href="{url}" aria-current="page">Bundles</a>') == 2
    more = re.search(r'<details class="nav-more">(.*?)</details>', page, re.DOTALL)
    assert more is not None
    assert 'aria-current="page"' in more[1]
    assert "Today" not in more[1]
    assert '<ul class="nav-list" aria-label="Shop">' in more[1]


@pytest.mark.django_db
def test_who_has_few_pages_has_no_more() -> None:
    assert "nav-more" not in people.client_of(Role.SHOP).get("/orders/").content.decode()
