"""Discounts by line and total within limits, and the manager's word beyond them: asked, asked back, kept (R39)."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, ProgrammingError, connection, transaction
from django.urls import reverse

from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed, Refused
from framing.common.models import Role, User
from orders.waiting import waiting_for
from quotes import selectors, services
from quotes.models import Approval, ApprovalWord, QuoteRevision
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db
D = Decimal
AT = quotes.AT


def change(draft: QuoteRevision, **values: Any) -> QuoteRevision:
    return services.revision_change(actor=person(draft.quote.owner), revision=draft, at=AT, **values)


def asked(share: str = "0.08", owner: User | None = None) -> QuoteRevision:
    """A draft over the limit whose approval is asked for."""
    draft = quotes.draft(owner, discount_share=D(share))
    services.approval_ask(
        actor=person(draft.quote.owner), revision=draft, reason="A long-standing builder.", at=AT
    )
    return draft


def manager() -> Any:
    return people.actor(Role.MANAGER)


def test_a_line_discount_is_a_line_of_its_own_and_kept_through_a_repricing() -> None:
    draft = quotes.draft()
    before = draft.total
    changed = change(draft, line_discounts={"strap": D("0.05"), "cutting": D("0.10")})
    lines = {line.code: line for line in changed.lines.all()}
    for code, share in (("strap", D("0.05")), ("cutting", D("0.10"))):
        wanted = -(lines[code].extension * share).quantize(D("0.01"), "ROUND_HALF_UP")
        assert lines[f"less:{code}"].extension == wanted
    assert changed.total < before
    assert selectors.line_discounts(changed) == {"strap": D("0.05"), "cutting": D("0.10")}
    moved = audit_list(changed).last().change  # type: ignore[union-attr]
    assert moved["line_discounts"] == [{}, {"strap": "0.0500", "cutting": "0.1000"}]
    anew = services.draft_reprice(actor=person(draft.quote.owner), revision=changed, at=AT)
    assert selectors.line_discounts(anew) == {"strap": D("0.05"), "cutting": D("0.10")}
    assert anew.total == changed.total
    gone = change(anew, line_discounts={"strap": D(0)})
    assert selectors.line_discounts(gone) == {}
    assert gone.total == before


@pytest.mark.parametrize(
    ("code", "share"),
    [
        ("strap", "1"), ("strap", "1.5"), ("strap", "-0.1"), ("strap", "NaN"), ("strap", "0.00001"),
        ("steel_surcharge", "0.1"), ("freight", "0.1"), ("nothing", "0.1"),
    ],
)  # fmt: skip
def test_a_line_discount_that_cannot_be_is_refused(code: str, share: str) -> None:
    draft = quotes.draft()
    with pytest.raises(Refused) as caught:
        change(draft, line_discounts={code: D(share)})
    assert caught.value.field == "line_discounts"
    assert QuoteRevision.objects.get(pk=draft.pk).total == draft.total


def test_a_discount_of_a_line_that_is_gone_goes_with_it() -> None:
    draft = change(quotes.draft(), line_discounts={"strap": D("0.05"), "cutting": D("0.05")})
    items = [item for item in quotes.price_document()["items"] if item["code"] != "nothing"]
    quotes.price_book(items=items)
    draft.lines.filter(code="strap").delete()
    result = selectors.package_of(draft)
    without = [
        {**floor, "bill": [line for line in floor["bill"] if line["code"] != "strap"]}
        for floor in draft.result["package"]["floors"]
    ]
    draft.result["package"]["floors"] = without
    draft.save(update_fields=["result"])
    assert any(line.code == "strap" for line in result.floors[0].bill)
    assert selectors.line_discounts(change(draft, terms="Net 10.")) == {"cutting": D("0.05")}


def test_limits_of_line_total_and_both_together() -> None:
    """The book's limits: 5 % in all, 10 % on a line."""
    draft = quotes.draft(discount_share=D("0.05"))
    assert selectors.approval_reasons(draft) == ()
    draft = change(draft, discount_share=D(0), line_discounts={"strap": D("0.10")})
    assert selectors.approval_reasons(draft) == ()
    draft = change(draft, line_discounts={"strap": D("0.1001")})
    assert (
        "10.01 % on strap is over the seller's limit of 10.00 % for a line"
        in selectors.approval_reasons(draft)[0]
    )
    joists = next(line.code for line in draft.lines.all() if line.group == "members" and line.sold_by == "ft")
    draft = change(draft, discount_share=D("0.04"), line_discounts={joists: D("0.10")})
    (together,) = selectors.approval_reasons(draft)
    assert "together, over the seller's limit of 5.00 %" in together


