"""Taps of the shop: each counts once, the order's stage follows, what is refused says what to do instead."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import IntegrityError, ProgrammingError, transaction

from framing.common.actors import SYSTEM, Actor
from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.models import Role
from orders import services
from orders.floor_words import said, weight_words
from orders.models import Bundle, Order, Remake, ShopAction
from orders.services import Tap
from tests.factories import orders, people

pytestmark = pytest.mark.django_db
AT = orders.AT
LATER = AT + timedelta(seconds=30)


@pytest.fixture
def shop() -> Actor:
    return people.actor(Role.SHOP)


def bundles(order: Order) -> list[Bundle]:
    return list(order.bundles.order_by("number"))


def started(shop: Actor) -> tuple[Order, Bundle]:
    order = orders.released()
    bundle = bundles(order)[0]
    services.bundle_start(actor=shop, at=AT, bundle=bundle)
    return order, bundle


def stage(order: Order) -> str:
    return orders.fresh(order).stage


def test_the_first_start_moves_the_order_to_rolling_and_the_last_finish_to_bundled(shop: Actor) -> None:
    order = orders.released()
    first, second = bundles(order)
    services.bundle_start(actor=shop, at=AT, bundle=first)
    assert stage(order) == "rolling"
    services.bundle_start(actor=shop, at=AT, bundle=second)
    services.bundle_finish(actor=shop, at=LATER, bundle=first)
    assert stage(order) == "rolling"
    action = services.bundle_finish(actor=shop, at=LATER, bundle=second)
    assert stage(order) == "bundled"
    second.refresh_from_db()
    assert (second.started_at, second.finished_at, second.finished_by) == (AT, LATER, shop.name)
    assert said(action) == (f"Bundle 2 of {order.number} is finished.", "good")
    assert [entry.verb for entry in audit_list(second)] == ["bundle_start", "bundle_finish"]
    moves = [(move.from_stage, move.to_stage) for move in order.moves.order_by("id")][-2:]
    assert moves == [("released", "rolling"), ("rolling", "bundled")]


def test_a_tap_sent_twice_counts_once_and_is_answered_as_before(shop: Actor) -> None:
    order = orders.released()
    bundle = bundles(order)[0]
    tap = Tap(uuid4(), AT)
    first = services.bundle_start(actor=shop, at=AT, bundle=bundle, tap=tap)
    again = services.bundle_start(actor=shop, at=LATER, bundle=bundle, tap=tap)
    assert (again.pk, again.at, again.changed) == (first.pk, AT, True)
    assert ShopAction.objects.count() == 1
    other = services.bundle_start(actor=shop, at=LATER, bundle=bundle)
    assert (other.changed, ShopAction.objects.count()) == (False, 2)
    assert said(other)[0].endswith(f"was started already, by {shop.name}. Counted once.")


def test_a_taps_number_stands_for_that_tap_alone(shop: Actor) -> None:
    order = orders.released()
    first, second = bundles(order)
    tap = Tap()
    services.bundle_start(actor=shop, at=AT, bundle=first, tap=tap)
    with pytest.raises(Refused, match="number of another"):
        services.bundle_start(actor=shop, at=AT, bundle=second, tap=tap)
    with pytest.raises(Refused, match="number of another"):
        services.bundle_start(actor=people.actor(Role.SHOP), at=AT, bundle=first, tap=tap)
    elsewhere = bundles(orders.released())[0]
    with pytest.raises(Refused, match="number of another"):
        services.bundle_start(actor=shop, at=AT, bundle=elsewhere, tap=tap)
    assert Bundle.objects.exclude(started_at=None).get() == first


def test_history_is_only_added_to(shop: Actor) -> None:
    _, bundle = started(shop)
    action = bundle.actions.get()
    for change in (lambda: action.delete(), lambda: ShopAction.objects.update(changed=False)):
        with pytest.raises(ProgrammingError, match="Cannot update or delete"), transaction.atomic():
            change()
    with pytest.raises(IntegrityError, match="shop_undo_says_so"), transaction.atomic():
        ShopAction.objects.create(
            action_id=uuid4(), verb="start", bundle=bundle, by=shop.user, at=AT, changed=True, undoes=action
        )


@pytest.mark.parametrize("role", [role for role in Role.values if role not in ("shop", "planner")])
def test_only_shop_and_planner_tap(role: str, shop: Actor) -> None:
    order, bundle = started(shop)
    other = people.actor(role)
    piece = bundle.pieces.all()[0]
    verbs: list[Callable[[], object]] = [
        lambda: services.bundle_start(actor=other, at=AT, bundle=bundle),
        lambda: services.bundle_finish(actor=other, at=AT, bundle=bundle),
        lambda: services.bundle_reopen(actor=other, at=AT, bundle=bundle, why="wrong"),
        lambda: services.bundle_weigh(actor=other, at=AT, bundle=bundle, weighed_lb=Decimal(9)),
        lambda: services.piece_scrap(actor=other, at=AT, piece=piece, reason="bent"),
        lambda: services.piece_remade(actor=other, at=AT, piece=piece),
        lambda: services.code_scan(actor=other, at=AT, text=bundle.code),
    ]
    for verb in verbs:
        with pytest.raises(NotAllowed):
            verb()
    assert ShopAction.objects.count() == 1
    assert stage(order) == "rolling"


def test_a_tap_has_a_person_behind_it() -> None:
    with pytest.raises(NotAllowed, match="signed in"):
        services.bundle_start(actor=SYSTEM, at=AT, bundle=bundles(orders.released())[0])


def test_a_planner_may_do_what_the_shop_may() -> None:
    order = orders.released()
    planner = people.actor(Role.PLANNER)
    assert services.bundle_start(actor=planner, at=AT, bundle=bundles(order)[0]).changed


def test_a_held_order_is_left_alone_and_says_whom_to_ask(shop: Actor) -> None:
    order, bundle = started(shop)
    services.order_hold(actor=people.actor(Role.PLANNER), at=AT, order=order, why="coil is late")
    for verb in (services.bundle_start, services.bundle_finish):
        with pytest.raises(Clash, match="is held"):
            verb(actor=shop, at=AT, bundle=bundles(order)[1] if verb is services.bundle_start else bundle)


def test_a_finished_bundle_opens_again_with_a_reason_until_it_is_loaded(shop: Actor) -> None:
    order = orders.bundled()
    bundle = bundles(order)[0]
    services.bundle_weigh(actor=shop, at=AT, bundle=bundle, weighed_lb=bundle.weight_lb)
    with pytest.raises(Refused, match="Say why"):
        services.bundle_reopen(actor=shop, at=AT, bundle=bundle, why="  ")
    with pytest.raises(Refused, match="at most 200"):
        services.bundle_reopen(actor=shop, at=AT, bundle=bundle, why="w" * 201)
    assert services.bundle_reopen(actor=shop, at=AT, bundle=bundle, why="a joist short").changed
    bundle.refresh_from_db()
    assert (stage(order), bundle.finished_at, bundle.weighed_lb) == ("rolling", None, None)
    last = order.moves.order_by("id").last()
    assert last is not None
    assert (last.to_stage, last.why) == ("rolling", "a joist short")
    assert not services.bundle_reopen(actor=shop, at=AT, bundle=bundle, why="again").changed
    services.bundle_finish(actor=shop, at=LATER, bundle=bundle)
    assert stage(order) == "bundled"
    services.delivery_load(
        actor=people.actor(Role.DISPATCHER), at=LATER, delivery=orders.planned(orders.fresh(order))
    )
    with pytest.raises(Clash, match="is loaded with delivery"):
        services.bundle_reopen(actor=shop, at=LATER, bundle=bundle, why="too late")


def test_a_scrapped_piece_keeps_its_bundle_open_until_it_is_made(shop: Actor) -> None:
    order, bundle = started(shop)
    piece = bundle.pieces.all()[0]
    action = services.piece_scrap(actor=shop, at=AT, piece=piece, reason="bent")
    assert said(action) == (f"{piece.mark} is scrapped and asked for again.", "good")
    assert not services.piece_scrap(actor=shop, at=AT, piece=piece, reason="bent").changed
    with pytest.raises(Clash, match="waits for 1 piece to be made again"):
        services.bundle_finish(actor=shop, at=AT, bundle=bundle)
    with pytest.raises(Clash, match="waits for 1 piece"):
        services.order_bundle(actor=shop, at=AT, order=order)
    assert services.piece_remade(actor=shop, at=LATER, piece=piece).changed
    assert not services.piece_remade(actor=shop, at=LATER, piece=piece).changed
    row = Remake.objects.get()
    assert (row.reason, row.made_at, row.asked_by, row.made_by) == ("bent", LATER, shop.user, shop.user)
    assert services.bundle_finish(actor=shop, at=LATER, bundle=bundle).changed


def test_what_scrap_and_remake_refuse(shop: Actor) -> None:
    order, bundle = started(shop)
    other = bundles(order)[1]
    piece = bundle.pieces.all()[0]
    with pytest.raises(Refused, match="bent or twisted"):
        services.piece_scrap(actor=shop, at=AT, piece=piece, reason="ugly")
    with pytest.raises(Refused, match="in a few words"):
        services.piece_scrap(actor=shop, at=AT, piece=piece, reason="other", words=" ")
    with pytest.raises(Refused, match="At most 200"):
        services.piece_scrap(actor=shop, at=AT, piece=piece, reason="other", words="w" * 201)
    with pytest.raises(Refused, match="Nobody asked"):
        services.piece_remade(actor=shop, at=AT, piece=piece)
    with pytest.raises(Clash, match="not started"):
        services.piece_scrap(actor=shop, at=AT, piece=other.pieces.all()[0], reason="bent")
    services.bundle_finish(actor=shop, at=AT, bundle=bundle)
    with pytest.raises(Clash, match="Open it again first"):
        services.piece_scrap(actor=shop, at=AT, piece=piece, reason="bent")
    with pytest.raises(NotThere, match="no such piece"):
        services.piece_of_bundle(bundle, other.pieces.all()[0].code)
    stale = other.pieces.all()[0]
    services.bundle_start(actor=shop, at=AT, bundle=other)
    type(stale).objects.filter(pk=stale.pk).update(bundle=bundle)  # moved by the planner meanwhile
    with pytest.raises(Clash, match="no longer in bundle 2"):
        services.piece_scrap(actor=shop, at=AT, piece=stale, reason="bent")
    stale.bundle = None
    with pytest.raises(Refused, match="packed in cartons"):
        services.piece_scrap(actor=shop, at=AT, piece=stale, reason="bent")


@pytest.mark.parametrize(
    ("weighed", "words"),
    [
        # 3 % of 1,000 lb is 30 lb: exactly that is said nothing about, a tenth more is
        ("1030.0", ""),
        ("970.0", ""),
        ("1030.1", "1,030.1 lb on the scale, 1,000 lb computed: over 3 % more. Count the pieces."),
        ("940.0", "940 lb on the scale, 1,000 lb computed: 6.0 % less. Count the pieces."),
    ],
)
def test_a_weight_over_three_per_cent_off_is_warned_of_with_both_figures(weighed: str, words: str) -> None:
    assert weight_words(Decimal(weighed), Decimal(1000), Decimal(2000)) == words


def test_a_weight_over_the_lift_limit_is_warned_of() -> None:
    assert weight_words(Decimal(2000), Decimal(1990), Decimal(2000)) == ""
    words = weight_words(Decimal("2000.1"), Decimal(1990), Decimal(2000))
    assert words == "2,000.1 lb is over the lift limit of 2,000 lb: don't lift it, tell the planner."


def test_a_weight_is_kept_with_its_warning(shop: Actor) -> None:
    _, bundle = started(shop)
    double = bundle.weight_lb * 2
    action = services.bundle_weigh(actor=shop, at=AT, bundle=bundle, weighed_lb=double)
    bundle.refresh_from_db()
    assert bundle.weighed_lb == double
    assert "100.0 % more" in action.words
    assert said(action)[1] == "care"
    assert not services.bundle_weigh(actor=shop, at=AT, bundle=bundle, weighed_lb=double).changed
    right = services.bundle_weigh(actor=shop, at=LATER, bundle=bundle, weighed_lb=bundle.weight_lb)
    assert (right.words, said(right)[1]) == ("", "good")
    for wrong in ("0", "-3", "100000.1", "NaN", "12.34"):
        with pytest.raises(Refused):
            services.bundle_weigh(actor=shop, at=AT, bundle=bundle, weighed_lb=Decimal(wrong))
    unstarted = bundles(bundle.order)[1]
    with pytest.raises(Clash, match="Start it first"):
        services.bundle_weigh(actor=shop, at=AT, bundle=unstarted, weighed_lb=Decimal(9))


# --- taking back ---


def test_a_start_is_taken_back_and_the_order_with_it(shop: Actor) -> None:
    order, bundle = started(shop)
    start = bundle.actions.get()
    back = services.tap_undo(actor=shop, at=LATER, undoes=start.action_id)
    bundle.refresh_from_db()
    assert (back.changed, bundle.started_at, stage(order)) == (True, None, "released")
    assert not services.tap_undo(actor=shop, at=LATER, undoes=start.action_id).changed
    assert services.bundle_start(actor=shop, at=LATER, bundle=bundle).changed


def test_taking_back_a_start_leaves_an_order_rolling_that_was_rolling_before(shop: Actor) -> None:
    order = orders.rolling()
    action = services.bundle_start(actor=shop, at=LATER, bundle=bundles(order)[0])
    services.tap_undo(actor=shop, at=LATER, undoes=action.action_id)
    assert stage(order) == "rolling"


def test_the_last_finish_is_taken_back(shop: Actor) -> None:
    order = orders.rolling()
    first, second = bundles(order)
    services.bundle_start(actor=shop, at=AT, bundle=first)
    services.bundle_finish(actor=shop, at=AT, bundle=first)
    action = services.bundle_finish(actor=shop, at=AT, bundle=second)  # without a start of its own
    services.tap_undo(actor=shop, at=LATER, undoes=action.action_id)
    second.refresh_from_db()
    assert (stage(order), second.started_at, second.finished_at) == ("rolling", None, None)
    kept = services.bundle_start(actor=shop, at=AT, bundle=second)
    done = services.bundle_finish(actor=shop, at=AT, bundle=second)
    services.tap_undo(actor=shop, at=LATER, undoes=done.action_id)
    second.refresh_from_db()
    assert (second.started_at, second.finished_at) == (kept.at, None)


def test_scrap_remake_and_weight_are_taken_back(shop: Actor) -> None:
    _, bundle = started(shop)
    piece = bundle.pieces.all()[0]
    scrap = services.piece_scrap(actor=shop, at=AT, piece=piece, reason="bent")
    services.tap_undo(actor=shop, at=LATER, undoes=scrap.action_id)
    assert not Remake.objects.exists()
    services.piece_scrap(actor=shop, at=AT, piece=piece, reason="bent")
    made = services.piece_remade(actor=shop, at=AT, piece=piece)
    services.tap_undo(actor=shop, at=LATER, undoes=made.action_id)
    assert Remake.objects.get().made_at is None
    light = services.bundle_weigh(actor=shop, at=AT, bundle=bundle, weighed_lb=Decimal(90))
    heavy = services.bundle_weigh(actor=shop, at=AT, bundle=bundle, weighed_lb=Decimal(95))
    services.tap_undo(actor=shop, at=LATER, undoes=heavy.action_id)
    bundle.refresh_from_db()
    assert bundle.weighed_lb == 90
    services.tap_undo(actor=shop, at=LATER, undoes=light.action_id)
    bundle.refresh_from_db()
    assert bundle.weighed_lb is None


def test_only_the_newest_own_tap_goes_back_and_not_for_long(shop: Actor) -> None:
    _, bundle = started(shop)
    start = bundle.actions.get()
    mate = people.actor(Role.SHOP)
    with pytest.raises(NotThere, match="not counted"):
        services.tap_undo(actor=mate, at=LATER, undoes=start.action_id)
    with pytest.raises(NotThere, match="not counted"):
        services.tap_undo(actor=shop, at=LATER, undoes=uuid4())
    with pytest.raises(Clash, match="too late"):
        services.tap_undo(actor=shop, at=AT + timedelta(minutes=3), undoes=start.action_id)
    finish = services.bundle_finish(actor=mate, at=AT, bundle=bundle)
    with pytest.raises(Clash, match=f"{mate.name} did something.*finished"):
        services.tap_undo(actor=shop, at=LATER, undoes=start.action_id)
    reopen = services.bundle_reopen(actor=mate, at=AT, bundle=finish.bundle, why="wrong one")
    with pytest.raises(Clash, match="not taken back"):
        services.tap_undo(actor=mate, at=LATER, undoes=reopen.action_id)


# --- scans ---


def test_a_tag_is_its_bundles_next_step(shop: Actor) -> None:
    order = orders.released()
    bundle = bundles(order)[0]
    first = services.code_scan(actor=shop, at=AT, text=f"https://joists.example/t/{bundle.code}/")
    assert first.action is not None
    assert (first.action.verb, first.action.changed) == ("start", True)
    twice = services.code_scan(actor=shop, at=AT + timedelta(seconds=3), text=bundle.code)
    assert twice.action is not None
    assert not twice.action.changed, "a tag read twice does not finish its bundle"
    done = services.code_scan(actor=shop, at=LATER, text=bundle.code.lower().replace("0", "o"))
    assert done.action is not None
    assert (done.action.verb, done.action.changed) == ("finish", True)


def test_a_scan_sent_again_is_not_the_next_step(shop: Actor) -> None:
    bundle = bundles(orders.released())[0]
    tap = Tap()
    services.code_scan(actor=shop, at=AT, text=bundle.code, tap=tap)
    again = services.code_scan(actor=shop, at=AT + timedelta(minutes=1), text=bundle.code, tap=tap)
    assert again.action is not None
    assert again.action.verb == "start"
    bundle.refresh_from_db()
    assert bundle.finished_at is None


def test_a_pieces_label_tells_where_it_belongs_and_that_it_is_made(shop: Actor) -> None:
    _, bundle = started(shop)
    piece = bundle.pieces.order_by("position")[0]
    looked = services.code_scan(actor=shop, at=AT, text=piece.code, hand=bundle)
    assert (looked.bundle, looked.piece, looked.action) == (bundle, piece, None)
    services.piece_scrap(actor=shop, at=AT, piece=piece, reason="coil")
    tap = Tap()
    for _ in range(2):
        made = services.code_scan(actor=shop, at=AT, text=piece.code, hand=bundle, tap=tap)
        assert made.action is not None
        assert (made.action.verb, made.action.changed) == ("remake", True)


def test_foreign_old_and_misplaced_codes_say_what_to_do_instead(shop: Actor) -> None:
    order, bundle = started(shop)
    other = bundles(order)[1]
    piece = other.pieces.all()[0]
    carton = order.cartons.first()
    loose = order.pieces.create(
        floor="f", piece_id="x", mark="B9", profile="p", length_16=99, sequence=1, position=0
    )
    wanted = {
        "": "Scan a bundle's tag",
        "4006381333931": "is not one of our codes",
        "ABCDEFGH2345": "may be an old one",
        "U" * 12: "is not one of our codes",
        loose.code: "packed in cartons",
        piece.code: "belongs to bundle 2, not to bundle 1",
    }
    if carton is not None:
        wanted[carton.code] = "cartons are not rolled"
    for text, words in wanted.items():
        with pytest.raises(Refused, match=words) as refused:
            services.code_scan(actor=shop, at=AT, text=text, hand=bundle)
        assert refused.value.field == "code"
    far = bundles(orders.released())[0].pieces.all()[0]
    with pytest.raises(Refused, match=f"bundle 1 of order {far.order.number}, not to bundle 1"):
        services.code_scan(actor=shop, at=AT, text=far.code, hand=bundle)
    assert ShopAction.objects.count() == 1, "what is refused leaves nothing"
