"""Every page there is, with a browser's client that can read it; the axe test looks at each."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any
from urllib.parse import quote

from django.test import Client

from framing.common.actors import by_link as by_link_actor
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.links import link_make
from framing.common.listing_saved import saved_filter_make
from framing.common.models import LinkPurpose, MailMessage, Role, User
from framing.projects.models import Floor
from framing.projects.plan_reading import plan_file_settle
from framing.projects.plan_services import floor_underlay_set, plan_file_add
from framing.projects.practice_services import practice_set_draft
from orders.bundle_reads import bundle_table
from orders.models import Bundle, Delivery, NoticeMissed, Order, Trip, Truck
from orders.services import (
    bundles_edit,
    change_apply,
    change_ask,
    delivery_link_make,
    deposit_record,
    drawings_send,
    trip_link_make,
)
from orders.services.bundles import Step
from quotes.models import Alternate, PriceBook, QuoteRevision
from quotes.price_reads import document_of, price_book_in_force
from quotes.services import (
    price_book_draft,
    quote_accept,
    quote_link_make,
    quote_send,
    revision_issue,
    thread_answer,
    thread_ask,
)
from tests.common.demo import addresses
from tests.common.routes import Route, all_routes
from tests.projects import plan_seeds, reading_dxf_files

STAFF = (Role.MANAGER, Role.SELLER, Role.PLANNER)
# Whose pages they are first of all; what he may not read, the manager shows.
OWN = {"quotes": Role.SELLER, "projects": Role.SELLER, "orders": Role.PLANNER}
ROUTES = [route for route in all_routes() if not route.is_api and not route.is_admin]
# pages of builders and strangers, reached by name in `visits_of_others`
OTHERS = {
    "account_login", "account_signup", "quotes:your_quote", "quotes:your_quote_accept", "orders:your_delivery",
    "orders:your_order", "orders:drawings_send", "orders:your_tag", "orders:your_thing", "tag_door",
    "orders:change_page", "orders:change_ask", "orders:driver_trip",
    "orders:delivery_change", "orders:delivery_reschedule", "orders:delivery_things", "orders:delivery_drop",
    "orders:truck_page", "orders:trucks_day", "orders:trip_move", "orders:loading", "orders:loading_page",
    "projects:sheet_page", "orders:delivery_new", "projects:plan_page",
    "projects:import_file", "projects:import_draw", "quotes:alternate_page", "quotes:alternate_new",
    "quotes:your_quote_changes", "quotes:mail_template", "common:saved_make", "common:saved_change",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Visit:
    """A page to look at: a route's name or words for it, its address, and whose browser sees it."""

    name: str
    address: str
    client: Client


def browser_client() -> Client:
    return Client(headers={"host": "localhost"})


def signed_in(role: str) -> Client:
    client = browser_client()
    client.force_login(User.objects.filter(role=role).order_by("id")[0])
    return client


def is_page(client: Client, address: str) -> bool:
    """Whether the address answers a whole page, neither a part of one nor a file."""
    answer = client.get(address)
    return answer.status_code == 200 and is_whole_page(answer)


def is_whole_page(answer: Any) -> bool:
    """Told by the markup: the test client's answers have no type of their own."""
    return answer["Content-Type"].startswith("text/html") and b"<html" in answer.content


def visits_of(role: str, *, whole: bool = False) -> list[Visit]:
    """The last object's page of each kind that is first of all this person's; `whole`: all that he reads, and the
    first object's page too.
    """
    client = signed_in(role)
    asked = [
        Visit(route.name, address, client)
        for route in ROUTES
        if route.name not in OTHERS and (whole or role in (Role.MANAGER, owner(route.name)))
        for address in dict.fromkeys(addresses(route)[0 if whole else -1 :])
    ]
    return [visit for visit in asked if is_page(client, visit.address)]


def owner(name: str) -> str:
    return OWN.get(name.split(":")[0], Role.MANAGER)