def test_the_limit_of_both_together_holds_to_the_cent() -> None:
    """5 % on every line is 5 % in all; rounding each line may make it a few cents more and asks for nobody's word."""
    draft = quotes.draft()
    lines = selectors.discountable_lines(draft)
    draft = change(draft, line_discounts={code: D("0.05") for code, *_ in lines})
    assert selectors.approval_reasons(draft) == ()
    draft = change(draft, line_discounts={code: D("0.0502") for code, *_ in lines})
    assert len(selectors.approval_reasons(draft)) == 1


def test_figures_of_the_request_are_the_margin_without_and_with_the_discount() -> None:
    draft = asked("0.08")
    approval = selectors.approval_open(draft)
    assert approval is not None
    given = -sum(line.extension for line in draft.lines.all() if line.code.startswith("discount:"))
    assert approval.given == given > 0
    price = draft.goods + draft.freight
    assert approval.margin_after == ((price - draft.cost) / price).quantize(D("0.0001"), "ROUND_HALF_UP")
    full = price + given
    assert approval.margin_before == ((full - draft.cost) / full).quantize(D("0.0001"), "ROUND_HALF_UP")


def test_ask_back_answer_and_grant_are_all_kept() -> None:
    draft = asked()
    question = services.approval_question(
        actor=manager(), revision=draft, text="How many floors follow?", at=AT
    )
    assert list(selectors.approvals_waiting()) == []
    assert [row.revision_id for row in selectors.approvals_asked_back()] == [draft.pk]
    with pytest.raises(Clash, match="question already"):
        services.approval_question(actor=manager(), revision=draft, text="And when?", at=AT)
    services.approval_answer(actor=person(draft.quote.owner), revision=draft, text="Six.", at=AT)
    with pytest.raises(Clash, match="No question"):
        services.approval_answer(actor=person(draft.quote.owner), revision=draft, text="Seven.", at=AT)
    assert [row.revision_id for row in selectors.approvals_waiting()] == [draft.pk]
    services.approval_decide(
        actor=manager(), revision=draft, granted=True, answer="Fine.", total_seen=draft.total, at=AT
    )
    approval = question.approval
    approval.refresh_from_db()
    assert [(word.is_question, word.text) for word in approval.words.all()] == [
        (True, "How many floors follow?"),
        (False, "Six."),
    ]
    assert (approval.granted, approval.answer) == (True, "Fine.")
    verbs = [entry.verb for entry in audit_list(draft)]
    assert verbs == ["approval_ask", "approval_question", "approval_answer", "approval_grant"]
    issued = services.revision_issue(actor=person(draft.quote.owner), revision=draft, key=quotes.key(), at=AT)
    assert issued.issued_at is not None


def test_a_manager_may_decide_without_waiting_for_the_answer() -> None:
    draft = asked()
    services.approval_question(actor=manager(), revision=draft, text="Why?", at=AT)
    approval = services.approval_decide(
        actor=manager(), revision=draft, granted=False, answer="Too low.", total_seen=draft.total, at=AT
    )
    assert (approval.granted, approval.asked_back) == (False, False)


