"""The pipeline's rows: which quotes, in which order and sums, what of the database each next step stands on."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from framing.common.actors import person
from framing.common.errors import NotAllowed, Refused
from framing.common.models import MailMessage, MailState, Role
from quotes import services
from quotes.approval_reads import approval_holds, approval_reasons
from quotes.figures_shapes import Tally
from quotes.figures_whose import ALL, Whose
from quotes.models import Alternate, LostOffer, QuoteRevision
from quotes.pipeline_facts import LOST_MOST, pipeline_rows
from quotes.pipeline_reads import PipelineFilter, pipeline_filter, pipeline_list, pipeline_sums
from tests.factories import people, quotes
from tests.factories.alternates import alternate
from tests.quotes.figures_history import Ground, Told, fill, local, seller

pytestmark = pytest.mark.django_db
D = Decimal
NOW = local(4, 20)


@pytest.fixture(autouse=True)
def in_edmonton(settings):
    settings.SPANYARD_TIME_ZONE = "America/Edmonton"


@pytest.fixture
def manager():
    return people.actor(Role.MANAGER)


def shown(manager, at=NOW, **chosen):
    return pipeline_rows(pipeline_list(manager, PipelineFilter(**chosen), at), at)


def numbers(rows):
    return [row.quote.number for row in rows]


def told(ground, owner, day, month=4, currency="USD"):
    return Told(ground, owner, local(month, day), currency)


class Street:
    """Quotes at every stage on April 20; `ground` is laid by a draft of its own, which is taken off again."""

    def __init__(self):
        ground = Ground.lay()
        self.ground_quote = QuoteRevision.objects.get().quote
        self.ada, self.cy = seller("North", "Ada"), seller("South", "Cy")
        self.draft = told(ground, self.ada, 18).draft(local(4, 18), "500")
        self.older = told(ground, self.ada, 1).draft(local(4, 1), "700")
        self.late = told(ground, self.cy, 1).issue(local(4, 1), "1500", days=60)
        self.soon = told(ground, self.cy, 5, currency="CAD").issue(local(4, 5), "2500", days=17)
        self.revised = told(ground, self.ada, 2).issue(local(4, 2), "900").draft(local(4, 19), "950")
        self.booked = told(ground, self.ada, 3).issue(local(4, 3), "3000", picks=("2800", "1000"))
        self.booked.book(local(4, 10), picked=True)
        self.declined = told(ground, self.cy, 3).issue(local(4, 3), "400").decline(local(4, 12), "price")
        self.lapsed = told(ground, self.cy, 3, 3).issue(local(3, 3), "450").lapse(local(4, 3))
        self.long_gone = told(ground, self.cy, 3, 1).issue(local(1, 3), "480").lapse(local(2, 3))
        self.ground = ground

    def number(self, *names):
        return [getattr(self, name).quote.number for name in names]


@pytest.fixture
def street():
    return Street()


def test_open_quotes_and_what_was_answered_in_the_last_thirty_days(street, manager):
    """Drafts by how long they wait, offers by what ends first, answers the latest first; each quote once."""
    rows = shown(manager)
    found = [number for number in numbers(rows) if number != street.ground_quote.number]
    assert found == street.number("older", "draft", "revised", "soon", "late", "booked", "declined", "lapsed")


def test_of_answered_quotes_the_latest_comes_first(manager):
    ground, ada = Ground.lay(), seller("North")
    days = {day: told(ground, ada, 1).issue(local(4, 1), "900").book(local(4, day)) for day in (5, 12, 8)}
    booked = [row.quote.number for row in shown(manager, stage="booked")]
    assert booked == [days[day].quote.number for day in (12, 8, 5)]


def test_value_age_and_last_day(street, manager):
    """The pick's 2,800; the draft of R2; days by the company's calendar; a last day only while the offer is open."""
    rows = {row.quote.number: row for row in shown(manager)}
    (soon, booked, revised, older) = (rows[n] for n in street.number("soon", "booked", "revised", "older"))
    assert (soon.value, soon.age_days, soon.last_day) == (D(2500), 15, date(2026, 4, 22))
    assert (booked.value, booked.age_days, booked.last_day) == (D(2800), 10, None)
    assert (revised.value, revised.revision.number, revised.age_days) == (D(950), 2, 1)
    assert (older.age_days, older.step.words) == (19, "Ready to issue")
    assert revised.step.words == "Ready to issue as R2"
    assert soon.step.words == "Lapses in 2 days, not sent yet"


def test_sums_by_stage_and_currency(street, manager):
    rows = pipeline_list(manager, PipelineFilter(stage="issued"), NOW)
    assert pipeline_sums(rows) == {
        "issued": [("CAD", Tally(1, D(2500))), ("USD", Tally(1, D(1500)))],
    }
    lately = pipeline_sums(pipeline_list(manager, PipelineFilter(), NOW))
    assert lately["lapsed"] == [("USD", Tally(1, D(450)))]
    assert lately["booked"] == [("USD", Tally(1, D(2800)))]


@pytest.mark.parametrize(
    ("chosen", "names"),
    [
        ({"stage": "issued"}, ("soon", "late")),
        ({"low": D(2500)}, ("soon", "booked")),
        ({"low": D(900), "high": D(1500)}, ("revised", "late")),
        ({"age": 19}, ("older", "late")),  # both in their stage since April 1
        ({"age": 20}, ()),
        ({"whose": Whose("team:South")}, ("soon", "late", "declined", "lapsed")),
    ],
)
def test_filters(street, manager, chosen, names):
    found = [n for n in numbers(shown(manager, **chosen)) if n != street.ground_quote.number]
    assert found == street.number(*names)


def test_a_seller_alone(street, manager):
    rows = shown(manager, whose=Whose(f"seller:{street.ada.pk}", "Ada"))
    assert numbers(rows) == street.number("older", "draft", "revised", "booked")


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER])
def test_who_sees_no_prices_sees_no_pipeline(role):
    with pytest.raises(NotAllowed):
        pipeline_list(people.actor(role), PipelineFilter(), NOW)


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (("won", "", "", ""), "stage"),
        (("", "-1", "", ""), "age"),
        (("", "12345", "", ""), "age"),
        (("", "", "much", ""), "low"),
        (("", "", "-1", ""), "low"),
        (("", "", "NaN", ""), "low"),
        (("", "", "", "1e99"), "high"),
        (("", "", "2", "1"), "high"),
    ],
)
def test_a_filter_that_is_none_is_refused_at_its_field(asked, field):
    with pytest.raises(Refused) as error:
        pipeline_filter(ALL, *asked)
    assert error.value.field == field


def test_amounts_as_people_type_them():
    chosen = pipeline_filter(ALL, "issued", "7", " $1,500.50 ", "2,000")
    assert chosen == PipelineFilter(ALL, "issued", 7, D("1500.50"), D(2000))


# --- what next steps stand on ---


def step_of(quote, at=quotes.AT):
    """The step of one quote, the day after its last move at the latest."""
    (row,) = [row for row in shown(people.actor(Role.MANAGER), at) if row.quote.pk == quote.pk]
    return row.step.words


def change(draft, **values):
    return services.revision_change(actor=person(draft.quote.owner), revision=draft, at=quotes.AT, **values)


def test_a_manager_word_is_needed_wherever_issuing_asks_for_it():
    """Each limit of R39 alone: the pipeline says the same as issuing does."""
    codes = [line.code for line in quotes.draft().lines.all() if line.unit_price and line.group != "freight"]
    codes = [code for code in codes if code != "steel_surcharge"]
    drafts = [
        quotes.draft(),
        quotes.draft(discount_share=D("0.05")),
        quotes.draft(discount_share=D("0.0501")),
        change(quotes.draft(), line_discounts={"strap": D("0.10")}),
        change(quotes.draft(), line_discounts={"strap": D("0.1001")}),
        change(quotes.draft(), line_discounts=dict.fromkeys(codes, D("0.05"))),
        change(quotes.draft(), line_discounts=dict.fromkeys(codes, D("0.0502"))),
        change(quotes.draft(), discount_share=D("0.04"), line_discounts={codes[0]: D("0.10")}),
    ]
    needed = [bool(approval_reasons(draft)) for draft in drafts]
    assert needed == [False, False, True, False, True, False, True, needed[-1]]
    words = {True: "Outside the limits: ask for approval", False: "Ready to issue"}
    assert [step_of(draft.quote) for draft in drafts] == [words[each] for each in needed]


@pytest.mark.parametrize(("cost", "needed"), [("820", False), ("820.01", True), ("1200", True)])
def test_the_margin_floor_binds_the_offer_and_its_alternates(cost, needed):
    """The floor is 18 %: 1,000 at 820 is exactly on it."""
    ground = Ground.lay()
    dear = Told(ground, seller("North"), quotes.AT).draft(quotes.AT, "1000", cost=cost)
    beside = Told(ground, seller("North"), quotes.AT).draft(quotes.AT, "1000", cost="500")
    money = {name: beside.values("1000", cost)[name] for name in ("goods", "freight", "tax", "total", "cost")}
    Alternate.objects.create(
        revision=beside.revision, letter="A", label="Other", floors=[], result={}, fits=True, **money
    )
    for draft in (dear, beside):
        assert bool(approval_reasons(draft.revision)) == needed
        assert step_of(draft.quote) == (
            "Outside the limits: ask for approval" if needed else "Ready to issue"
        )


def test_an_approval_from_asking_to_the_word():
    draft = quotes.draft(discount_share=D("0.08"))
    owner, manager = person(draft.quote.owner), people.actor(Role.MANAGER)
    at = quotes.AT
    services.approval_ask(actor=owner, revision=draft, reason="A good builder.", at=at)
    assert step_of(draft.quote) == "Waits for approval"
    services.approval_question(actor=manager, revision=draft, text="How good?", at=at)
    assert step_of(draft.quote) == "The manager asked back: answer"
    services.approval_answer(actor=owner, revision=draft, text="Twelve houses.", at=at)
    services.approval_decide(
        actor=manager, revision=draft, granted=False, answer="Too much.", total_seen=draft.total, at=at
    )
    assert step_of(draft.quote) == "Approval refused: change the price"
    lower = change(draft, discount_share=D("0.07"))
    assert step_of(lower.quote) == "Outside the limits: ask for approval"
    services.approval_ask(actor=owner, revision=lower, reason="Less.", at=at)
    services.approval_decide(
        actor=manager, revision=lower, granted=True, answer="", total_seen=lower.total, at=at
    )
    assert approval_holds(lower)
    assert step_of(lower.quote) == "Approved, ready to issue"


def test_an_approval_ends_with_an_alternate_that_came_after_it():
    draft = quotes.draft(discount_share=D("0.08"))
    owner, manager = person(draft.quote.owner), people.actor(Role.MANAGER)
    services.approval_ask(actor=owner, revision=draft, reason="A good builder.", at=quotes.AT)
    services.approval_decide(
        actor=manager, revision=draft, granted=True, answer="", total_seen=draft.total, at=quotes.AT
    )
    alternate(draft)
    assert not approval_holds(draft)
    assert step_of(draft.quote) == "Outside the limits: ask for approval"


def test_a_member_that_fails_in_the_offer_or_an_alternate():
    ground = Ground.lay()
    told = Told(ground, seller("North"), quotes.AT).draft(quotes.AT, "1000")
    money = {name: told.values("900", "100")[name] for name in ("goods", "freight", "tax", "total", "cost")}
    other = Alternate.objects.create(
        revision=told.revision, letter="A", label="Other", floors=[], result={}, fits=False, **money
    )
    assert step_of(told.quote) == "A member fails: change the floor or record a release"
    other.delete()
    assert step_of(told.quote) == "Ready to issue"
    QuoteRevision.objects.filter(pk=told.revision.pk).update(fits=False)
    assert step_of(told.quote) == "A member fails: change the floor or record a release"


def test_an_offer_from_sending_to_the_question():
    revision = quotes.issued()
    quote, owner, later = revision.quote, person(revision.quote.owner), quotes.AT + timedelta(days=2)
    assert step_of(quote) == "Issued, not sent yet"
    (mail,) = services.quote_send(
        actor=owner,
        revision=revision,
        people=[("Sam", "sam@builder.example")],
        key=quotes.key(),
        at=quotes.AT,
    )
    assert step_of(quote, later) == "Link made 2 days ago, not opened yet"
    type(mail.link).objects.filter(pk=mail.link_id).update(
        opened_at=quotes.AT + timedelta(days=1), opened_count=1
    )
    assert step_of(quote, later) == "Builder opened it yesterday, no answer"
    MailMessage.objects.filter(pk=mail.pk).update(
        state=MailState.BOUNCED, sent_at=quotes.AT, link_seed="", answer="550 no such box"
    )
    assert step_of(quote, later) == "A mail did not arrive: send again"
    services.thread_ask(actor=quotes.builder(revision), revision=revision, text="Can it be red?", at=later)
    assert step_of(quote, later) == "Question from the builder unanswered"
    services.thread_answer(actor=owner, quote=quote, text="Yes.", at=later)  # a new mail to the same address
    assert step_of(quote, later) == "Builder opened it yesterday, no answer"


def test_a_later_mail_to_the_same_address_makes_the_lost_one_good():
    revision = quotes.issued()
    for state in (MailState.FAILED, MailState.SENT):
        (mail,) = services.quote_send(
            actor=person(revision.quote.owner),
            revision=revision,
            people=[("Sam", "Sam@builder.example")],
            key=quotes.key(),
            at=quotes.AT,
        )
        MailMessage.objects.filter(pk=mail.pk).update(state=state, sent_at=quotes.AT, link_seed="")
    assert step_of(revision.quote) == "Link made today, not opened yet"


def test_a_reason_in_somebodys_own_words_is_said_and_cut():
    ground = Ground.lay()
    told = Told(ground, seller("North"), quotes.AT).issue(quotes.AT, "1000")
    told.decline(quotes.AT, "other", "Built in wood " * 20)
    assert LostOffer.objects.get().words
    words = step_of(told.quote).removeprefix("Declined today: ")
    assert words.startswith("built in wood")
    assert len(words) == LOST_MOST - 1  # cut before a blank
    assert words.endswith("…")


def test_as_many_queries_for_ten_quotes_as_for_five_hundred(manager):
    ground, owner = Ground.lay(), seller("North")

    def queries():
        with CaptureQueriesContext(connection) as caught:
            rows = pipeline_list(manager, PipelineFilter(), NOW)
            pipeline_sums(rows)
            found = len(pipeline_rows(rows, NOW))
        return found, len(caught)

    fill(ground, owner, 9, local(4, 1))
    few, first = queries()
    fill(ground, owner, 490, local(4, 2))
    many, second = queries()
    assert (few, many) == (10, 500)  # the ground's own draft is one
    assert first == second
    assert first <= 11
