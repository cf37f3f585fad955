"""An old tag in hand: where it leads, and what to do with it."""

from __future__ import annotations

import pytest

from framing.common.errors import Refused
from framing.common.models import Role
from orders import services
from orders.bundle_reads import bundle_table
from orders.models import PastCode
from tests.factories import changes, orders, people
from tests.orders.papers.shop import (
    LATER,
    bundle_of,
    changed,
    step,
)


@pytest.mark.django_db
def test_an_old_tag_leads_to_its_bundle_and_counts_no_step() -> None:
    order = orders.rolling()
    code = bundle_of(order, 1).code
    step(order, "split", number=1, at=5)
    found = services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=code)
    assert found.bundle == bundle_of(order, 1)
    assert found.action is None
    assert found.told.startswith("This tag is old: since “Split bundle 1")
    assert "print the tag again" in found.told
    assert bundle_of(order, 1).started_at is None
    shop = people.client_of(Role.SHOP)
    answer = shop.post("/api/v1/bundles/scan/", {"code": code}, content_type="application/json").json()
    assert (answer["said"], answer["tone"], answer["action_id"]) == (found.told, "care", None)
    page = shop.get(f"/t/{code}/", follow=True)
    assert page.status_code == 200
    assert "This tag is old" in page.content.decode()
    now = bundle_of(order, 1).code
    scanned = services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=now)
    assert (scanned.told, scanned.action is not None) == ("", True)


@pytest.mark.django_db
def test_a_tag_of_a_bundle_that_is_no_more_says_where_its_pieces_are() -> None:
    order = orders.rolling()
    step(order, "split", number=1, at=5)
    code = bundle_of(order, 3).code
    step(order, "merge", number=1, other=3)
    with pytest.raises(
        Refused, match=r"Bundle 3 of order .* is no more since “.*”\. Its pieces are in bundle 1; scan"
    ) as no:
        services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=code)
    assert no.value.field == "code"
    page = people.client_of(Role.SHOP).get(f"/t/{code}/")
    assert page.status_code == 404
    assert "Its pieces are in bundle 1" in page.content.decode()


@pytest.mark.django_db
def test_a_code_that_came_back_is_no_old_one() -> None:
    order = orders.rolling()
    code = bundle_of(order, 1).code
    step(order, "split", number=1, at=5)
    assert PastCode.objects.filter(code=code).exists()
    services.bundles_undo(
        actor=people.actor(Role.PLANNER), at=LATER, order=order, version=bundle_table(order).version
    )
    assert not PastCode.objects.filter(code=code).exists()
    assert services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=code).told == ""


@pytest.mark.django_db
def test_tags_and_labels_from_before_a_change_lead_on() -> None:
    order = orders.released()
    bundles = {row.number: row.code for row in order.bundles.all()}
    cartons = {row.number: row.code for row in order.cartons.all()}
    changed(order)
    anew = {number for number, code in bundles.items() if not order.bundles.filter(code=code).exists()}
    assert anew
    here = {row.number for row in order.bundles.all()}
    for number in anew & here:
        found = services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=bundles[number])
        assert found.told.startswith("This tag is old: since change 1,")
    for number in anew - here:
        with pytest.raises(Refused, match="is no more since change 1"):
            services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=bundles[number])
    packed = {code for code in cartons.values() if not order.cartons.filter(code=code).exists()}
    assert packed
    with pytest.raises(Refused, match="from before change 1"):
        services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=packed.pop())


@pytest.mark.django_db
def test_the_tag_of_a_bundle_with_flagged_pieces_works_and_says_what_to_do() -> None:
    order = changes.half_rolled()
    changes.applied(changes.asked(order, depth="13'", width="20'"))
    bundle = order.bundles.filter(pieces__dropped_by__isnull=False).distinct().first()
    assert bundle is not None
    found = services.code_scan(actor=people.actor(Role.SHOP), at=LATER, text=bundle.code)
    assert found.action is not None
    assert found.told.startswith("Change 1 needs some of its pieces no more")
