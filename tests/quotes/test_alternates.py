"""Alternates of a draft (R42): added, priced like the base, renamed, taken away, copied by a new revision."""

from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction

from framing.common.actors import person
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.models import AuditEntry, Role
from framing.projects import services as projects_services
from quotes import selectors, services
from quotes.alternate_figures import figures_of, offer_figures
from quotes.history import history
from quotes.models import Acceptance, Alternate, AlternateLine
from quotes.services import Choice
from quotes.services.designing import price_draft
from tests.factories import people, projects, quotes
from tests.factories.alternates import DEEP, alternate, choice, issued_with_one

pytestmark = pytest.mark.django_db


def owner(revision):
    return person(revision.quote.owner)


def save_floor(revision, document):
    floor = revision.quote.project.floors.get()
    projects_services.floor_save(
        actor=owner(revision), at=quotes.AT, floor=floor, document=document, base_version=floor.version
    )


def test_an_alternate_is_framed_by_its_choice_and_priced_like_the_base():
    draft = quotes.draft(discount_share=Decimal("0.02"))
    made = alternate(draft)
    assert (made.letter, made.label, made.fits) == ("A", "Deeper joist at 24 in", True)
    package = selectors.package_of(made)
    layout = package.floors[0].bays[0]
    assert (layout.profile, layout.bay.spacing_16) == (DEEP, 24 * 16)
    assert figures_of(Alternate.objects.get().figures) == offer_figures(package)
    priced = price_draft(draft, package, draft.price_book, {})
    assert (made.goods, made.freight, made.tax) == (priced.goods, priced.freight, priced.tax)
    assert (made.total, made.cost) == (priced.total, priced.cost)
    assert [(line.code, line.extension) for line in made.lines.all()] == [
        (line.code, line.extension) for line in priced.lines
    ]
    assert any(line.code.startswith("discount:") for line in made.lines.all())
    draft.refresh_from_db()
    assert selectors.package_of(draft).floors[0].bays[0].bay.spacing_16 == 16 * 16, "the base stays"


def test_letters_go_from_a_to_d_and_a_fifth_is_refused():
    draft = quotes.draft()
    made = [alternate(draft, spacing=s, profile=p) for p, s in
            ((DEEP, "24"), (DEEP, "19.2"), (DEEP, "12"), ("1200S162-54", "24"))]  # fmt: skip
    assert [one.letter for one in made] == ["A", "B", "C", "D"]
    with pytest.raises(Clash, match="4 alternates already"):
        alternate(draft, profile="1200S162-54", spacing="19.2")
    services.alternate_remove(actor=owner(draft), revision=draft, letter="B", at=quotes.AT)
    assert list(draft.alternates.values_list("letter", flat=True)) == ["A", "C", "D"]
    assert alternate(draft, profile="1200S162-54", spacing="19.2").letter == "B"


@pytest.mark.parametrize("label", ["", "   ", "x" * 81])
def test_an_alternate_has_a_name(label):
    draft = quotes.draft()
    with pytest.raises(Refused) as caught:
        alternate(draft, label)
    assert caught.value.field == "label"
    assert not Alternate.objects.exists()


def test_what_is_not_there_or_does_not_differ_is_refused_by_name():
    draft = quotes.draft()
    key = draft.floors[0]["floor"]

    def add(*choices, **more):
        return services.alternate_add(
            actor=owner(draft), revision=draft, label="Other", choices=choices, at=quotes.AT, **more
        )

    with pytest.raises(Refused, match="like the base offer"):
        add()
    with pytest.raises(Refused, match="no floor of this quote") as caught:
        add(Choice("0" * 20, "A", DEEP, "24"))
    assert caught.value.field == "floor"
    with pytest.raises(Refused, match="has no bay “Z”"):
        add(Choice(key, "Z", DEEP, "24"))
    with pytest.raises(Refused, match="“no such” at “24” is not offered"):
        add(Choice(key, "A", "no such", "24"))
    with pytest.raises(Refused, match="at “17” is not offered"):
        add(Choice(key, "A", DEEP, "17"))
    with pytest.raises(Refused):
        add(documents={key: {"format": "other"}})
    assert not Alternate.objects.exists()


