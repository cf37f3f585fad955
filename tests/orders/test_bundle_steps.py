"""The planner's steps on the bundles of an order: rows, history, taking back, two planners at once."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connection

from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed, Refused, StaleSave
from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.common.papers import paper_get
from orders import services
from orders.bundle_reads import bundle_table
from orders.models import BundleChange, Order, Piece
from orders.selectors import bundle_drawing, bundle_list
from orders.services.bundles import Step
from tests.factories import orders, people

pytestmark = pytest.mark.django_db
AT = orders.AT


def version(order: Order) -> str:
    return bundle_table(order).version


def do(order: Order, edit: str, **more: Any) -> BundleChange | None:
    return services.bundles_edit(
        actor=people.actor(Role.PLANNER), at=AT, order=order, version=version(order), step=Step(edit, **more)
    )


def turn(order: Order, act: Callable[..., BundleChange]) -> BundleChange:
    return act(actor=people.actor(Role.PLANNER), at=AT, order=order, version=version(order))


def picture(order: Order) -> list[tuple[Any, ...]]:
    """All that the rows say of an order's bundles."""
    return [
        (
            row.number, row.code, row.fixed, row.short, row.note, row.weight_lb, row.length_16, row.zone,
            tuple(row.pieces.order_by("position").values_list("pk", "position")),
        )
        for row in order.bundles.order_by("number")
    ]  # fmt: skip


def numbers(order: Order) -> dict[int, int]:
    return {row.number: row.pieces.count() for row in order.bundles.all()}


def start(order: Order, number: int) -> None:
    order.bundles.filter(number=number).update(started_at=AT, started_by="Sam")


def test_a_split_makes_a_new_number_and_new_codes_for_what_changed_only() -> None:
    order = orders.released()
    before = {row.number: row.code for row in order.bundles.all()}
    change = do(order, "split", number=1, at=5)
    assert numbers(order) == {1: 5, 2: 8, 3: 4}
    after = {row.number: row.code for row in order.bundles.all()}
    assert after[2] == before[2], "its tag is still right"
    assert after[1] != before[1], "an old tag is known as one"
    assert change is not None
    assert [entry["number"] for entry in change.before] == [1]
    assert [(entry["number"], len(entry["pieces"])) for entry in change.after] == [(1, 5), (3, 4)]
    rows = {row.number: row for row in order.bundles.all()}
    assert (rows[1].short, rows[3].short) == (True, True)
    assert rows[3].note.startswith("4 of at least 8 pieces.")
    weight = sum(piece.weight_lb for piece in rows[3].pieces.all())
    assert abs(rows[3].weight_lb - weight) <= 1
    entry = audit_list(order).last()
    assert entry is not None
    assert (entry.verb, entry.change["bundles"]) == ("bundles_edit", [1, 3])


def test_every_step_is_taken_back_and_done_again_to_the_last_sign() -> None:
    order = orders.released()
    pictures = [picture(order)]
    codes = list(Piece.objects.filter(bundle__order=order, bundle__number=1).values_list("code", flat=True))
    steps: list[dict[str, Any]] = [
        {"edit": "split", "number": 1, "at": 5},
        {"edit": "merge", "number": 1, "other": 3},
        {"edit": "move", "pieces": (codes[0], codes[1]), "to": 2},
        {"edit": "fix", "number": 2},
        {"edit": "move", "pieces": (codes[3],), "to": None},
        {"edit": "free", "number": 2},
        {"edit": "again"},
    ]
    for step in steps:
        do(order, **step)
        pictures.append(picture(order))
    for earlier in reversed(pictures[:-1]):
        turn(order, services.bundles_undo)
        assert picture(order) == earlier
    with pytest.raises(Refused, match="No step is left"):
        turn(order, services.bundles_undo)
    for later in pictures[1:]:
        turn(order, services.bundles_redo)
        assert picture(order) == later
    with pytest.raises(Refused, match="Nothing was taken back"):
        turn(order, services.bundles_redo)


def test_sixty_steps_are_taken_back() -> None:
    order = orders.released()
    first = picture(order)
    for number in range(30):
        do(order, "fix", number=1 + number % 2)
        do(order, "free", number=1 + number % 2)
    for _ in range(60):
        turn(order, services.bundles_undo)
    assert picture(order) == first


def test_a_new_step_ends_what_could_be_done_again() -> None:
    order = orders.released()
    do(order, "fix", number=1)
    turn(order, services.bundles_undo)
    do(order, "fix", number=2)
    with pytest.raises(Refused):
        turn(order, services.bundles_redo)
    assert turn(order, services.bundles_undo).words == "Fixed bundle 2."


def test_a_number_that_was_given_up_is_not_given_again() -> None:
    order = orders.released()
    do(order, "split", number=1, at=5)
    do(order, "merge", number=1, other=3)
    do(order, "split", number=1, at=5)
    assert numbers(order) == {1: 5, 2: 8, 4: 4}


def test_of_two_planners_the_second_is_told_who_was_first() -> None:
    order = orders.released()
    seen = version(order)
    do(order, "fix", number=1)
    with pytest.raises(StaleSave, match=r"Fixed bundle 1\. Look at them as they are now"):
        services.bundles_edit(
            actor=people.actor(Role.PLANNER), at=AT, order=order, version=seen, step=Step("fix", number=2)
        )
    assert BundleChange.objects.count() == 1


