"""The shop floor page in a browser: no tap is lost or counted twice, scans from anywhere, room for gloves."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from framing.common.models import Role
from orders import services
from orders.models import Bundle, Order, Remake, ShopAction
from tests.e2e.pages import ORIGIN, open_browser
from tests.factories import orders, people
from tests.factories.people import client_of

pytestmark = [pytest.mark.e2e, pytest.mark.django_db]
LIST = "/orders/floor/"
TAPS = "**/orders/floor/*/*/"
GLOVE_PX = 56
Tablet = Callable[[], Page]


@pytest.fixture
def order() -> Order:
    return orders.released()


@pytest.fixture
def tablet(browser: Browser) -> Iterator[Tablet]:
    """Opens the page on tablets, each with a browser and a person of its own."""
    pages: list[Page] = []

    def opened() -> Page:
        page = open_browser(browser, client_of(people.user(Role.SHOP)), width=1280)
        page.goto(LIST)
        pages.append(page)
        return page

    yield opened
    for page in pages:
        page.context.close()


def first(order: Order) -> Bundle:
    return order.bundles.order_by("number")[0]


def down(route: Route) -> None:
    route.abort("internetdisconnected")


def test_one_tap_starts_another_finishes_and_a_third_takes_it_back(order: Order, tablet: Tablet) -> None:
    page, bundle = tablet(), first(order)
    page.locator(f"#b-{bundle.public_id} button[name=start]").click()
    expect(page.locator("#floor-said")).to_have_text(f"Bundle 1 of {order.number} is started.")
    finish = page.locator(f"#b-{bundle.public_id} button[name=finish]")
    before = finish.bounding_box()
    finish.click()
    expect(page.locator(f"#b-{bundle.public_id}")).to_contain_text("Finished")
    page.get_by_role("button", name="Take back").click()
    expect(page.locator(f"#b-{bundle.public_id}")).to_contain_text("Started")
    assert finish.bounding_box() == before, "nothing moves under a finger"
    bundle.refresh_from_db()
    assert (bundle.started_at is not None, bundle.finished_at) == (True, None)


def test_a_tap_outlives_a_line_that_is_down_and_a_reload(order: Order, tablet: Tablet) -> None:
    page, bundle = tablet(), first(order)
    page.route(TAPS, down)
    page.locator(f"#b-{bundle.public_id} button[name=start]").click()
    expect(page.locator("#floor-line")).to_contain_text("Kept on this tablet until the line is back")
    page.reload()
    expect(page.locator("#floor-line")).to_contain_text(f"Start {order.number} bundle 1")
    assert not ShopAction.objects.exists()
    page.unroute_all(behavior="wait")  # a tap that is being refused may be under way
    page.reload()
    expect(page.locator("#floor-line")).to_have_text("All taps are sent.")
    action = ShopAction.objects.get()
    assert (action.changed, action.tapped_at is not None) == (True, True)


def test_a_tap_whose_answer_was_lost_counts_once(order: Order, tablet: Tablet) -> None:
    page, bundle = tablet(), first(order)
    page.evaluate(
        """() => {
            const real = window.fetch;
            window.fetch = async (...all) => { await real(...all); window.fetch = real; throw new TypeError("lost"); };
        }"""
    )
    page.locator(f"#b-{bundle.public_id} button[name=start]").click()
    expect(page.locator("#floor-line")).to_have_text("All taps are sent.")
    expect(page.locator("#floor-said")).to_have_text(f"Bundle 1 of {order.number} is started.")
    assert ShopAction.objects.get().changed


def test_an_eager_finger_taps_once_and_does_not_finish(order: Order, tablet: Tablet) -> None:
    page, bundle = tablet(), first(order)
    page.locator(f"#b-{bundle.public_id} button[name=start]").dblclick()
    expect(page.locator(f"#b-{bundle.public_id}")).to_contain_text("Started")
    expect(page.locator("#floor-line")).to_have_text("All taps are sent.")
    assert [row.verb for row in ShopAction.objects.filter(changed=True)] == ["start"]


def test_two_tablets_see_one_state_and_one_history(order: Order, tablet: Tablet) -> None:
    here, there, bundle = tablet(), tablet(), first(order)
    for page in (here, there):
        page.locator(f"#b-{bundle.public_id} button[name=start]").click()
    expect(there.locator("#floor-said")).to_contain_text("was started already")
    expect(there.locator(f"#b-{bundle.public_id}")).to_contain_text("Started")
    here.locator(f"#b-{bundle.public_id} button[name=finish]").click()
    there.locator(f"#b-{bundle.public_id} button[name=finish]").click()
    expect(there.locator("#floor-said")).to_contain_text("was finished already")
    changed = ShopAction.objects.filter(bundle=bundle, changed=True).order_by("id")
    assert [row.verb for row in changed] == ["start", "finish"]
    assert ShopAction.objects.count() == 4, "every tap is kept"


def test_taps_of_another_person_wait_for_that_person(order: Order, browser: Browser) -> None:
    bundle = first(order)
    page = open_browser(browser, client_of(people.user(Role.SHOP)), width=1280)
    page.goto(LIST)
    page.route(TAPS, down)
    page.locator(f"#b-{bundle.public_id} button[name=start]").click()
    expect(page.locator("#floor-line")).to_contain_text("Kept on this tablet")
    page.unroute_all(behavior="wait")  # a tap that is being refused may be under way
    page.locator("#floor").evaluate(
        "floor => localStorage.setItem('taps:0', localStorage.getItem(`taps:${floor.dataset.tapper}`))"
    )
    page.locator("#floor").evaluate("floor => localStorage.removeItem(`taps:${floor.dataset.tapper}`)")
    page.reload()
    expect(page.locator("#floor-line")).to_have_text("All taps are sent.")
    assert not ShopAction.objects.exists()
    page.context.close()


def test_a_scanner_types_anywhere_and_a_wrong_piece_is_refused(order: Order, tablet: Tablet) -> None:
    page, bundle = tablet(), first(order)
    page.locator("h1").click()
    page.keyboard.type(f"{ORIGIN}/t/{bundle.code}/\n")
    expect(page.locator("#floor-said")).to_have_text(f"Bundle 1 of {order.number} is started.")
    page.goto(f"/orders/floor/{bundle.public_id}/")
    own, foreign = bundle.pieces.all()[0], order.bundles.get(number=2).pieces.all()[0]
    page.keyboard.type(f"{foreign.code}\n")
    expect(page.locator("#floor-said")).to_contain_text("belongs to bundle 2, not to bundle 1")
    page.keyboard.type(f"{own.code}\n")
    expect(page.locator("#floor-check")).to_contain_text("Scanned, of all: 1 / 9. Missing:")
    page.get_by_text("Bent or twisted").click()
    page.get_by_role("button", name="Scrap and ask again").click()
    expect(page.locator("#floor-again")).to_contain_text(own.mark)
    assert Remake.objects.get().piece == own
    page.get_by_role("button", name=f"Made {own.mark}").click()
    expect(page.locator("#floor-again")).to_contain_text("No piece of this bundle waits")


def test_a_weight_that_is_off_warns_with_both_figures(order: Order, tablet: Tablet) -> None:
    page, bundle = tablet(), first(order)
    services.bundle_start(actor=people.actor(Role.SHOP), at=orders.AT, bundle=bundle)
    page.goto(f"/orders/floor/{bundle.public_id}/")
    page.get_by_label("Weight on the scale").fill(str(bundle.weight_lb * 2))
    page.get_by_role("button", name="Keep the weight").click()
    expect(page.locator("#floor-said")).to_contain_text("computed: 100.0 % more")
    expect(page.locator("#floor-told")).to_contain_text("computed: 100.0 % more")


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (800, 1280), (390, 844)])
def test_targets_are_big_enough_for_gloves_and_nothing_runs_over(
    order: Order, tablet: Tablet, width: int, height: int
) -> None:
    page, bundle = tablet(), first(order)
    page.set_viewport_size({"width": width, "height": height})
    for address in (LIST, f"/orders/floor/{bundle.public_id}/"):
        page.goto(address)
        small = page.evaluate(
            """least => [...document.querySelectorAll('#floor :is(a, button, label.floor-tile, input)')]
                .filter(one => !one.matches('[type=radio], [type=hidden]'))
                .filter(one => one.offsetParent && !one.closest('.pager') && one.getBoundingClientRect().height < least)
                .map(one => one.outerHTML.slice(0, 120))""",
            GLOVE_PX,
        )
        assert small == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
