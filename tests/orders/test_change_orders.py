"""Change orders (R45): asked, offered, accepted, put into the order; nothing rolled vanishes, nothing stands twice."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from framing.common.actors import SYSTEM, person
from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.models import OutboxEntry, Role
from orders import services
from orders.bundle_reads import bundle_table
from orders.change_facts import change_found
from orders.change_reads import ChangeState, change_list, change_shown, change_state, floors_now
from orders.models import Bundle, Carton, ChangeOrder, LinePin, Order, PastCode, Piece
from orders.services import change_rows
from orders.services.bundles import Step
from orders.shop_models import new_code
from orders.tasks import apply_change
from quotes import selectors
from quotes import services as quotes_services
from quotes.models import Acceptance, QuoteRevision
from quotes.selectors import package_accepted
from tests.factories import changes, lines, orders, people, quotes

pytestmark = pytest.mark.django_db
AT = orders.AT


def live_keys(order: Order) -> list[tuple[str, int, str]]:
    return sorted(order.pieces.filter(dropped_by=None).values_list("floor", "copy", "piece_id"))


def wanted_keys(order: Order) -> list[tuple[str, int, str]]:
    """What the agreed package asks for."""
    return sorted(
        (floor.plan.name, copy, piece.id)
        for floor in package_accepted(order.revision).floors
        for copy in range(1, floor.plan.repeat + 1)
        for piece in floor.pieces
    )


def check_whole(order: Order) -> None:
    """Every piece once with the steel agreed; bundles' figures are those of what lies in them."""
    assert live_keys(order) == wanted_keys(order)
    steel = {
        (floor.plan.name, copy, piece.id): (piece.mark, piece.profile, piece.length_16, piece.sequence)
        for floor in package_accepted(order.revision).floors
        for copy in range(1, floor.plan.repeat + 1)
        for piece in floor.pieces
    }
    for row in order.pieces.filter(dropped_by=None):
        found = (row.mark, row.profile, row.length_16, row.sequence)
        assert steel[row.floor, row.copy, row.piece_id] == found
    for bundle in order.bundles.all():
        pieces = list(bundle.pieces.order_by("position"))
        assert pieces, f"bundle {bundle.number} is empty"
        assert {piece.profile for piece in pieces} == {bundle.profile}
        assert abs(sum(piece.weight_lb for piece in pieces) - bundle.weight_lb) <= Decimal("0.1")
        assert bundle.length_16 == max(piece.length_16 for piece in pieces)
        assert len({piece.position for piece in pieces}) == len(pieces)
    loose = order.pieces.filter(bundle=None, dropped_by=None, length_16__gte=4 * 192)
    assert not loose.exclude(kind="block").exists()
    packed = [
        (carton.number, carton.title, [list(line) for line in carton.contents])
        for carton in package_accepted(order.revision).cartons
    ]
    assert list(order.cartons.order_by("number").values_list("number", "title", "contents")) == packed


def test_before_release_the_order_only_moves_on_to_the_new_offer() -> None:
    order = orders.approved()
    was = order.revision
    change = changes.asked(order)
    assert (change.number, change.revision.number, change.revision.after_booking) == (1, 2, True)
    with pytest.raises(Refused, match="Change order 1 is open"):
        services.order_release(actor=people.actor(Role.PLANNER), at=AT, order=order)
    change = changes.applied(change)
    order = orders.fresh(order)
    assert order.revision == change.revision
    assert order.stage == "booked"
    assert order.drawings_approved_at is None, "the drawings show other floors now"
    assert change.price_change == change.revision.total - was.total < 0
    assert order.revision.quote.stage == "booked"
    assert order.revision.quote.moves.filter(to_stage="booked").count() == 1
    services.drawings_approve(actor=people.actor(Role.PLANNER), at=AT, order=order)
    order = services.order_release(actor=people.actor(Role.PLANNER), at=AT, order=order)
    check_whole(orders.fresh(order))


def test_what_is_rolled_stays_and_is_flagged_what_is_not_goes() -> None:
    order = changes.half_rolled()
    finished = order.bundles.get(finished_at__isnull=False)
    held = set(finished.pieces.values_list("pk", flat=True))
    change = changes.asked(order, depth="13'", width="20'")
    shown = change_shown(change)
    assert shown.rolled == len(held)
    change = changes.applied(change)
    order = orders.fresh(order)
    check_whole(order)
    assert set(finished.pieces.values_list("pk", flat=True)) == held
    dropped = order.pieces.filter(dropped_by=change)
    assert {piece.pk for piece in dropped} == held
    told = change_shown(change)
    assert told == shown
    assert told.rolled_lb == sum(piece.weight_lb for piece in dropped)
    assert told.rolled_16 == sum(piece.length_16 for piece in dropped)
    assert change.difference["bundles"]["stay"] == [finished.number]
    assert order.stage == "rolling"