def test_empty_words_and_words_on_nothing_are_refused() -> None:
    draft = asked()
    with pytest.raises(Refused, match="question"):
        services.approval_question(actor=manager(), revision=draft, text=" ", at=AT)
    with pytest.raises(Refused, match="at most 400"):
        services.approval_question(actor=manager(), revision=draft, text="x" * 401, at=AT)
    plain = quotes.draft()
    with pytest.raises(Clash, match="not waiting"):
        services.approval_question(actor=manager(), revision=plain, text="Why?", at=AT)


def test_only_managers_ask_back_and_only_the_sellers_team_answers() -> None:
    owner = people.user(Role.SELLER, team="north")
    draft = asked(owner=owner)
    with pytest.raises(NotAllowed):
        services.approval_question(actor=person(owner), revision=draft, text="Why?", at=AT)
    services.approval_question(actor=manager(), revision=draft, text="Why?", at=AT)
    with pytest.raises(NotAllowed):
        services.approval_answer(
            actor=people.actor(Role.SELLER, team="south"), revision=draft, text="So.", at=AT
        )
    services.approval_answer(actor=people.actor(Role.SELLER, team="north"), revision=draft, text="So.", at=AT)


def test_plain_sql_cannot_change_what_was_said_or_decided() -> None:
    draft = asked()
    services.approval_question(actor=manager(), revision=draft, text="Why?", at=AT)
    services.approval_decide(
        actor=manager(), revision=draft, granted=False, answer="No.", total_seen=draft.total, at=AT
    )
    for statement in (
        "UPDATE quotes_approvalword SET text = 'Never asked.'",
        "DELETE FROM quotes_approvalword",
        "UPDATE quotes_approval SET granted = true",
        "DELETE FROM quotes_approval",
    ):
        with (
            pytest.raises(ProgrammingError, match="Cannot update or delete"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement)


def test_plain_sql_cannot_change_discounts_of_an_issued_revision() -> None:
    draft = change(quotes.draft(), line_discounts={"strap": D("0.05")})
    services.revision_issue(actor=person(draft.quote.owner), revision=draft, key=quotes.key(), at=AT)
    for statement in (
        "UPDATE quotes_linediscount SET share = 0.5",
        "DELETE FROM quotes_linediscount",
        f"INSERT INTO quotes_linediscount (revision_id, code, share) VALUES ({draft.pk}, 'x', 0.1)",  # noqa: S608
        "UPDATE quotes_quoteline SET extension = 0",
    ):
        with (
            pytest.raises(ProgrammingError, match="issued revision are fixed"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement)


@pytest.mark.parametrize("share", ["0", "1", "1.2", "-0.1"])
def test_plain_sql_cannot_give_a_line_away(share: str) -> None:
    draft = quotes.draft()
    statement = (
        f"INSERT INTO quotes_linediscount (revision_id, code, share) VALUES ({draft.pk}, 'x', {share})"  # noqa: S608
    )
    with (
        pytest.raises(IntegrityError, match="line_discount_is_share"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)


# --- pages ---


def text(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_the_queue_shows_the_numbers_and_decides() -> None:
    draft = asked()
    approval = selectors.approval_open(draft)
    assert approval is not None
    assert approval.margin_before is not None
    assert approval.margin_after is not None
    client = people.client_of(Role.MANAGER)
    queue = reverse("quotes:approval_list")
    page = text(client.get(queue))
    for words in (
        str(draft),
        f"${draft.total:,.2f}",
        f"${approval.given:,.2f}",
        f"{approval.margin_before * 100:.1f} %",
        f"{approval.margin_after * 100:.1f} %",
        draft.quote.owner.name,
        "A long-standing builder.",
        "over the seller's limit of 5.00 %".replace("'", "&#x27;"),
    ):
        assert words in page
    route = reverse("quotes:approval_question", args=[draft.public_id])
    assert client.post(route, {"text": "How many follow?", "back": "queue"}).url == queue  # type: ignore[attr-defined]
    assert "asked back" in text(client.get(queue))
    seller = people.client_of(draft.quote.owner)
    page_of = reverse("quotes:revision_page", args=[draft.public_id])
    assert "How many follow?" in text(seller.get(page_of))
    answered = seller.post(reverse("quotes:approval_answer", args=[draft.public_id]), {"text": "Six more."})
    assert answered.status_code == 302
    assert "Six more." in text(client.get(queue))
    decide = reverse("quotes:approval_decide", args=[draft.public_id])
    done = client.post(
        decide,
        {"total_seen": str(draft.total), "answer": "Go.", "granted": "yes", "back": "queue"},
        follow=True,
    )
    assert done.redirect_chain == [(queue, 302)]
    assert "Nothing waits for your word" in text(done)
    assert "Decided lately" in text(done)
    assert Approval.objects.get().granted is True


def test_a_refused_word_stays_typed_on_the_quotes_page() -> None:
    draft = quotes.draft()
    client = people.client_of(Role.MANAGER)
    answer = client.post(reverse("quotes:approval_question", args=[draft.public_id]), {"text": "Why?"})
    assert answer.status_code == 409
    assert client.post(reverse("quotes:approval_question", args=[draft.public_id]), {}).status_code == 422
    assert not ApprovalWord.objects.exists()


def test_only_managers_see_the_queue() -> None:
    for role in Role.values:
        status = people.client_of(role).get(reverse("quotes:approval_list")).status_code
        assert status == (200 if role == Role.MANAGER else 403), role


def test_today_shows_the_managers_queue_and_the_sellers_question() -> None:
    draft = asked()
    boss = people.user(Role.MANAGER)
    (section,) = [s for s in waiting_for(boss, AT) if s.title == "Approvals asked for"]
    assert (section.count, section.url) == (1, reverse("quotes:approval_list"))
    assert "margin" in section.rows[0].words
    services.approval_question(actor=person(boss), revision=draft, text="How many follow?", at=AT)
    assert not [s for s in waiting_for(boss, AT) if s.title == "Approvals asked for"]
    (mine,) = [s for s in waiting_for(draft.quote.owner, AT) if s.title == "Questions on your prices"]
    assert "How many follow?" in mine.rows[0].words
    assert not [s for s in waiting_for(people.user(Role.SELLER), AT) if s.title == mine.title]


def test_line_discounts_are_typed_on_the_page_and_kept_where_the_form_has_no_such_fields() -> None:
    draft = quotes.draft()
    client = people.client_of(draft.quote.owner)
    route = reverse("quotes:revision_change", args=[draft.public_id])
    form = {"discount_percent": "0", "lead_time_days": "21", "terms": "x"}
    assert client.post(route, form | {"line:strap": "7.5", "line:cutting": ""}).status_code == 302
    assert selectors.line_discounts(draft) == {"strap": D("0.075")}
    assert client.post(route, form).status_code == 302
    assert selectors.line_discounts(draft) == {"strap": D("0.075")}
    refused = client.post(route, form | {"line:strap": "120"})
    assert refused.status_code == 422
    assert 'value="120"' in refused.content.decode()
    page = client.get(reverse("quotes:revision_page", args=[draft.public_id])).content.decode()
    assert 'name="line:strap" value="7.50"' in page


def test_pages_show_what_was_counted_what_each_floor_bears_and_margins_for_those_who_may() -> None:
    home = quotes.project()
    quotes.projects.floor(home, name="Upper floor")
    draft = quotes.draft(of=home)
    page = reverse("quotes:revision_page", args=[draft.public_id])
    seen = text(people.client_of(home.owner).get(page))
    assert "Price by floor" in seen
    assert "Upper floor" in seen
    screws = draft.lines.get(code="steel_screw")
    assert f"{screws.exact:,.0f} pieces" in seen
    assert "Margin before tax" in seen
    assert "Margin before tax" not in text(people.client_of(Role.SELLER).get(page))
    shares = [
        sum(D(pair[0]) + D(pair[1]) for pair in column)
        for column in zip(*(x.shares for x in draft.lines.all()), strict=True)
    ]
    assert len(shares) == 2
    assert sum(shares) == draft.total
    assert all(f"${share:,.2f}" in seen for share in shares)