def each_kind(visits: dict[str, list[Visit]]) -> list[Visit]:
    """One visit of each route, as the person whose work it is."""
    chosen: dict[str, Visit] = {}
    for role in STAFF:
        for visit in visits[role]:
            if visit.name not in chosen or role == owner(visit.name):
                chosen[visit.name] = visit
    return [chosen[name] for name in sorted(chosen)]


def is_no_page(route: Route, clients: list[Client]) -> bool:
    """Whether somebody learns that this address takes forms only, or gets something else than a page from it."""
    address = addresses(route)[0]
    return any(
        answer.status_code == 405 or (answer.status_code == 200 and not is_whole_page(answer))
        for answer in (client.get(address) for client in clients)
    )


def draft_a_practice_set() -> None:
    """The one thing that the demo company lacks: a practice set that is not in force."""
    manager = person(User.objects.get(role=Role.MANAGER))
    why = "Holes farther from bearings"
    practice_set_draft(actor=manager, at=database_now(), name="Shop practice", values={}, reason=why)


def draft_a_price_book() -> None:
    """A copy of the price book in force: the demo company has one in force and one in review, but none in draft."""
    manager = person(User.objects.get(role=Role.MANAGER))
    data = document_of(price_book_in_force()).model_dump()
    price_book_draft(actor=manager, data=data, at=database_now())


def price_book_in_review() -> Visit:
    """The form that puts a price book in force: of the one that was reviewed, neither the first nor the last."""
    book = PriceBook.objects.get(state="review")
    address = f"/quotes/price-book/{book.public_id}/force/"
    return Visit("quotes:price_book_put_in_force", address, signed_in(Role.MANAGER))


def visits_of_others() -> list[Visit]:
    """Pages of strangers and of builders who came by a link, and what is said when something is not there."""
    stranger, at = browser_client(), database_now()
    manager = person(User.objects.get(role=Role.MANAGER))
    dispatcher = person(User.objects.get(role=Role.DISPATCHER))
    revision = QuoteRevision.objects.filter(quote__stage="issued", issued_at__isnull=False).latest("id")
    delivery = Delivery.objects.filter(delivered_at=None).order_by("id")[0]
    _, quote = quote_link_make(actor=manager, revision=revision, for_name="Rae", at=at)
    _, load = delivery_link_make(actor=dispatcher, delivery=delivery, for_name="Rae", at=at)
    return [
        Visit("account_login", "/account/login/", stranger),
        Visit("account_signup", "/account/signup/", stranger),
        Visit("not found", "/no-such-page/", signed_in(Role.SELLER)),
        Visit("refused", "/quotes/price-book/", signed_in(Role.SHOP)),
        by_link("quotes:your_quote", quote),
        *mails_and_words(revision, quote),
        changes_since_the_last_offer(),
        *alternates(),
        *tags_of(by_link("orders:your_delivery", load), delivery),
        drivers_trip(),
        *pages_of_the_yard(),
        *drawings_to_approve(),
        calculation_sheet(),
        planned_delivery(),
        *bundles_to_change(),
        *changes_of_an_order(),
        *plans(),
        *imports(),
        price_book_in_review(),
        *saved_filters(),
    ]


def tags_of(visit: Visit, delivery: Delivery) -> list[Visit]:
    """The builder's delivery, what a tag of it says to him, and what staff read about a code that is not in use."""
    bundle = delivery.order.bundles.order_by("number")[0]
    page = f"{visit.address}tag/?code="
    return [
        visit,
        Visit("orders:your_tag", page + bundle.code, visit.client),
        Visit("orders:your_thing", f"{visit.address}thing/{bundle.code}/", visit.client),
        Visit("orders:your_tag of nothing", page + "0" * 12, visit.client),
        Visit("tag_door", f"/t/{'0' * 12}/", signed_in(Role.SHOP)),
    ]