def test_kept_steel_keeps_its_row_and_code_whatever_its_mark() -> None:
    order = changes.half_rolled()
    before = {piece.pk: (piece.code, piece.length_16) for piece in order.pieces.all()}
    change = changes.applied(changes.asked(order, width="20'"))
    order = orders.fresh(order)
    check_whole(order)
    kept = order.pieces.filter(pk__in=before, dropped_by=None)
    assert kept.count() == change.difference["kept"] > 0
    assert all(before[piece.pk] == (piece.code, piece.length_16) for piece in kept)
    assert OutboxEntry.objects.filter(kind="bundle_tags", key=f"{order.pk} change {change.pk}").exists()


def test_added_pieces_take_a_bundled_order_back_to_rolling() -> None:
    order = orders.bundled()
    was = order.bundles.count()
    change = changes.applied(changes.asked(order, width="30'"))
    order = orders.fresh(order)
    check_whole(order)
    assert order.stage == "rolling"
    assert order.bundles.count() > was
    assert change.difference["bundles"]["new"]
    assert order.bundles.filter(finished_at=None).count() == len(change.difference["bundles"]["new"])


def test_the_pin_of_a_bundle_goes_with_it_and_other_pins_stay() -> None:
    # 17 joists in two bundles; 7 joists of a floor of 10 ft (at 16, ... 112 in) fit into one
    order = orders.released()
    lines.line()
    planner, day = people.actor(Role.PLANNER), lines.working_day(3)
    for bundle in order.bundles.all():
        services.bundle_pin(actor=planner, at=AT, bundle=bundle, day=day, line=None)  # type: ignore[arg-type]
    assert sorted(LinePin.objects.values_list("bundle__number", flat=True)) == [1, 2]
    change = changes.applied(changes.asked(order, width="10'"))
    check_whole(orders.fresh(order))
    gone = change.difference["bundles"]["gone"]
    assert len(gone) == 1
    (stays,) = order.bundles.all()
    assert list(LinePin.objects.values_list("bundle", "day")) == [(stays.pk, day)]
    assert {stays.number, *gone} == {1, 2}


def test_steel_flagged_by_one_change_is_taken_up_by_a_later_one() -> None:
    order = changes.half_rolled()
    finished = order.bundles.get(finished_at__isnull=False)
    held = list(finished.pieces.order_by("position").values_list("pk", "code", "length_16"))
    changes.applied(changes.asked(order, depth="13'"))
    assert finished.pieces.exclude(dropped_by=None).count() == len(held)
    assert order.bundles.filter(finished_at=None).exists()
    second = changes.asked(orders.fresh(order), depth="14'", width="12'")
    shown = change_shown(second)
    assert (shown.taken_up, shown.added) == (8, 0), "8 joists (at 16, ... 128 in): all lie there"
    second = changes.applied(second)
    order = orders.fresh(order)
    check_whole(order)
    assert change_shown(second) == shown
    assert list(finished.pieces.order_by("position").values_list("pk", "code", "length_16")) == held
    assert finished.pieces.filter(dropped_by=None).count() == 8
    assert finished.number in second.difference["bundles"]["tags"]
    assert (order.stage, order.pieces.count()) == ("bundled", len(held))


def test_what_was_flagged_before_its_bundle_was_finished_is_rolled_after_all() -> None:
    """The shop was told not to roll it, and finished the bundle without it."""
    order = orders.released()
    shop, first = people.actor(Role.SHOP), order.bundles.get(number=1)
    services.bundle_start(actor=shop, at=AT, bundle=first)
    count = first.pieces.count()
    changes.applied(changes.asked(order, depth="13'"))
    assert first.pieces.exclude(dropped_by=None).count() == count
    back = changes.asked(orders.fresh(order), depth="14'")
    assert change_shown(back).taken_up == count, "the bundle is open: it can be rolled still"
    assert floors_now(orders.fresh(order), AT).rows == change_shown(back).rows
    services.bundle_finish(actor=shop, at=AT + timedelta(hours=1), bundle=first)
    assert change_shown(back).taken_up == 0
    changes.applied(back)
    check_whole(orders.fresh(order))
    assert first.pieces.filter(dropped_by=None).count() == 0


