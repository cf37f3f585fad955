"""The stage walk of an order (R44): a listed move works once, others are refused, all are recorded."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest

from framing.common.access import TABLE
from framing.common.actors import Actor
from framing.common.audit import audit_list
from framing.common.errors import Clash, KeyMissing, NotAllowed, NotThere, Refused
from framing.common.links import link_list
from framing.common.models import OutboxEntry, Role
from orders import services
from orders.models import Delivery, Order
from orders.selectors import order_stage_line
from orders.states import ORDER_MOVES, OrderStage
from tests.factories import orders, people, quotes

pytestmark = pytest.mark.django_db
AT = orders.AT


def act(action: str, order: Order, actor: Actor) -> None:
    """Do one verb of the table on an order, whatever its stage."""
    if action in ("hold", "cancel", "resume"):
        stops: dict[str, Callable[..., Order]] = {
            "hold": services.order_hold,
            "cancel": services.order_cancel,
            "resume": services.order_resume,
        }
        stops[action](actor=actor, at=AT, order=order, why="coil is late")
    elif action in ("load", "deliver"):
        delivery = order.deliveries.first()
        if delivery is None and order.stage == "bundled":
            delivery = orders.planned(order)
        elif delivery is None:
            delivery = Delivery.objects.create(
                order=order, number=f"T-{order.pk}", planned_for=orders.PLANNED_FOR, contact="Rae Winter"
            )
        if action == "load":
            services.delivery_load(actor=actor, at=AT, delivery=delivery)
        else:
            services.delivery_deliver(actor=actor, at=AT, delivery=delivery, received_by="Rae Winter")
    else:
        verbs: dict[str, Callable[..., Order]] = {
            "release": services.order_release,
            "roll": services.order_roll,
            "bundle": services.order_bundle,
            "close": services.order_close,
        }
        verbs[action](actor=actor, at=AT, order=order)


WHO = {
    "release": Role.PLANNER,
    "roll": Role.SHOP,
    "bundle": Role.SHOP,
    "load": Role.DISPATCHER,
    "deliver": Role.DISPATCHER,
    "close": Role.DISPATCHER,
    "hold": Role.PLANNER,
    "resume": Role.PLANNER,
    "cancel": Role.MANAGER,
}


def at_stage(stage: str) -> Order:
    makers: dict[str, Callable[[], Order]] = {
        "booked": orders.approved,
        "released": orders.released,
        "rolling": orders.rolling,
        "bundled": orders.bundled,
        "loaded": lambda: orders.loaded().order,
        "delivered": lambda: orders.delivered().order,
        "closed": orders.closed,
    }
    if stage in makers:
        return orders.fresh(makers[stage]())
    order = orders.approved()
    act(
        "hold" if stage == "held" else "cancel",
        order,
        people.actor(WHO[stage[:4] if stage == "hold" else "cancel"]),
    )
    return orders.fresh(order)


@pytest.mark.parametrize("stage", OrderStage.values)
def test_only_listed_moves_leave_a_stage_and_each_is_recorded(stage: str) -> None:
    order = at_stage(stage)
    table = dict(ORDER_MOVES) | {"resume": {"held": "booked"}}
    refused = [action for action, moves in table.items() if stage not in moves]
    for action in refused:
        moves = order.moves.count()
        entries = audit_list(order).count()
        with pytest.raises(Clash):
            act(action, order, people.actor(WHO[action]))
        assert orders.fresh(order).stage == stage, action
        assert (order.moves.count(), audit_list(order).count()) == (moves, entries), action
    assert len(refused) == len(table) - sum(stage in moves for moves in table.values())


@pytest.mark.parametrize(
    ("action", "start", "end"),
    [(action, start, end) for action, moves in ORDER_MOVES.items() for start, end in moves.items()],
)
def test_a_listed_move_is_done_once_and_recorded(action: str, start: str, end: str) -> None:
    order = at_stage(start)
    who = people.actor(WHO[action])
    act(action, order, who)
    last = order.moves.order_by("id").last()
    assert last is not None
    assert (orders.fresh(order).stage, last.from_stage, last.to_stage) == (end, start, end)
    assert (last.by, last.at) == (who.name, AT)
    entry = audit_list(order).last()
    assert entry is not None
    assert entry.change["stage"] == [start, end]
    assert set(entry.change) <= {"stage", "made"}
    with pytest.raises(Clash):
        act(action, order, who)


def test_the_whole_way_from_bid_to_closed_stands_on_the_stage_line() -> None:
    line = order_stage_line(orders.fresh(orders.closed()))
    assert [knot.name for knot in line] == [
        "Bid", "Issued", "Booked", "Released", "Rolling", "Bundled", "Loaded", "Delivered", "Closed",
    ]  # fmt: skip
    assert [knot.state for knot in line] == ["past"] * 8 + ["present"]
    days = [knot.at for knot in line]
    assert None not in days
    assert days == sorted(day for day in days if day)


def test_a_held_order_keeps_its_place_on_the_line_and_goes_on_there() -> None:
    order = orders.rolling()
    planner = people.actor(Role.PLANNER)
    services.order_hold(actor=planner, at=AT, order=order, why="coil is late")
    line = order_stage_line(orders.fresh(order))
    assert [(k.name, k.note) for k in line if k.state == "present"] == [("Rolling", "held")]
    resumed = services.order_resume(
        actor=planner, at=AT + timedelta(hours=2), order=order, why="coil is here"
    )
    assert (resumed.stage, resumed.held_from) == ("rolling", "")
    assert list(order.moves.order_by("-id").values_list("from_stage", "to_stage", "why")[:2]) == [
        ("held", "rolling", "coil is here"),
        ("rolling", "held", "coil is late"),
    ]


def test_a_stop_needs_a_reason() -> None:
    order = orders.booked()
    for verb in (services.order_hold, services.order_cancel):
        with pytest.raises(Refused) as refusal:
            verb(actor=people.actor(Role.MANAGER), at=AT, order=order, why="  ")
        assert refusal.value.field == "why"
        with pytest.raises(Refused, match="400"):
            verb(actor=people.actor(Role.MANAGER), at=AT, order=order, why="x" * 401)
    assert orders.fresh(order).stage == "booked"


def test_release_needs_approved_drawings_and_approval_is_kept_once() -> None:
    order = orders.booked()
    planner = people.actor(Role.PLANNER)
    with pytest.raises(Refused, match="not approved"):
        services.order_release(actor=planner, at=AT, order=order)
    services.drawings_approve(actor=planner, at=AT, order=order)
    again = services.drawings_approve(
        actor=people.actor(Role.MANAGER), at=AT + timedelta(days=1), order=order
    )
    assert (again.drawings_approved_by, again.drawings_approved_at) == (planner.name, AT)
    assert services.order_release(actor=planner, at=AT, order=order).stage == "released"


def test_drawings_of_a_stopped_order_are_not_approved() -> None:
    order = orders.booked()
    services.order_cancel(actor=people.actor(Role.MANAGER), at=AT, order=order, why="site is sold")
    with pytest.raises(Clash, match="booked"):
        services.drawings_approve(actor=people.actor(Role.PLANNER), at=AT, order=order)


def test_an_accepted_quote_alone_is_booked_and_once() -> None:
    revision = quotes.issued()
    seller = people.actor(Role.MANAGER)
    with pytest.raises(Clash, match="not accepted"):
        services.order_book(actor=seller, at=AT, quote=revision.quote, key="a")
    acceptance = quotes.accepted()
    first = services.order_book(actor=seller, at=AT, quote=acceptance.quote, key="b")
    second = services.order_book(actor=seller, at=AT + timedelta(days=3), quote=acceptance.quote, key="c")
    assert first.pk == second.pk
    assert Order.objects.count() == 1
    assert first.revision_id == acceptance.revision_id
    assert first.deliver_on == (AT + timedelta(days=acceptance.revision.lead_time_days)).date()
    assert first.moves.count() == 1


def test_a_seller_books_his_own_only() -> None:
    acceptance = quotes.accepted(people.user(Role.SELLER, team="North"))
    with pytest.raises(NotAllowed):
        services.order_book(actor=people.actor(Role.SELLER), at=AT, quote=acceptance.quote, key="d")
    mate = people.actor(Role.SELLER, team="North")
    with pytest.raises(KeyMissing):
        services.order_book(actor=mate, at=AT, quote=acceptance.quote)
    assert services.order_book(actor=mate, at=AT, quote=acceptance.quote, key="e").stage == "booked"


@pytest.mark.parametrize("role", Role.values)
@pytest.mark.parametrize("action", sorted(WHO))
def test_each_role_does_what_the_table_lists(role: str, action: str) -> None:
    object_, verb = {
        "release": ("order", "release"),
        "roll": ("bundle", "roll"),
        "bundle": ("bundle", "finish"),
        "load": ("delivery", "load"),
        "deliver": ("delivery", "deliver"),
        "close": ("order", "close"),
        "hold": ("order", "hold"),
        "resume": ("order", "hold"),
        "cancel": ("order", "cancel"),
    }[action]
    start = next(iter(ORDER_MOVES[action])) if action != "resume" else "held"
    order = at_stage(start)
    if verb in TABLE[object_].get(role, frozenset()):
        act(action, order, people.actor(role))
        assert orders.fresh(order).stage != start
    else:
        with pytest.raises(NotAllowed):
            act(action, order, people.actor(role))
        assert orders.fresh(order).stage == start


def test_a_link_may_do_nothing_to_an_order() -> None:
    order = orders.booked()
    builder = quotes.builder(quotes.issued())
    with pytest.raises(NotThere):
        services.order_cancel(actor=builder, at=AT, order=order, why="changed my mind")


def test_closing_moves_the_end_of_links_and_cancelling_withdraws_them() -> None:
    delivery = orders.delivered()
    dispatcher = people.actor(Role.DISPATCHER)
    services.delivery_link_make(actor=dispatcher, at=AT, delivery=delivery, for_name="Rae Winter")
    services.order_close(actor=dispatcher, at=AT, order=delivery.order)
    assert [link.expires_at for link in link_list(delivery)] == [AT + timedelta(days=30)]
    other = orders.planned()
    services.delivery_link_make(actor=dispatcher, at=AT, delivery=other, for_name="Rae Winter")
    services.order_cancel(actor=people.actor(Role.MANAGER), at=AT, order=other.order, why="site is sold")
    assert [link.withdrawn_at for link in link_list(other)] == [AT]
    with pytest.raises(Clash, match="cancelled"):
        services.delivery_link_make(actor=dispatcher, at=AT, delivery=other, for_name="Rae Winter")


def test_release_asks_for_the_tags_once() -> None:
    order = orders.released()
    assert OutboxEntry.objects.filter(kind="bundle_tags", key=str(order.pk)).count() == 1
