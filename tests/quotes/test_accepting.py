"""The builder's answer: once, by the right link, for the latest issued revision, in time (R41)."""

from datetime import timedelta

import pytest
from django.db import DatabaseError, transaction

from framing.common.actors import SYSTEM, by_link, person
from framing.common.errors import Clash, KeyMissing, NotThere, Refused
from framing.common.models import AccessLink, OutboxEntry, Role
from quotes import selectors, services
from quotes.models import Acceptance
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db


def accept(actor, revision, key=None, *, at=quotes.AT, name="Rae Winter", **more):
    return services.quote_accept(
        actor=actor, revision=revision, name=name, key=key or quotes.key(), at=at, **more
    )


def test_accepting_by_link_books_once_and_asks_for_the_order():
    revision = quotes.issued()
    builder = quotes.builder(revision)
    done = accept(builder, revision, "k", title="Owner")
    assert (done.name, done.title, done.link, done.recorded_by) == ("Rae Winter", "Owner", builder.link, None)
    assert selectors.quote_get(revision.quote.public_id).stage == "booked"
    assert accept(builder, revision, "k", title="Owner").pk == done.pk
    with pytest.raises(Clash, match="accepted by Rae Winter"):
        accept(builder, revision)
    entry = OutboxEntry.objects.get(kind="order_book")
    assert (entry.key, entry.payload) == (str(revision.quote_id), {"quote": revision.quote_id})
    assert selectors.revision_accepted(revision.quote) == revision


def test_staff_record_an_acceptance_with_the_reason():
    revision = quotes.issued()
    seller = person(revision.quote.owner)
    with pytest.raises(Refused) as caught:
        accept(seller, revision)
    assert caught.value.field == "why"
    done = accept(seller, revision, why="Called at 10:40.")
    assert (done.recorded_by, done.why, done.link) == (revision.quote.owner, "Called at 10:40.", None)


@pytest.mark.parametrize("name", ["", "   ", "x" * 121])
def test_the_person_who_accepts_is_named(name):
    revision = quotes.issued()
    with pytest.raises(Refused) as caught:
        accept(quotes.builder(revision), revision, name=name)
    assert caught.value.field == "name"


def test_accepting_needs_a_key():
    revision = quotes.issued()
    with pytest.raises(KeyMissing):
        services.quote_accept(
            actor=quotes.builder(revision), revision=revision, name="Rae", key="", at=quotes.AT
        )


def test_a_draft_cannot_be_accepted_or_linked():
    draft = quotes.draft()
    with pytest.raises(Clash, match="draft"):
        accept(person(draft.quote.owner), draft, why="He said yes.")
    with pytest.raises(Clash, match="draft"):
        quotes.link(draft)


def test_a_replaced_revision_cannot_be_accepted_and_the_answer_names_the_new_one():
    first = quotes.issued()
    builder = quotes.builder(first)
    owner = person(first.quote.owner)
    second = services.revision_revise(actor=owner, quote=first.quote, at=quotes.AT)
    with pytest.raises(Clash, match="being revised"):
        accept(builder, first)
    services.revision_issue(actor=owner, revision=second, key=quotes.key(), at=quotes.AT)
    with pytest.raises(Clash, match=f"{first} was replaced by {second}"):
        accept(builder, first)
    with pytest.raises(NotThere):
        accept(builder, second)  # a link opens its own revision only
    assert accept(quotes.builder(second), second).revision == second


def test_withdrawn_and_foreign_links_act_on_nothing():
    revision, other = quotes.issued(), quotes.issued()
    made, _ = quotes.link(revision)
    with pytest.raises(NotThere):
        accept(by_link(made), other)
    services.quote_link_withdraw(
        actor=person(revision.quote.owner), revision=revision, link=made, at=quotes.AT
    )
    with pytest.raises(NotThere):
        accept(by_link(made), revision)
    with pytest.raises(NotThere):
        services.quote_link_withdraw(actor=person(other.quote.owner), revision=other, link=made, at=quotes.AT)
    assert not Acceptance.objects.exists()


def test_a_link_lives_a_week_longer_than_the_offer_and_replaces_the_earlier_one():
    revision = quotes.issued()
    first, secret = quotes.link(revision)
    assert first.expires_at == revision.valid_until + timedelta(days=7)
    assert secret not in str(list(AccessLink.objects.values()))
    second, _ = quotes.link(revision)
    assert AccessLink.objects.get(pk=first.pk).withdrawn_at == quotes.AT
    assert AccessLink.objects.get(pk=second.pk).withdrawn_at is None


def test_declining_keeps_the_reason():
    revision = quotes.issued()
    builder = quotes.builder(revision)
    with pytest.raises(Refused):
        services.quote_decline(actor=builder, revision=revision, why=" ", at=quotes.AT)
    quote = services.quote_decline(actor=builder, revision=revision, why="Went with wood.", at=quotes.AT)
    assert quote.stage == "declined"
    assert selectors.quote_moves(quote).last().why == "Went with wood."
    with pytest.raises(Clash):
        accept(builder, revision)


def test_an_offer_lapses_at_its_time_and_not_before():
    revision = quotes.issued()
    moment = timedelta(seconds=1)
    assert services.quotes_lapse_due(at=revision.valid_until - moment) == 0
    with pytest.raises(Clash, match=r"was valid to the end of December 3, 2026\. Ask for a new offer"):
        accept(person(revision.quote.owner), revision, at=revision.valid_until, why="Late call.")
    assert services.quotes_lapse_due(at=revision.valid_until) == 1
    assert services.quotes_lapse_due(at=revision.valid_until + moment) == 0
    quote = selectors.quote_get(revision.quote.public_id)
    assert quote.stage == "lapsed"
    assert selectors.quote_moves(quote).last().by == SYSTEM.name
    again = services.revision_revise(actor=person(quote.owner), quote=quote, at=revision.valid_until + moment)
    assert again.number == 2


def test_what_was_answered_does_not_lapse():
    done = quotes.accepted()
    assert services.quotes_lapse_due(at=done.revision.valid_until + timedelta(days=400)) == 0
    assert selectors.quote_get(done.quote.public_id).stage == "booked"


def test_an_acceptance_cannot_be_altered():
    done = quotes.accepted()
    with pytest.raises(DatabaseError), transaction.atomic():
        Acceptance.objects.filter(pk=done.pk).update(name="Somebody Else")


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR])
def test_other_roles_answer_nothing(role):
    from framing.common.errors import NotAllowed

    revision = quotes.issued()
    with pytest.raises(NotAllowed):
        accept(people.actor(role), revision, why="Heard it.")
    with pytest.raises(NotAllowed):
        services.quote_decline(actor=people.actor(role), revision=revision, why="No.", at=quotes.AT)