def test_a_start_that_was_taken_back_counts_as_begun() -> None:
    """Nobody knows what was rolled in that minute, and the shop's taps stay on record."""
    order = orders.released()
    first, second = order.bundles.order_by("number")
    tap = services.bundle_start(actor=people.actor(Role.SHOP), at=AT, bundle=first)
    services.tap_undo(actor=person(tap.by), at=AT, undoes=tap.action_id)
    first.refresh_from_db()
    assert first.started_at is None
    held = set(first.pieces.values_list("pk", flat=True))
    change = changes.asked(order, depth="13'")
    assert change_shown(change).rolled == len(held)
    changes.applied(change)
    assert set(first.pieces.filter(dropped_by=change).values_list("pk", flat=True)) == held
    assert not order.bundles.filter(pk=second.pk).exists()
    check_whole_but(orders.fresh(order), first)


def test_a_piece_that_the_shop_had_in_hand_stays_though_its_bundle_goes() -> None:
    """Scrapped by mistake, taken back, moved by the planner: the tap names it, so its row stays, in no bundle."""
    order = orders.released()
    first, second = order.bundles.order_by("number")
    shop = people.actor(Role.SHOP)
    piece = first.pieces.order_by("position").last()
    assert piece is not None
    taps = [
        services.bundle_start(actor=shop, at=AT, bundle=first),
        services.piece_scrap(actor=shop, at=AT, piece=piece, reason="bent"),
    ]
    for tap in reversed(taps):
        services.tap_undo(actor=shop, at=AT, undoes=tap.action_id)
    services.bundles_edit(
        actor=people.actor(Role.PLANNER), at=AT, order=order, version=bundle_table(order).version,
        step=Step("move", pieces=(piece.code,), to=second.number),
    )  # fmt: skip
    change = changes.applied(changes.asked(order, depth="13'"))
    piece.refresh_from_db()
    assert (piece.dropped_by, piece.bundle, piece.position) == (change, None, 0)
    assert not order.bundles.filter(pk=second.pk).exists()
    assert order.pieces.filter(dropped_by=change).count() == first.pieces.count() + 1
    check_whole_but(orders.fresh(order), first)


def test_a_bundle_whose_pieces_only_get_another_mark_wants_a_new_tag() -> None:
    order = changes.half_rolled()
    first = order.bundles.get(finished_at__isnull=False)
    held = list(first.pieces.order_by("position").values_list("pk", flat=True))
    first.pieces.update(mark="J99")
    change = changes.applied(changes.asked(order, width="30'"))
    check_whole(orders.fresh(order))
    assert list(first.pieces.order_by("position").values_list("pk", flat=True)) == held
    told = change.difference["bundles"]
    assert first.number in told["tags"]
    assert first.number not in [*told["anew"], *told["new"], *told["stay"]]


def test_cartons_are_those_of_the_change_and_what_is_over_is_known_as_old() -> None:
    order = orders.released()
    number = order.cartons.count() + 1
    left = Carton.objects.create(order=order, number=number, title="Screws", contents=[], weight_lb=1)
    changes.applied(changes.asked(order, width="20'"))
    check_whole(orders.fresh(order))
    assert not order.cartons.filter(number=number).exists()
    past = PastCode.objects.get(code=left.code)
    assert (past.order, past.number, past.is_carton, past.why) == (order, number, True, "change 1")


def test_a_bundle_that_holds_as_many_but_other_pieces_is_written_anew() -> None:
    order = orders.released()
    bundles = {row.pk: row for row in order.bundles.all()}
    before = change_rows._contents(order, bundles)
    gone = order.bundles.get(number=1).pieces.order_by("position").first()
    assert gone is not None
    tag = order.bundles.get(number=1).code
    new = Piece.objects.get(pk=gone.pk)
    gone.delete()
    new.pk, new.code, new.bundle, new.position, new.piece_id = None, new_code(), None, 0, "J99/1"
    new.save(force_insert=True)
    anew, added, left = change_rows._bundle(order, [new], set(), before, "change 1")
    new.refresh_from_db()
    assert new.bundle is not None
    assert (anew, added, left) == ((new.bundle.number,), (), ())
    assert new.bundle.pieces.count() == len(before[new.bundle.number])
    assert new.bundle.code != tag