def pages_of_the_yard() -> list[Visit]:
    """The dispatcher's forms of a delivery that may be changed, with and without bundles that could come onto it, a
    truck, a day of trucks, a bundle to move there, and the yard hand's page of what to load.
    """
    client = signed_in(Role.DISPATCHER)
    trip = Trip.objects.filter(loads__bundles__isnull=False, left_at=None).order_by("-id")[0]
    thing = Bundle.objects.filter(load__trip=trip).order_by("number")[0]
    delivery = Delivery.objects.filter(dropped_at=None, loads__loaded_at=None, loads__trip=trip)[0]
    page, day = f"/orders/deliveries/{delivery.public_id}/", f"/orders/trucks/{trip.day}/"
    forms = [
        Visit(f"orders:delivery_{name}", page + address, client)
        for name, address in (
            ("change", "change/"),
            ("reschedule", "day/"),
            ("things", "things/"),
            ("drop", "drop/"),
        )
    ]
    notices = "/orders/deliveries/notices/sent/"
    notice_unsent(delivery)
    return [
        *forms,
        Visit(
            "orders:truck_page", f"/orders/deliveries/trucks/{Truck.objects.latest('id').public_id}/", client
        ),
        Visit(
            "orders:delivery_board of its week",
            f"/orders/deliveries/by-day/?day={delivery.planned_for}",
            client,
        ),
        Visit("orders:trucks_day", day, client),
        Visit("orders:trip_move", f"{day}move/?thing={thing.order.number}-B{thing.number}", client),
        Visit("orders:loading", "/orders/trucks/loading/", client),
        Visit("orders:loading_page", f"/orders/trucks/loading/{trip.public_id}/", client),
        Visit("orders:notice_sent with one that nobody got", notices, client),
        Visit("orders:delivery_page of the dispatcher", page, client),
    ]


def notice_unsent(delivery: Delivery) -> None:
    """One notice that could not be made."""
    NoticeMissed.objects.create(
        key=f"planned.delivery.{delivery.pk}.0.builder.0", order=delivery.order, move="planned", to="builder",
        name="Rae Winter", asked={"values": {"delivery": delivery.number}}, why="No mail address.", at=database_now(),
    )  # fmt: skip


def drivers_trip() -> Visit:
    """The driver's page of a trip that carries something."""
    dispatcher = person(User.objects.get(role=Role.DISPATCHER))
    trip = Trip.objects.filter(loads__isnull=False).order_by("id")[0]
    _, address = trip_link_make(actor=dispatcher, trip=trip, for_name="Dee", at=database_now())
    return by_link("orders:driver_trip", address)


def drawings_to_approve() -> list[Visit]:
    """The form that sends drawings, the builder's order while he is asked, and the order's page with a deposit."""
    manager, at = person(User.objects.get(role=Role.MANAGER)), database_now()
    order = Order.objects.filter(stage="booked", drawings_approved_at=None).order_by("id")[0]
    drawings_send(
        actor=manager, at=at, order=order, people=[("Sam", "sam@builder.example")], key="axe-drawings"
    )
    deposit_record(
        actor=manager, at=at, order=order, amount=Decimal(5), received_on=order.created_at.date(), key="axe-5"
    )
    _, secret = link_make(
        actor=manager,
        purpose=LinkPurpose.ORDER,
        subject=order,
        for_name="Rae",
        expires_at=at + timedelta(days=1),
        at=at,
    )
    staff, here = signed_in(Role.MANAGER), f"/orders/{order.public_id}/"
    return [
        by_link("orders:your_order", f"/l/{secret}/"),
        Visit("orders:drawings_send", f"{here}drawings/send/", staff),
        Visit("orders:order_page with drawings and a deposit", here, staff),
    ]