def far_spanning():
    """A draft whose joists span 20 ft, which the thinnest profile does not carry at 24 in."""
    home = projects.project()
    projects.floor(home, depth="20'", name="Wide floor")
    return quotes.draft(of=home)


def test_a_choice_that_fails_as_framed_is_no_offer():
    draft = far_spanning()
    with pytest.raises(Refused, match="Framed so it fails: Joist") as caught:
        alternate(draft, profile="800S200-43")
    assert caught.value.field == "choices"
    assert not Alternate.objects.exists()


def test_an_alternate_may_stand_on_a_document_of_its_own():
    draft = quotes.draft()
    wide = projects.document(name=draft.floors[0]["name"], width="30'")
    key = draft.floors[0]["floor"]
    made = services.alternate_add(
        actor=owner(draft), revision=draft, label="Wider", documents={key: wide}, at=quotes.AT
    )
    assert made.floors[0]["own"] is True
    assert made.floors[0]["document"] == wide
    assert len(selectors.package_of(made).floors[0].pieces) > len(
        selectors.package_of(draft).floors[0].pieces
    )


def test_discounts_and_terms_reprice_alternates_too():
    draft = quotes.draft()
    made = alternate(draft)
    before = made.goods
    services.revision_change(actor=owner(draft), revision=draft, at=quotes.AT, discount_share=Decimal("0.05"))
    made.refresh_from_db()
    draft.refresh_from_db()
    assert made.goods < before
    assert made.goods == price_draft(draft, selectors.package_of(made), draft.price_book, {}).goods


def test_a_new_revision_takes_alternates_along_on_the_new_floors():
    first = issued_with_one()
    save_floor(first, projects.document(name=first.floors[0]["name"], width="28'"))
    second = services.revision_revise(actor=owner(first), quote=first.quote, at=quotes.AT)
    old, new = first.alternates.get(), second.alternates.get()
    assert (new.letter, new.label, new.choices) == (old.letter, old.label, old.choices)
    assert new.pk != old.pk
    plan = selectors.package_of(new).floors[0].plan
    assert max(corner.x_16 for corner in plan.outline) == 28 * 192
    assert new.total > old.total
    assert new.total == price_draft(second, selectors.package_of(new), second.price_book, {}).total
    assert selectors.alternates_left_out(second) == []


def test_what_cannot_be_framed_on_the_new_floors_falls_out_and_is_told():
    draft = quotes.draft()
    made = alternate(draft)
    document = projects.document(name=draft.floors[0]["name"])
    document["bays"] = [document["bays"][0] | {"id": "B"}]
    save_floor(draft, document)
    services.draft_reprice(actor=owner(draft), revision=draft, at=quotes.AT)
    assert not Alternate.objects.filter(pk=made.pk).exists()
    (why,) = selectors.alternates_left_out(draft)
    assert why.startswith("alternate A “Deeper joist at 24 in”: ")
    assert "has no bay “A”" in why
    assert "left out alternate A" in history(draft.quote, [draft])[0].words


def test_an_alternate_that_the_floors_have_become_falls_out():
    draft = quotes.draft()
    alternate(draft)
    save_floor(draft, projects.document(name=draft.floors[0]["name"]) | {
        "bays": [draft.alternates.get().floors[0]["document"]["bays"][0]]})  # fmt: skip
    services.draft_reprice(actor=owner(draft), revision=draft, at=quotes.AT)
    (why,) = selectors.alternates_left_out(draft)
    assert "framed like the base offer" in why


def test_an_alternate_is_renamed_and_the_trail_tells():
    draft = quotes.draft()
    alternate(draft)
    named = services.alternate_rename(
        actor=owner(draft), revision=draft, letter="A", label="  24 in\n apart ", at=quotes.AT
    )
    assert named.label == "24 in apart"
    with pytest.raises(NotThere):
        services.alternate_rename(actor=owner(draft), revision=draft, letter="C", label="x", at=quotes.AT)
    services.alternate_remove(actor=owner(draft), revision=draft, letter="A", at=quotes.AT)
    words = [line.words for line in history(draft.quote, [draft])]
    assert words[0].endswith("took away alternate A “24 in apart”")
    assert words[1].endswith("renamed alternate A “Deeper joist at 24 in” to “24 in apart”")
    assert "added alternate A “Deeper joist at 24 in” at $" in words[2]


