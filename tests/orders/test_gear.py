"""What unloads on site: what is too heavy for it is told wherever somebody could act on it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db.models import Count
from django.test import Client
from django.urls import reverse

from framing.common.models import Role
from orders import services
from orders.delivery_gear import (
    USUAL_LB,
    heavy_words,
    is_too_heavy,
    lift,
    lift_of,
    reach_words,
    too_heavy_rows,
    usual_words,
)
from orders.delivery_reads import board, first_day
from orders.manifest_facts import load_rows, manifest_csv_rows, manifest_of
from orders.models import Bundle, Carton, Delivery
from orders.states import Gear
from tests.factories import deliveries, loads, orders, people

pytestmark = pytest.mark.django_db
AT = orders.AT


def client(role: str = Role.DISPATCHER) -> Client:
    return people.client_of(people.user(Role(role)))


def bundle(number: int, weight: str, weighed: str | None = None) -> Bundle:
    return Bundle(number=number, weight_lb=Decimal(weight), weighed_lb=Decimal(weighed) if weighed else None)


def with_gear(gear: str, limit: int | None) -> Delivery:
    delivery = orders.planned()
    return services.delivery_change(
        actor=deliveries.dispatcher(), at=AT, delivery=delivery, contact="Rae", gear=gear, gear_limit_lb=limit
    )


# --- what is too heavy ---


def test_what_weighs_as_much_as_is_lifted_may_go_and_a_tenth_of_a_pound_more_is_told() -> None:
    what = lift("crane", 1500)
    assert heavy_words([bundle(1, "1500.0")], what) == ()
    told = heavy_words([bundle(1, "1500.0"), bundle(2, "1500.1")], what)
    assert told == (
        "Bundle 2 weighs 1,500 lb; the crane there lifts 1,500 lb.",
        "Split them, or ask for more.",
    )


def test_the_scale_goes_before_what_was_reckoned() -> None:
    what = lift("forklift", 1000)
    assert not is_too_heavy(bundle(1, "1100", "990"), what)
    assert is_too_heavy(bundle(1, "990", "1100"), what)


@pytest.mark.parametrize("gear", Gear.values)
def test_where_nobody_knows_a_cautious_figure_is_taken_and_said_to_be_one(gear: str) -> None:
    what = lift(gear, None)
    assert (what.limit_lb, what.known) == (USUAL_LB[gear], False)
    assert "common practice, no source" in what.words
    assert f"{USUAL_LB[gear]:,}" in usual_words()
    told = heavy_words([bundle(1, str(USUAL_LB[gear] + 1))], what)
    assert f"about {USUAL_LB[gear]:,} lb" in told[0]


def test_the_cautious_figures_are_the_least_of_common_ones() -> None:
    """A quarter of the smallest usual telehandler, the smallest usual forklift, two people of 50 lb each."""
    assert USUAL_LB[Gear.TELEHANDLER] == 6_000 // 4
    assert USUAL_LB[Gear.FORKLIFT] == 5_000
    assert USUAL_LB[Gear.HAND] == 2 * 50
    assert USUAL_LB[Gear.CRANE] < USUAL_LB[Gear.TELEHANDLER]


def test_many_are_drawn_together_so_that_the_warning_stays_short() -> None:
    rows: list[Bundle | Carton] = [bundle(n, str(1000 + n)) for n in (1, 2, 3, 5)]
    rows.append(Carton(number=2, weight_lb=Decimal(700)))
    told = heavy_words(rows, lift("hand", None))
    assert told == (
        "Bundles 1 to 3, 5 and carton 2 weigh 700 to 1,005 lb each; people there carry about 100 lb by hand.",
        "What is heavier is opened on the truck and carried piece by piece.",
    )


def test_a_rating_at_the_base_is_asked_about_at_full_reach() -> None:
    rows = [bundle(1, "1500"), bundle(2, "1501"), bundle(3, "7000")]
    told = reach_words(rows, lift("telehandler", 6000))
    assert "1,500 lb or less at full reach: too little for Bundle 2." in told
    assert reach_words(rows, lift("telehandler", 5999)) == "", "told for the place, then"
    assert reach_words(rows, lift("crane", 6000)) == ""
    assert reach_words(rows[:1], lift("telehandler", 6000)) == ""


@pytest.mark.parametrize("gear", Gear.values)
@pytest.mark.parametrize("limit", [None, 99, 251, 1_000_00])
def test_the_database_counts_what_is_told(gear: str, limit: int | None) -> None:
    delivery = with_gear(gear, limit)
    rows = list(delivery.bundles.all())
    Bundle.objects.filter(pk=rows[0].pk).update(weighed_lb=USUAL_LB[Gear(gear)] + Decimal("0.1"))
    counted = Delivery.objects.annotate(many=Count("bundles", filter=too_heavy_rows(), distinct=True)).get()
    assert counted.many == sum(is_too_heavy(row, lift_of(delivery)) for row in delivery.bundles.all())


# --- where it is told ---


def test_it_is_told_on_every_page_where_somebody_could_still_act() -> None:
    delivery = with_gear("forklift", 6000)
    who, first = client(), delivery.bundles.order_by("number")[0]
    Bundle.objects.filter(pk=first.pk).update(weighed_lb=6001)
    words = f"Bundle {first.number} weighs 6,001 lb; the rough-terrain forklift there lifts 6,000 lb."
    day = reverse("orders:trucks_day", args=[delivery.planned_for])
    page = reverse("orders:delivery_page", args=[delivery.public_id])
    shown = who.get(page).content.decode()
    assert words in shown
    assert shown.count("Too heavy to unload") == 1
    assert f"Too heavy for what unloads there: {words}" in shown, "asked once more before it is marked loaded"
    assert words in who.get(day).content.decode(), "also while it waits for a truck"
    (trip,) = loads.taken([delivery])
    load = trip.loads.get()
    assert words in who.get(day).content.decode()
    assert words in who.get(reverse("orders:trip_page", args=[trip.public_id])).content.decode()
    manifest = manifest_of(load_rows().get(pk=load.pk))
    assert words in manifest.warnings
    assert manifest_csv_rows(manifest)[0][0] == manifest.number
    assert next(line for line in manifest.bundles if line.number == first.number).too_heavy == words


def test_the_board_marks_it_in_words() -> None:
    delivery = with_gear("hand", None)
    things = [*delivery.bundles.all(), *delivery.cartons.all()]
    count = sum(row.weight_lb > 100 for row in things)
    assert count > delivery.bundles.count(), "cartons too"
    first, days = first_day("week", delivery.planned_for)
    (entry,) = [
        e for row in board(first, days, AT.date(), AT).rows for cell in row.cells for e in cell.entries
    ]
    assert ("heavy", f"{count} too heavy") in entry.marks
    url = f"{reverse('orders:delivery_board')}?day={delivery.planned_for}"
    assert f"{count} too heavy" in client().get(url).content.decode()


def test_it_is_no_longer_told_once_all_is_received() -> None:
    delivery = with_gear("forklift", 120)
    who, url = client(), reverse("orders:delivery_page", args=[delivery.public_id])
    services.delivery_load(actor=deliveries.dispatcher(), at=AT, delivery=delivery)
    assert "Too heavy for what unloads there" in who.get(url).content.decode()
    services.delivery_deliver(actor=deliveries.dispatcher(), at=AT, delivery=delivery, received_by="Rae")
    assert "Too heavy for what unloads there" not in who.get(url).content.decode()


def test_it_warns_and_does_not_refuse() -> None:
    delivery = with_gear("hand", None)
    assert services.delivery_load(actor=deliveries.dispatcher(), at=AT, delivery=delivery).state == "loaded"


def test_where_the_figure_is_entered_the_form_says_what_is_taken_without_one() -> None:
    delivery = orders.planned()
    shown = client().get(reverse("orders:delivery_change", args=[delivery.public_id])).content.decode()
    assert usual_words() in shown