def saved_filters() -> list[Visit]:
    """A list with filters and one that is left out, the forms of a saved filter, all of them, and what was found."""
    actor, at = person(User.objects.filter(role=Role.SELLER).order_by("id")[0]), database_now()
    query = "stage=issued&sort=-total&cols=number,project,total"
    row = saved_filter_make(actor=actor, at=at, key="quotes", name="Issued", query=query, shared=True)
    client = signed_in(Role.SELLER)
    return [
        Visit("common:saved_make", f"/lists/quotes/save/?query={quote(query)}", client),
        Visit("common:saved_change", f"/lists/saved/{row.public_id}/", client),
        Visit("common:saved_page with one", "/lists/saved/", client),
        Visit("quotes:quote_list filtered", f"/quotes/?{query}&valid_from=2020-01-01&colour=red", client),
        Visit("common:find with hits", "/find/?q=marsh", client),
    ]


def mails_and_words(revision: QuoteRevision, address: str) -> list[Visit]:
    """An offer with mails and a thread, as staff see it, and the form for the words of a mail."""
    manager, at = person(User.objects.get(role=Role.MANAGER)), database_now()
    people = [("Sam", "sam@builder.example")]
    (mail,) = quote_send(actor=manager, revision=revision, people=people, key="axe", at=at)
    assert mail.link
    thread_ask(actor=by_link_actor(mail.link), revision=revision, text="Can the stair move?", at=at)
    thread_answer(actor=manager, quote=revision.quote, text="By 6 in, yes.", at=at)
    thread_ask(actor=by_link_actor(mail.link), revision=revision, text="Thank you.", at=at)
    MailMessage.objects.filter(pk=mail.pk).update(state="failed", answer="550 no such box")
    staff = signed_in(Role.MANAGER)
    return [
        by_link("quotes:your_quote with a thread", address),
        Visit("quotes:quote_thread with words", f"/quotes/{revision.quote.public_id}/thread/", staff),
        Visit("quotes:mail_template", "/quotes/mail/quote_sent/", staff),
    ]


def calculation_sheet() -> Visit:
    """A case's sheet, by the first reference on the floor's list of cases."""
    client = signed_in(Role.SELLER)
    address = addresses(next(route for route in ROUTES if route.name == "projects:sheet_list"))[-1]
    reference = re.search(rf'href="({address}[A-Z]\d+/)', client.get(address).content.decode())
    assert reference
    return Visit("projects:sheet_page", reference[1], client)


def alternates() -> list[Visit]:
    """An alternate of an issued offer, and the form for one more on a draft."""
    alternate = Alternate.objects.latest("id")
    draft = QuoteRevision.objects.filter(issued_at=None).latest("id")
    base = f"/quotes/revisions/{alternate.revision.public_id}/alternates/{alternate.letter}/"
    return [
        Visit("quotes:alternate_page", base, signed_in(Role.SELLER)),
        Visit(
            "quotes:alternate_new",
            f"/quotes/revisions/{draft.public_id}/alternates/new/",
            signed_in(Role.MANAGER),
        ),
    ]


def changes_since_the_last_offer() -> Visit:
    """The builder's comparison of a second revision with the first."""
    revision = QuoteRevision.objects.filter(number=2, issued_at__isnull=False).latest("id")
    manager = person(User.objects.get(role=Role.MANAGER))
    _, link = quote_link_make(actor=manager, revision=revision, for_name="Rae", at=database_now())
    opened = by_link("quotes:your_quote_changes", link)
    return Visit(opened.name, opened.address + "changes/", opened.client)


def planned_delivery() -> Visit:
    """The form for an order that has no delivery yet."""
    client = signed_in(Role.DISPATCHER)
    order = Order.objects.filter(stage="bundled", deliveries=None).first()
    assert order
    return Visit("orders:delivery_new", f"/orders/{order.public_id}/delivery/", client)


def bundles_to_change() -> list[Visit]:
    """An order's bundles that may be changed, one of them split, and what bundling them anew would give."""
    planner = User.objects.filter(role=Role.PLANNER).order_by("id")[0]
    order, at = Order.objects.filter(stage="released", deliveries=None).order_by("id")[0], database_now()
    version, step = (
        bundle_table(order).version,
        Step("split", number=order.bundles.order_by("number")[0].number, at=3),
    )
    bundles_edit(actor=person(planner), at=at, order=order, version=version, step=step)
    page, client = f"/orders/{order.public_id}/bundles/", signed_in(Role.PLANNER)
    return [
        Visit("orders:bundle_plan to change", page, client),
        Visit("orders:bundle_anew to change", f"{page}anew/", client),
    ]