def test_steel_in_begun_bundles_is_used_before_any_other() -> None:
    # 17 joists at 16 in over 24 ft become 13 at 12 in over 14 ft: 3 stand where one stood (at 48, 96, 144 in), 10 of
    # the same steel come from elsewhere, out of the begun bundle first; 4 that nobody has rolled are needed no more
    for number in (1, 2):
        order = orders.released()
        (profile,) = set(order.bundles.values_list("profile", flat=True))
        services.bundle_start(actor=people.actor(Role.SHOP), at=AT, bundle=order.bundles.get(number=number))
        change = changes.asked(order, spacing="12", width="14'", profile=profile)
        shown = change_shown(change)
        assert (shown.kept, shown.removed, shown.rolled) == (13, 4, 0)
        check_begun_first(change)


def check_begun_first(change: ChangeOrder) -> None:
    """No begun steel is needed no more while the same steel, not begun, is used in another place; what is, is told."""
    found, shown = change_found(change), change_shown(change)
    wasted = [piece for piece in found.difference.gone if piece in found.begun]
    moved = [was for was, now in found.difference.kept if was.there != now.there]
    steel = {piece.steel for piece in wasted}
    assert not [piece for piece in moved if piece not in found.begun and piece.steel in steel]
    assert (shown.rolled, shown.rolled_16) == (len(wasted), sum(piece.length_16 for piece in wasted))
    assert shown.rolled_lb == sum(found.rows[piece].weight_lb for piece in wasted)


def check_whole_but(order: Order, begun: Bundle) -> None:
    """The order is whole apart from a bundle that holds flagged steel alone."""
    assert not begun.pieces.filter(dropped_by=None).exists()
    assert live_keys(order) == wanted_keys(order)
    assert not order.bundles.exclude(pk=begun.pk).filter(pieces__dropped_by__isnull=False).exists()


def test_the_yes_asks_the_worker_who_does_it_once() -> None:
    order = orders.released()
    change = changes.asked(order)
    accepted = changes.accepted(change)
    assert Acceptance.objects.filter(quote=accepted.quote).count() == 2
    entry = OutboxEntry.objects.get(kind="change_apply")
    assert change_state(change_list(order)[0], AT) == ChangeState.ACCEPTED
    for _ in range(2):
        apply_change(entry.payload)
    assert Order.objects.count() == 1
    assert audit_list(order).filter(verb="change_apply").count() == 1
    assert change_state(change_list(order)[0], AT) == ChangeState.APPLIED
    again = services.order_book(actor=SYSTEM, at=AT, quote=accepted.quote)
    assert again == order, "booking again finds the order though it goes by another revision"


def test_taken_back_nobody_can_accept_it_and_another_can_be_asked() -> None:
    order = orders.released()
    change = changes.asked(order)
    revision = changes.issued(change)
    builder = quotes.builder(revision)
    seller = person(order.owner)
    with pytest.raises(Refused, match="Say why"):
        services.change_withdraw(actor=seller, at=AT, change=change, why=" ")
    services.change_withdraw(actor=seller, at=AT, change=change, why="The hall stays")
    with pytest.raises(Clash, match="taken back"):
        quotes_services.quote_accept(actor=builder, revision=revision, name="Rae", key="late", at=AT)
    with pytest.raises(Clash, match="taken back"):
        services.change_withdraw(actor=seller, at=AT, change=change, why="Again")
    assert selectors.quote_list().get().latest_number == 1
    second = services.change_ask(actor=seller, at=AT, order=order, why="Smaller after all")
    assert (second.number, second.revision.number) == (2, 3)


def test_what_is_refused_says_why_and_what_to_do() -> None:
    order = orders.released()
    seller = person(order.owner)
    change = changes.asked(order)
    with pytest.raises(Clash, match=r"Change 1 of order .* is open. Finish it, or take it back"):
        services.change_ask(actor=seller, at=AT, order=order, why="More")
    with pytest.raises(Clash, match="has not accepted change 1"):
        services.change_apply(actor=seller, at=AT, change=change)
    changes.accepted(change)
    with pytest.raises(Clash, match="accepted change 1; put it into the order"):
        services.change_withdraw(actor=seller, at=AT, change=change, why="No")
    services.change_apply(actor=seller, at=AT, change=change)
    assert services.change_apply(actor=seller, at=AT, change=change).applied_at == AT
    with pytest.raises(Clash, match=r"in order .* already"):
        services.change_withdraw(actor=seller, at=AT, change=change, why="No")