def test_hard_rules_and_what_is_missing_change_nothing() -> None:
    order = orders.released()
    before = picture(order)
    for step, words in (
        ({"edit": "merge", "number": 1, "other": 2}, "would hold 17 pieces"),
        ({"edit": "split", "number": 1, "at": 9}, "can be split after piece 1 to 8"),
        ({"edit": "split", "number": 1}, "from the bottom stay"),
        ({"edit": "merge", "number": 1}, "Say which bundle is put into this one"),
        ({"edit": "fix"}, "Say which bundle"),
        ({"edit": "move", "to": 2}, "No piece is chosen"),
        ({"edit": "shuffle", "number": 1}, "is no step on bundles"),
    ):
        with pytest.raises(Refused, match=words):
            do(order, **step)
    assert picture(order) == before
    assert not BundleChange.objects.exists()


def test_bundling_anew_what_is_right_already_is_no_step() -> None:
    order = orders.released()
    assert do(order, "again") is None
    assert not BundleChange.objects.exists()


def test_a_started_bundle_stays_and_a_step_on_it_is_not_taken_back() -> None:
    order = orders.released()
    do(order, "split", number=1, at=5)
    start(order, 3)
    with pytest.raises(Refused, match="Bundle 3 is started"):
        do(order, "merge", number=1, other=3)
    with pytest.raises(Clash, match="Bundle 3 is started"):
        turn(order, services.bundles_undo)


def test_bundles_change_between_release_and_the_plan_of_the_delivery() -> None:
    with pytest.raises(Clash, match="“booked”"):
        do(orders.approved(), "fix", number=1)
    with pytest.raises(Clash, match="“bundled”"):
        do(orders.bundled(), "fix", number=1)
    rolling = orders.rolling()
    do(rolling, "fix", number=1)
    delivery = orders.planned(rolling)
    with pytest.raises(Clash, match=f"Delivery {delivery.number} is planned"):
        do(rolling, "free", number=1)


@pytest.mark.parametrize("role", [role for role in Role.values if role != Role.PLANNER])
def test_nobody_but_the_planner(role: str) -> None:
    order = orders.released()
    for act, more in (
        (services.bundles_edit, {"step": Step("fix", number=1)}),
        (services.bundles_undo, {}),
        (services.bundles_redo, {}),
    ):
        with pytest.raises(NotAllowed):
            act(actor=people.actor(role), at=AT, order=order, version=version(order), **more)


def test_trucks_hold_the_bundles_as_they_are_then() -> None:
    order = orders.released()
    do(order, "split", number=1, at=5)
    delivery = orders.planned(order)
    loaded = [bundle.number for load in delivery.loads.all() for bundle in load.bundles.all()]
    assert sorted(loaded) == [1, 2, 3]


def test_the_side_view_shows_the_bundle_as_it_is_now() -> None:
    order = orders.released()
    do(order, "split", number=1, at=5)
    drawn = {row.number: bundle_drawing(row) for row in bundle_list(order=order)}
    assert {number: drawing.count("data-id") for number, drawing in drawn.items()} == {1: 5, 2: 8, 3: 4}


def test_tags_of_changed_bundles_are_asked_for_and_made_once() -> None:
    order = orders.released()
    change = do(order, "split", number=1, at=5)
    assert change is not None
    do(order, "fix", number=2)
    asked = OutboxEntry.objects.filter(kind="bundle_tags", payload__has_key="change")
    assert [entry.payload["change"] for entry in asked] == [change.pk]
    assert outbox_run(asked[0].pk)
    paper = paper_get("bundle_tags", change)
    assert paper is not None
    assert paper.pages == 2


def test_a_pinned_bundle_is_not_swallowed() -> None:
    from orders.models import LinePin

    order = orders.released()
    do(order, "split", number=1, at=5)
    fields = {field.name for field in LinePin._meta.get_fields()}
    extra = {"by": people.user(Role.PLANNER)} if "by" in fields else {}
    if "at" in fields:
        extra["at"] = AT
    LinePin.objects.create(bundle=order.bundles.get(number=3), day=AT.date(), **extra)
    with pytest.raises(Refused, match="Bundle 3 is pinned"):
        do(order, "merge", number=1, other=3)
    assert numbers(order) == {1: 5, 2: 8, 3: 4}


@pytest.mark.django_db(transaction=True)
def test_of_six_at_the_same_moment_one_is_done() -> None:
    order, planner = orders.released(), people.actor(Role.PLANNER)
    seen, barrier = version(order), Barrier(6)

    def one(_: int) -> str:
        try:
            barrier.wait()
            services.bundles_edit(
                actor=planner, at=AT, order=order, version=seen, step=Step("split", number=1, at=5)
            )
            return "done"
        except Clash:
            return "clash"
        finally:
            connection.close()

    with ThreadPoolExecutor(6) as pool:
        answers = list(pool.map(one, range(6)))
    assert sorted(answers) == ["clash"] * 5 + ["done"]
    assert numbers(order) == {1: 5, 2: 8, 3: 4}
    assert BundleChange.objects.count() == 1