def changes_of_an_order() -> list[Visit]:
    """The form that asks for a change of a rolling order, its page as a draft, and that of one in its order."""
    manager, at = person(User.objects.get(role=Role.MANAGER)), database_now()
    in_the_shop = Order.objects.filter(stage__in=("rolling", "bundled"), deliveries=None, changes=None)
    rolling = in_the_shop.order_by("id")[0]
    booked = Order.objects.filter(stage="booked", changes=None).order_by("id")[0]
    staff, here = signed_in(Role.MANAGER), f"/orders/{rolling.public_id}/changes/"
    change_ask(actor=manager, at=at, order=booked, why="A room less")
    done = change_ask(actor=manager, at=at, order=rolling, why="A wider hall")
    revision_issue(actor=manager, revision=done.revision, key="axe-change", at=at)
    quote_accept(actor=manager, revision=done.revision, name="Rae", why="by telephone", key="axe-yes", at=at)
    change_apply(actor=manager, at=at, change=done)
    return [
        Visit("orders:change_ask", f"{here}ask/", staff),
        Visit("orders:change_page", f"/orders/{booked.public_id}/changes/1/", staff),
        Visit("orders:change_page in the order", f"{here}1/", staff),
        Visit("orders:order_page with a change", f"/orders/{rolling.public_id}/", staff),
    ]


def imports() -> list[Visit]:
    """A drawing that gives a floor, one that asks, a list of corners with errors; and the editor with the floor."""
    client, seller = signed_in(Role.SELLER), User.objects.filter(role=Role.SELLER).order_by("id")[0]
    project = Floor.objects.order_by("id")[0].project
    files = []
    for name, data in (
        ("plan.dxf", reading_dxf_files.townhouse()),
        ("corners.csv", b"x,y\n0,0\n9 cubits,1\n"),
    ):
        plan = plan_file_add(actor=person(seller), at=database_now(), project=project, name=name, data=data)
        plan_file_settle(plan.pk)
        files.append(f"/projects/{project.public_id}/plans/{plan.public_id}/import/")
    return [
        *(
            Visit("projects:import_file", address, client)
            for address in (files[0], f"{files[0]}?outline=-1", files[1])
        ),
        Visit("projects:import_draw", f"{files[0]}draw/", client),
    ]


def plans() -> list[Visit]:
    """A plan that is read, one that waits and one that can't be read; and the editor with a page under it."""
    client, seller = signed_in(Role.SELLER), User.objects.filter(role=Role.SELLER).order_by("id")[0]
    floor = Floor.objects.order_by("id")[0]
    files = [
        plan_file_add(
            actor=person(seller), at=database_now(), project=floor.project, name=f"{name}.pdf", data=data
        )
        for name, data in (("Read", plan_seeds.pdf(2)), ("Torn", b"%PDF-1.7"), ("Waits", plan_seeds.pdf()))
    ]
    for plan in files[:2]:
        plan_file_settle(plan.pk)
    floor_underlay_set(actor=person(seller), floor=floor, page=files[0].pages.get(number=1))
    pages = [
        Visit("projects:plan_page", f"{project_plans(floor)}{plan.public_id}/", client) for plan in files
    ]
    list_page = Visit("projects:plan_list", project_plans(floor), client)
    return [
        *pages,
        list_page,
        Visit("drawing over a plan", f"/projects/floors/{floor.public_id}/draw/", client),
    ]


def project_plans(floor: Floor) -> str:
    return f"/projects/{floor.project.public_id}/plans/"


def by_link(name: str, link: str) -> Visit:
    client = browser_client()
    opened = client.get("/l/" + link.rstrip("/").rsplit("/", 1)[1] + "/")
    return Visit(name, opened["Location"], client)
