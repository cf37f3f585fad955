"""The planner's bundles in a browser: a piece goes from one to another by mouse and by keys, and back by undo."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from framing.common.models import Role
from orders.models import Order, Piece
from tests.e2e.pages import open_browser
from tests.factories import orders, people
from tests.factories.people import client_of

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]


@pytest.fixture
def order() -> Order:
    return orders.released()


@pytest.fixture
def page(browser: Browser, order: Order) -> Iterator[Page]:
    opened = open_browser(browser, client_of(people.user(Role.PLANNER)), width=1280)
    opened.set_viewport_size({"width": 1280, "height": 1800})  # both bundles in sight, as a mouse needs them
    opened.goto(f"/orders/{order.public_id}/bundles/")
    yield opened
    opened.context.close()


def holds(order: Order) -> dict[int, list[str]]:
    """What each bundle holds, by its number."""
    return {
        bundle.number: list(bundle.pieces.order_by("position").values_list("code", flat=True))
        for bundle in order.bundles.order_by("number")
    }


def top_of(order: Order, number: int) -> Piece:
    piece = order.bundles.get(number=number).pieces.order_by("position").last()
    assert piece is not None
    return piece


def shown(page: Page, number: int) -> list[str]:
    """The codes of the pieces that the page shows in a bundle, from the bottom up."""
    pieces = page.locator(f"#bundle-{number} [data-piece]")
    return [str(one.get_attribute("data-piece")) for one in reversed(pieces.all())]


def undo(page: Page) -> None:
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("button", name="Redo")).to_be_enabled()


def test_a_piece_is_dragged_to_another_bundle_and_undone(order: Order, page: Page) -> None:
    before, piece = holds(order), top_of(order, 1)
    page.locator(f"#bundle-1 [data-piece='{piece.code}']").drag_to(page.locator("#bundle-2 .bundle-head"))
    expect(page.locator(f"#bundle-2 [data-piece='{piece.code}']")).to_be_visible()
    after = holds(order)
    assert piece.code in after[2]
    assert (len(after[1]), len(after[2])) == (len(before[1]) - 1, len(before[2]) + 1)
    undo(page)
    assert holds(order) == before
    assert piece.code in shown(page, 1)


def test_ticked_pieces_go_along_with_the_one_that_is_dragged(order: Order, page: Page) -> None:
    codes = holds(order)[1][-2:]
    for code in codes:
        page.locator(f"#bundle-1 [data-piece='{code}'] input").check()
    page.locator(f"#bundle-1 [data-piece='{codes[0]}']").drag_to(page.locator("#bundle-2 .bundle-head"))
    expect(page.locator("#bundle-2 [data-piece]")).to_have_count(10)
    assert set(codes) <= set(holds(order)[2])


def test_the_same_by_keys_alone(order: Order, page: Page) -> None:
    before, piece = holds(order), top_of(order, 1)
    page.locator(f"#bundle-1 [data-piece='{piece.code}'] input").focus()
    page.keyboard.press("Space")
    for _ in range(60):  # on by Tab, past the other pieces, to the list of bundles
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == "to":
            break
    assert page.evaluate("document.activeElement.id") == "to-1"
    page.keyboard.type("bundle 2")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.value") == "move"
    page.keyboard.press("Enter")
    expect(page.locator(f"#bundle-2 [data-piece='{piece.code}']")).to_be_visible()
    assert piece.code in holds(order)[2]
    page.get_by_role("button", name="Undo").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Redo")).to_be_enabled()
    assert holds(order) == before


def test_a_started_bundle_takes_no_piece(order: Order, page: Page) -> None:
    bundle = order.bundles.get(number=2)
    bundle.started_at = orders.AT
    bundle.save(update_fields=["started_at"])
    before, piece = holds(order), top_of(order, 1)
    page.reload()
    page.locator(f"#bundle-1 [data-piece='{piece.code}']").drag_to(page.locator("#bundle-2 .bundle-head"))
    expect(page.locator(f"#bundle-1 [data-piece='{piece.code}']")).to_be_visible()
    assert holds(order) == before