def test_missing_prices_name_the_alternate():
    document = quotes.price_document()
    draft = quotes.draft()
    kept = {line.code for line in draft.lines.all()} | {"cutting", "punching"}
    quotes.price_book(
        items=[item for item in document["items"] if item["code"] in kept],
        number=901,
        valid_from="2026-11-03",
    )
    services.draft_reprice(actor=owner(draft), revision=draft, at=quotes.AT)
    draft.refresh_from_db()
    draft = selectors.revision_get(draft.public_id)
    deep = next(p for p in ("1200S162-54", DEEP) if p not in kept)
    with pytest.raises(Refused, match="Alternate A: Price book") as caught:
        alternate(draft, profile=deep)
    assert any(deep in entry["code"] for entry in caught.value.detail)


# --- who may ---


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR, Role.SELLER])
def test_only_the_owner_and_managers_change_alternates(role):
    draft = quotes.draft()
    alternate(draft)
    stranger = people.actor(role)
    acts = (
        lambda: services.alternate_add(
            actor=stranger, revision=draft, label="x", choices=[choice(draft, spacing="12")], at=quotes.AT
        ),
        lambda: services.alternate_rename(
            actor=stranger, revision=draft, letter="A", label="x", at=quotes.AT
        ),
        lambda: services.alternate_remove(actor=stranger, revision=draft, letter="A", at=quotes.AT),
    )
    for act in acts:
        with pytest.raises(NotAllowed):
            act()
    manager = people.actor(Role.MANAGER)
    services.alternate_rename(actor=manager, revision=draft, letter="A", label="By the manager", at=quotes.AT)
    assert draft.alternates.get().label == "By the manager"


# --- approval ---


def test_the_worst_margin_asks_for_approval_and_a_moved_alternate_ends_it():
    draft = quotes.draft()
    made = alternate(draft, "Wide", profile="1200S162-97", spacing="12")
    low, high = sorted((draft.margin, made.margin))
    between = ((low + high) / 2).quantize(Decimal("0.0001"))
    worse = made if made.margin < draft.margin else draft
    draft.price_book.margin_floor = between
    reasons = selectors.approval_reasons(draft)
    assert len(reasons) == 1
    assert reasons[0].startswith("Alternate A: margin" if worse is made else "Margin")


def test_an_approval_holds_for_the_alternates_it_saw():
    draft = quotes.draft(discount_share=Decimal("0.06"))
    alternate(draft)
    services.approval_ask(actor=owner(draft), revision=draft, reason="Big builder", at=quotes.AT)
    manager = people.actor(Role.MANAGER)
    alternate(draft, "Closer", spacing="12")
    told = {"actor": manager, "revision": draft, "answer": "", "total_seen": draft.total, "at": quotes.AT}
    with pytest.raises(Clash, match=r"alternates of .* moved from A "):
        services.approval_decide(granted=True, **told)
    services.approval_decide(granted=True, alternates_seen=selectors.alternates_seen(draft), **told)
    assert selectors.approval_holds(draft)
    services.alternate_remove(actor=owner(draft), revision=draft, letter="B", at=quotes.AT)
    assert not selectors.approval_holds(draft)
    with pytest.raises(Refused, match="must approve"):
        services.revision_issue(actor=owner(draft), revision=draft, key=quotes.key(), at=quotes.AT)


# --- issued, accepted ---


def test_nothing_of_an_issued_alternate_changes_by_service_or_sql():
    revision = issued_with_one()
    made = revision.alternates.get()
    for act in (
        lambda: services.alternate_remove(actor=owner(revision), revision=revision, letter="A", at=quotes.AT),
        lambda: alternate(revision, spacing="12"),
    ):
        with pytest.raises(Clash, match="never changes"):
            act()
    draft = quotes.draft()
    other = alternate(draft)
    line = made.lines.first()
    attempts = (
        lambda: Alternate.objects.filter(pk=made.pk).update(label="Cheaper"),
        lambda: Alternate.objects.filter(pk=made.pk).delete(),
        lambda: Alternate.objects.filter(pk=made.pk).update(revision=draft, letter="D"),
        lambda: Alternate.objects.filter(pk=other.pk).update(revision=revision, letter="D"),
        lambda: AlternateLine.objects.filter(pk=line.pk).update(extension=1),
        lambda: AlternateLine.objects.filter(pk=line.pk).delete(),
        lambda: AlternateLine.objects.filter(pk=line.pk).update(alternate=other, position=999),
        lambda: AlternateLine.objects.create(
            alternate=made, position=998, group="members", code="x", description="x", item_class="material",
            quantity=1, sold_by="ft", unit_price=1, unit_cost=1, extension=1, tax=0,
        ),
    )  # fmt: skip
    for attempt in attempts:
        with pytest.raises(DatabaseError, match="issued revision are fixed"), transaction.atomic():
            attempt()
    assert Alternate.objects.get(pk=made.pk).label == "Deeper joist at 24 in"


