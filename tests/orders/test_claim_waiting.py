"""Claims on Today: what is to decide, and what was made again but goes on no delivery yet (R49)."""

from __future__ import annotations

import pytest

from framing.common.models import Role
from orders import services
from orders.models import Claim
from orders.waiting import waiting_for
from tests.factories import orders, people

pytestmark = pytest.mark.django_db
AT = orders.AT


def titles(role: Role) -> dict[str, int]:
    return {section.title: section.count for section in waiting_for(people.user(role), AT)}


def opened() -> Claim:
    delivery = orders.delivered()
    return services.claim_open(
        actor=people.actor(Role.MANAGER), at=AT, order=delivery.order, kind="short", words="Two are missing",
        bundle=delivery.order.bundles.first(), delivery=delivery,
    )  # fmt: skip


def test_a_claim_waits_for_who_decides_it() -> None:
    claim = opened()
    for role in (Role.MANAGER, Role.DISPATCHER):
        sections = waiting_for(people.user(role), AT)
        found = next(section for section in sections if section.title == "Claims to decide")
        assert claim.number in found.rows[0].words
        assert found.rows[0].url.endswith(f"/claims/{claim.public_id}/")
    assert "Claims to decide" not in titles(Role.SHOP)


def test_what_is_made_again_waits_for_a_delivery() -> None:
    title = "To go again, on no delivery"
    claim = services.claim_replace(actor=people.actor(Role.MANAGER), at=AT, claim=opened())
    assert title not in titles(Role.DISPATCHER), "the shop has it to roll first"
    shop = people.actor(Role.SHOP)
    bundle = claim.replacement
    assert bundle is not None
    services.bundle_start(actor=shop, at=AT, bundle=bundle)
    services.bundle_finish(actor=shop, at=AT, bundle=bundle)
    told = titles(Role.DISPATCHER)
    assert told[title] == 1
    assert "Claims to decide" not in told
    services.delivery_make(
        actor=people.actor(Role.DISPATCHER), at=AT, order=orders.fresh(claim.order),
        planned_for=orders.PLANNED_FOR, contact="Rae", bundles=[bundle.public_id], cartons=[],
    )  # fmt: skip
    assert title not in titles(Role.DISPATCHER)
