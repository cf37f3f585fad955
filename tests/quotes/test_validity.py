"""An offer holds through its last day at the site and lapses by itself after it, by the database's clock (R41)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.errors import Clash
from framing.common.models import Role
from framing.projects.models import Site
from orders.waiting import waiting_for
from quotes import selectors, services, tasks
from quotes.models import QuoteMove, QuoteRevision
from quotes.services import rows as rows_of_quotes
from quotes.services.sending import quote_values
from tests.factories import people, projects, quotes

pytestmark = pytest.mark.django_db
SECOND = timedelta(seconds=1)


def offered(zone: str, at: datetime, days: int = 30) -> QuoteRevision:
    """An offer for a site in a zone, issued at a moment, by a book whose offers hold so many days."""
    quotes.price_book(valid_days=days, valid_from="2026-01-01")
    home = projects.project(site=replace(projects.SITE, time_zone=zone))
    projects.floor(home)
    draft = services.quote_create(actor=person(home.owner), project=home, at=at)
    return services.revision_issue(actor=person(home.owner), revision=draft, key=quotes.key(), at=at)


def accept(revision: QuoteRevision, at: datetime) -> Any:
    return services.quote_accept(
        actor=person(revision.quote.owner),
        revision=revision,
        name="Rae",
        key=quotes.key(),
        at=at,
        why="By phone.",
    )


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)  # type: ignore[misc,arg-type]


# Issued at noon of the day there; the last day is so many days later, its end by the offset that holds that night.
@pytest.mark.parametrize(
    ("zone", "issued", "days", "last", "ends"),
    [
        # clocks go forward on March 8 at 2 h: the night before it is -7, the night after it -6
        ("America/Edmonton", utc(2026, 3, 6, 19), 1, date(2026, 3, 7), utc(2026, 3, 8, 7)),
        ("America/Edmonton", utc(2026, 3, 6, 19), 2, date(2026, 3, 8), utc(2026, 3, 9, 6)),
        # Alberta puts its clocks back no more from 2026 on; Colorado does, on November 1
        ("America/Edmonton", utc(2026, 10, 31, 18), 1, date(2026, 11, 1), utc(2026, 11, 2, 6)),
        ("America/Denver", utc(2026, 10, 30, 18), 1, date(2026, 10, 31), utc(2026, 11, 1, 6)),
        ("America/Denver", utc(2026, 10, 31, 18), 1, date(2026, 11, 1), utc(2026, 11, 2, 7)),
        ("America/Phoenix", utc(2026, 10, 31, 19), 1, date(2026, 11, 1), utc(2026, 11, 2, 7)),
        # 15:00 UTC on the 3rd is the 4th already where clocks are 14 hours ahead, still the 3rd at 11 behind
        ("Pacific/Kiritimati", utc(2026, 11, 3, 15), 30, date(2026, 12, 4), utc(2026, 12, 4, 10)),
        ("Pacific/Pago_Pago", utc(2026, 11, 3, 15), 30, date(2026, 12, 3), utc(2026, 12, 4, 11)),
    ],
)
def test_the_last_day_counts_whole(
    zone: str, issued: datetime, days: int, last: date, ends: datetime
) -> None:
    revision = offered(zone, issued, days)
    assert (revision.valid_day, revision.valid_until, revision.valid_zone) == (last, ends, zone)
    assert selectors.quote_list().get().latest_valid_day == last  # type: ignore[attr-defined]
    assert quote_values(revision)["valid_until"] == f"{last:%B} {last.day}, {last.year}"
    with pytest.raises(Clash, match=f"was valid to the end of {last:%B} {last.day}, {last.year}"):
        accept(revision, ends)
    assert services.quotes_lapse_due(at=ends - SECOND) == 0
    accept(revision, ends - SECOND)
    assert services.quotes_lapse_due(at=ends) == 0


def test_a_site_that_moves_to_another_zone_moves_no_issued_offer() -> None:
    revision = offered("America/Edmonton", quotes.AT)
    ends, day = revision.valid_until, revision.valid_day
    Site.objects.filter(pk=revision.quote.project.site_id).update(time_zone="Pacific/Kiritimati")
    fresh = selectors.revision_get(revision.public_id)
    assert (fresh.valid_until, fresh.valid_day, fresh.valid_zone) == (ends, day, "America/Edmonton")
    second = services.revision_revise(actor=person(fresh.quote.owner), quote=fresh.quote, at=quotes.AT)
    issued = services.revision_issue(
        actor=person(fresh.quote.owner), revision=second, key=quotes.key(), at=quotes.AT
    )
    assert issued.valid_zone == "Pacific/Kiritimati"


def test_only_the_databases_clock_lets_an_offer_lapse(monkeypatch: pytest.MonkeyPatch) -> None:
    revision = quotes.issued()
    assert revision.valid_until is not None
    now = revision.valid_until - SECOND
    monkeypatch.setattr(tasks, "database_now", lambda: now)
    monkeypatch.setattr("time.time", lambda: (revision.valid_until + timedelta(days=400)).timestamp())
    monkeypatch.setattr("django.utils.timezone.now", lambda: revision.valid_until + timedelta(days=400))
    tasks.quotes_lapse_due()
    assert selectors.quote_get(revision.quote.public_id).stage == "issued"
    monkeypatch.setattr("django.utils.timezone.now", lambda: quotes.AT - timedelta(hours=2))
    now = revision.valid_until
    tasks.quotes_lapse_due()
    assert selectors.quote_get(revision.quote.public_id).stage == "lapsed"
    assert list(QuoteMove.objects.filter(to_stage="lapsed").values_list("at", flat=True)) == [now]


def test_a_clock_that_jumps_back_and_forth_lapses_an_offer_once() -> None:
    revision = quotes.issued()
    ends = revision.valid_until
    assert ends is not None
    steps = (timedelta(days=400), timedelta(hours=-2), timedelta(hours=2), timedelta(0))
    assert [services.quotes_lapse_due(at=ends + step) for step in steps] == [1, 0, 0, 0]
    assert audit_list(revision.quote).filter(verb="quote_lapse").count() == 1
    assert QuoteMove.objects.get(to_stage="lapsed").why == "valid to the end of December 3, 2026"


def test_one_quote_that_fails_keeps_no_other_from_lapsing(monkeypatch: pytest.MonkeyPatch) -> None:
    owner = people.user(Role.SELLER)
    rows = [quotes.issued(owner) for _ in range(3)]
    real = rows_of_quotes.move_quote

    def broken(quote: Any, *args: Any, **more: Any) -> None:
        real(quote, *args, **more)
        if quote.pk == rows[1].quote_id:
            raise OSError("the disk is gone")

    monkeypatch.setattr("quotes.services.accepting.move_quote", broken)
    ends = rows[0].valid_until
    assert ends is not None
    assert services.quotes_lapse_due(at=ends) == 2
    stages = [selectors.quote_get(row.quote.public_id).stage for row in rows]
    assert stages == ["lapsed", "issued", "lapsed"]
    assert QuoteMove.objects.filter(quote=rows[1].quote, to_stage="lapsed").count() == 0  # undone as one
    monkeypatch.undo()
    assert services.quotes_lapse_due(at=ends) == 1


def test_what_lapsed_waits_a_week_on_today_until_the_reason_is_named() -> None:
    revision = quotes.issued()
    owner, ends = revision.quote.owner, revision.valid_until
    assert ends is not None

    def shown(user: Any, at: datetime) -> list[str]:
        found = [s for s in waiting_for(user, at) if s.title.startswith("Lapsed")]
        return [row.words for section in found for row in section.rows]

    assert shown(owner, ends) == []
    services.quotes_lapse_due(at=ends)
    (words,) = shown(owner, ends)
    assert words.startswith(revision.quote.number)
    assert shown(people.user(Role.MANAGER), ends + timedelta(days=6)) == [words]
    assert shown(people.user(Role.SELLER), ends) == []
    assert shown(owner, ends + timedelta(days=7)) == []
    services.lost_name(actor=person(owner), quote=revision.quote, at=ends, reason="price")
    assert shown(owner, ends) == []


def test_the_builder_reads_what_happened_and_how_to_ask_for_a_new_offer(client: Client) -> None:
    revision = quotes.issued()
    _, secret = quotes.link(revision)
    page = client.get(f"/l/{secret}/")["Location"]
    assert "December 3, 2026</strong>, New York time" in client.get(page).content.decode()
    assert revision.valid_until is not None
    services.quotes_lapse_due(at=revision.valid_until)
    body = client.get(page).content.decode()
    assert "held to the end of December 3, 2026" in body
    assert "Please send us a new offer" in body
    assert reverse("quotes:your_quote_accept", args=[page.rstrip("/").rsplit("/", 1)[1]]) not in body


def test_a_project_is_begun_in_a_zone_of_the_list(client: Client) -> None:
    client.force_login(people.user(Role.SELLER))
    builder = projects.builder()
    quotes.price_book()
    typed = {
        "builder": builder.public_id, "name": "Marsh", "units": "imperial", "line": "1 Lane", "city": "Alder",
        "region": "AB", "postal_code": "T1A", "freight_zone": "near", "tax_place": "OH",
    }  # fmt: skip
    address = reverse("projects:project_new")
    form = client.get(address).content.decode()
    assert '<option value="America/New_York" selected>' in form
    assert form.index("Canada and the United States") < form.index("Elsewhere")
    wrong = client.post(address, typed | {"time_zone": "Mars/Base"})
    assert (wrong.status_code, "is no time zone of the list" in wrong.content.decode()) == (422, True)
    assert client.post(address, typed | {"time_zone": "America/Edmonton"}).status_code == 302
    assert Site.objects.latest("id").time_zone == "America/Edmonton"