def test_the_database_holds_letters_sums_and_names():
    draft = quotes.draft()
    made = alternate(draft)
    wrongs = (
        {"letter": "E"}, {"label": ""}, {"total": made.total + 1},
    )  # fmt: skip
    for wrong in wrongs:
        with pytest.raises(DatabaseError), transaction.atomic():
            Alternate.objects.filter(pk=made.pk).update(**wrong)
    second = alternate(draft, spacing="12")
    with pytest.raises(DatabaseError, match="alternate_letter_once"), transaction.atomic():
        Alternate.objects.filter(pk=second.pk).update(letter="A")


def test_a_failing_alternate_needs_the_release_in_the_database_too():
    draft = far_spanning()
    key = draft.floors[0]["floor"]
    weak = projects.document(name="Wide floor", depth="20'")
    weak["bays"][0] |= {"profile": "800S200-43", "spacing": "24"}
    made = services.alternate_add(
        actor=owner(draft), revision=draft, label="Thin", documents={key: weak}, at=quotes.AT
    )
    assert made.fits is False
    with pytest.raises(Refused, match="has an alternate with members that fail") as caught:
        services.revision_issue(actor=owner(draft), revision=draft, key=quotes.key(), at=quotes.AT)
    assert caught.value.field == "release_reason"
    with pytest.raises(DatabaseError, match="not released"), transaction.atomic():
        type(draft).objects.filter(pk=draft.pk).update(issued_at=quotes.AT, valid_until=quotes.AT)
    done = services.revision_issue(
        actor=owner(draft),
        revision=draft,
        key=quotes.key(),
        at=quotes.AT,
        release_reason="Engineer, letter 12",
    )
    assert done.release_reason == "Engineer, letter 12"


def accept(revision, letter, **more):
    return services.quote_accept(
        actor=quotes.builder(revision), revision=revision, name="Rae Winter", key=quotes.key(),
        at=quotes.AT, alternate=letter, **more,
    )  # fmt: skip


def test_the_builder_picks_an_alternate_and_the_trail_names_it():
    revision = issued_with_one()
    picked = revision.alternates.get()
    done = accept(revision, "A")
    assert done.alternate == picked
    assert selectors.alternate_picked(revision) == picked
    assert selectors.package_accepted(revision) == selectors.package_of(picked)
    assert selectors.package_accepted(revision) != selectors.package_of(revision)
    entry = AuditEntry.objects.get(verb="quote_accept")
    assert (entry.change["alternate"], entry.change["total"]) == ("A", str(picked.total))
    assert (
        f"accepted alternate A of revision 1 at ${picked.total:,.2f}"
        in history(revision.quote, [revision])[0].words
    )
    assert selectors.quote_list().get(pk=revision.quote_id).latest_total == picked.total


def test_without_a_pick_the_base_is_accepted():
    revision = issued_with_one()
    assert accept(revision, "").alternate is None
    assert selectors.package_accepted(revision) == selectors.package_of(revision)
    assert selectors.quote_list().get(pk=revision.quote_id).latest_total == revision.total


def test_only_what_is_offered_can_be_picked():
    revision = issued_with_one()
    with pytest.raises(Refused, match="offers no alternate “B”") as caught:
        accept(revision, "B")
    assert caught.value.field == "alternate"
    assert not Acceptance.objects.exists()
    other = issued_with_one()
    with pytest.raises(DatabaseError, match="another revision"), transaction.atomic():
        Acceptance.objects.create(
            quote=revision.quote, revision=revision, alternate=other.alternates.get(), name="Rae",
            at=quotes.AT, recorded_by=revision.quote.owner, why="By phone.",
        )  # fmt: skip