def test_once_loaded_or_on_a_delivery_a_change_comes_too_late() -> None:
    delivery = orders.planned()
    seller = person(delivery.order.owner)
    with pytest.raises(Clash, match="is planned and its manifest lists what goes"):
        services.change_ask(actor=seller, at=AT, order=delivery.order, why="More")
    services.delivery_load(actor=people.actor(Role.DISPATCHER), at=AT, delivery=delivery)
    with pytest.raises(Clash, match="is at “loaded”; a change comes too late"):
        services.change_ask(actor=seller, at=AT, order=delivery.order, why="More")


def test_a_cancelled_order_takes_its_change_back() -> None:
    order = orders.released()
    change = changes.asked(order)
    revision = changes.issued(change)
    services.order_cancel(actor=people.actor(Role.MANAGER), at=AT, order=order, why="The site is sold")
    assert ChangeOrder.objects.get().withdrawn_at == AT
    with pytest.raises(Clash, match="taken back"):
        quotes_services.quote_accept(
            actor=quotes.builder(revision), revision=revision, name="Rae", key="late", at=AT
        )


def test_a_change_is_not_declined_and_the_quote_stays_booked() -> None:
    order = orders.booked()
    revision = changes.issued(changes.asked(order))
    with pytest.raises(Clash, match="Leave it unanswered, or write why"):
        quotes_services.quote_decline(
            actor=quotes.builder(revision), revision=revision, at=AT, reason="price", why=""
        )
    assert orders.fresh(order).revision.quote.stage == "booked"


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR])
def test_only_sellers_and_managers_ask(role: str) -> None:
    with pytest.raises(NotAllowed, match="ask this change order"):
        services.change_ask(actor=people.actor(role), at=AT, order=orders.booked(), why="More")


def test_another_seller_may_not_and_a_planner_may_put_it_in() -> None:
    order = orders.released()
    with pytest.raises(NotAllowed):
        services.change_ask(actor=people.actor(Role.SELLER), at=AT, order=order, why="More")
    change = changes.asked(order)
    changes.accepted(change)
    for role in (Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR):
        with pytest.raises(NotAllowed):
            services.change_apply(actor=people.actor(role), at=AT, change=change)
    services.change_apply(actor=people.actor(Role.PLANNER), at=AT, change=change)
    with pytest.raises(NotThere):
        services.change_ask(actor=quotes.builder(change.revision), at=AT, order=order, why="More")


def test_the_database_keeps_what_must_not_be_false() -> None:
    order = orders.released()
    change = changes.asked(order)
    accepted = changes.accepted(change)
    first = Acceptance.objects.exclude(pk=accepted.pk).get()

    def refused(work: object) -> None:
        with pytest.raises((DatabaseError, IntegrityError)), transaction.atomic():
            work()  # type: ignore[operator]

    stranger = quotes.accepted().revision
    refused(lambda: Order.objects.filter(pk=order.pk).update(revision=stranger))
    refused(lambda: QuoteRevision.objects.filter(pk=first.revision_id).update(withdrawn_at=AT))
    refused(lambda: QuoteRevision.objects.filter(pk=change.revision_id).update(terms="Other"))
    refused(
        lambda: Acceptance.objects.create(
            quote=order.revision.quote, revision=quotes.draft().quote.revisions.get(), name="X", at=AT,
            recorded_by=order.owner, why="call",
        )
    )  # fmt: skip


@given(
    width=st.integers(8, 34), depth=st.integers(8, 16), second=st.integers(8, 34), begun=st.integers(0, 3),
    spacing=st.sampled_from(["12", "16", "24"]),
)  # fmt: skip
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_changes_each_piece_stands_once_and_nothing_rolled_vanishes(
    width: int, depth: int, second: int, begun: int, spacing: str
) -> None:
    with transaction.atomic():
        order = orders.released()
        shop = people.actor(Role.SHOP)
        for bundle in order.bundles.order_by("number")[:begun]:
            services.bundle_start(actor=shop, at=AT, bundle=bundle)
        rolled = set(order.pieces.filter(bundle__started_at__isnull=False).values_list("pk", flat=True))
        for measures in ({"width": f"{width}'", "depth": f"{depth}'"}, {"width": f"{second}'"}):
            change = changes.asked(orders.fresh(order), spacing=spacing, **measures)
            found = change_found(change)
            check_begun_first(change)
            counted = len(found.difference.gone) - change_shown(change).rolled
            pieces = order.pieces.count()
            changes.applied(change)
            order = orders.fresh(order)
            check_whole(order)
            assert rolled <= set(order.pieces.values_list("pk", flat=True))
            new = len(found.difference.added) + len(found.difference.changed)
            assert order.pieces.count() == pieces - counted + new
        transaction.set_rollback(True)
