"""What differs between an order and its floors as saved now (R45): every piece once, the same steel kept."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from framing.common.actors import person
from framing.common.models import Role
from framing.projects import services as projects
from framing.projects.selectors import floor_version
from orders import services
from orders.change_reads import floors_now
from orders.changes import Difference, PlacedPiece, difference, take_up
from orders.models import Order
from tests.factories import orders, people

AT = orders.AT
JOIST = PlacedPiece(
    "f1", 1, "A.J1/1", "1J01", "joist", "1000S162-54", ("A", "along", 256, 1), 24, 3000, (384, 768)
)


def test_marks_and_ids_never_decide() -> None:
    found = difference([JOIST], [replace(JOIST, id="A.J9/1", mark="1J07")])
    assert found.is_nothing
    assert [(a.mark, b.mark) for a, b in found.kept] == [("1J01", "1J07")]


def test_the_same_steel_elsewhere_on_its_floor_is_kept() -> None:
    moved = replace(JOIST, place=("A", "along", 512, 1))
    assert difference([JOIST], [moved]).kept == ((JOIST, moved),)
    upstairs = replace(JOIST, floor="f2")
    found = difference([JOIST], [upstairs])
    assert (found.removed, found.added) == ((JOIST,), (upstairs,))


@pytest.mark.parametrize("other", [{"length_16": 3016}, {"profile": "1200S162-54"}, {"holes_16": (384,)}])
def test_other_steel_in_its_place_is_a_change(other: dict[str, object]) -> None:
    changed = replace(JOIST, **other)  # type: ignore[arg-type]
    found = difference([JOIST], [changed])
    assert found.changed == ((JOIST, changed),)
    assert found.gone == (JOIST,)
    assert not found.kept


def test_what_stayed_in_place_is_not_taken_for_what_moved() -> None:
    # two equal joists; the first goes, the second stays: it must be the second that is kept
    second = replace(JOIST, id="A.J2/1", place=("A", "along", 512, 1))
    found = difference([JOIST, second], [replace(second, id="A.J1/1")])
    assert found.removed == (JOIST,)
    assert found.kept[0][0] == second


pieces = st.builds(
    PlacedPiece,
    floor=st.sampled_from(("f1", "f2")), copy=st.integers(1, 2), id=st.just(""), mark=st.sampled_from("ab"),
    kind=st.sampled_from(("joist", "trimmer")), profile=st.sampled_from(("P", "Q")),
    place=st.tuples(st.just("A"), st.just("along"), st.integers(1, 4), st.just(1)), low_16=st.just(0),
    length_16=st.sampled_from((1600, 3200)), holes_16=st.sampled_from(((), (384,))),
)  # fmt: skip


def numbered(found: list[PlacedPiece]) -> list[PlacedPiece]:
    return [replace(piece, id=f"{index}/1") for index, piece in enumerate(found)]


@settings(
    deadline=None, suppress_health_check=[HealthCheck.too_slow]
)  # busy machines are no fault of the code
@given(st.lists(pieces, max_size=14).map(numbered), st.lists(pieces, max_size=14).map(numbered))
def test_every_piece_stands_once_and_no_steel_is_thrown_away(
    before: list[PlacedPiece], after: list[PlacedPiece]
) -> None:
    found = difference(before, after)
    pairs = (*found.kept, *found.changed)
    assert Counter([a for a, _ in pairs] + list(found.removed)) == Counter(before)
    assert Counter([b for _, b in pairs] + list(found.added)) == Counter(after)
    assert all(a.steel == b.steel for a, b in found.kept)
    assert all(a.steel != b.steel and a.stands == b.stands for a, b in found.changed)
    gone = Counter(piece.steel for piece in found.gone)
    come = Counter(piece.steel for piece in (*found.added, *(b for _, b in found.changed)))
    assert not gone & come, "steel that is needed again is kept"


@settings(
    deadline=None, suppress_health_check=[HealthCheck.too_slow]
)  # busy machines are no fault of the code
@given(*[st.lists(pieces, max_size=9).map(numbered)] * 3)
def test_as_much_flagged_steel_is_taken_up_as_fits(
    before: list[PlacedPiece], after: list[PlacedPiece], flagged: list[PlacedPiece]
) -> None:
    spare = [lying(piece, f"C{index}") for index, piece in enumerate(flagged)]
    was = difference(before, after)
    found = take_up(was, spare)
    assert found.kept == was.kept
    assert Counter(found.gone) == Counter(was.gone)
    assert Counter(found.to_roll) + Counter(b for _, b in found.taken_up) == Counter(was.to_roll)
    assert not Counter(a for a, _ in found.taken_up) - Counter(spare), "each lies there once"
    assert all(a.cut == b.cut for a, b in found.taken_up)
    left = Counter(piece.cut for piece in spare) - Counter(a.cut for a, _ in found.taken_up)
    assert not left & Counter(piece.cut for piece in found.to_roll), "what lies about is not rolled again"


@settings(
    deadline=None, suppress_health_check=[HealthCheck.too_slow]
)  # busy machines are no fault of the code
@given(st.lists(pieces, max_size=14).map(numbered), st.randoms(use_true_random=False))
def test_the_same_pieces_in_another_order_are_no_difference(before: list[PlacedPiece], dice: object) -> None:
    after = list(before)
    dice.shuffle(after)  # type: ignore[attr-defined]
    assert difference(before, after).is_nothing


# --- steel that an earlier change flagged ---


def lying(piece: PlacedPiece, code: str = "C1", **fields: Any) -> PlacedPiece:
    return replace(piece, id=code, place=("", "", 0, 0), low_16=0, **fields)


def test_flagged_steel_serves_a_piece_that_is_added() -> None:
    spare = lying(JOIST)
    found = take_up(difference([], [JOIST]), [spare])
    assert found == Difference((), (), (), (), taken_up=((spare, JOIST),))
    assert not found.is_nothing, "the bundle's tag must be made anew"
    assert found.to_roll == ()


def test_what_stood_where_flagged_steel_goes_is_removed() -> None:
    short = replace(JOIST, length_16=2800)
    found = take_up(difference([short], [JOIST]), [lying(JOIST)])
    assert (found.removed, found.gone, found.changed, found.added) == ((short,), (short,), (), ())


@pytest.mark.parametrize("other", [{"length_16": 3016}, {"profile": "1200S162-54"}, {"holes_16": (384,)}])
def test_flagged_steel_that_is_cut_otherwise_stays_flagged(other: dict[str, Any]) -> None:
    found = take_up(difference([], [JOIST]), [lying(JOIST, **other)])
    assert (found.added, found.taken_up) == ((JOIST,), ())


def test_the_same_floor_comes_first_then_any_other() -> None:
    upstairs, trimmer = lying(JOIST, "C1", floor="f2"), lying(JOIST, "C2", kind="trimmer")
    here = lying(JOIST, "C3")
    assert take_up(difference([], [JOIST]), [upstairs, trimmer, here]).taken_up == ((here, JOIST),)
    assert take_up(difference([], [JOIST]), [upstairs, trimmer]).taken_up == ((upstairs, JOIST),)


# --- the page ---


def closer(order: Order) -> None:
    """Save the order's floor again with its joists at 12 in."""
    floor = order.revision.quote.project.floors.get(position=1)
    document = floor_version(floor).document
    document["bays"][0]["spacing"] = "12"
    projects.floor_save(
        actor=person(order.owner), at=AT, floor=floor, document=document, base_version=floor.version
    )


@pytest.mark.django_db
def test_floors_as_accepted_are_the_same_steel() -> None:
    order = orders.released()
    found = floors_now(order, AT)
    assert found.is_nothing
    assert found.kept == order.pieces.count()
    page = people.client_of(Role.SHOP).get(reverse("orders:floors_now", args=[order.public_id]))
    assert "The same steel." in page.content.decode()


@pytest.mark.django_db
def test_closer_joists_are_added_and_what_was_begun_is_counted() -> None:
    # 24 ft at 16 in are 17 joists, at 12 in 23 (stations at 12, 24, ... 276 in): six more of the same steel
    order = orders.rolling()
    closer(order)
    found = floors_now(order, AT)
    assert (found.kept, found.rolled) == (17, 0)
    assert [(row.verb, row.count) for row in found.rows] == [("added", 6)]
    planner = people.client_of(Role.PLANNER)
    there = reverse("orders:floors_now", args=[order.public_id])
    assert there in planner.get(reverse("orders:order_page", args=[order.public_id])).content.decode()
    assert "Added" in planner.get(there).content.decode()
    told = planner.get(f"/api/v1/orders/{order.public_id}/floors/").json()
    assert (told["kept"], [row["count"] for row in told["rows"]]) == (17, [6])


@pytest.mark.django_db
def test_a_shorter_floor_changes_every_joist_and_says_which_were_begun() -> None:
    order = orders.rolling()
    bundle = order.bundles.all()[0]
    services.bundle_finish(actor=people.actor(Role.SHOP), at=AT, bundle=bundle)
    floor = order.revision.quote.project.floors.get(position=1)
    document = floor_version(floor).document
    document["bays"][0]["profile"] = "1000S162-68"
    projects.floor_save(
        actor=person(order.owner), at=AT, floor=floor, document=document, base_version=floor.version
    )
    found = floors_now(order, AT)
    assert {row.verb for row in found.rows} == {"changed"}
    assert sum(row.count for row in found.rows) == 17
    assert found.rolled == sum(row.rolled for row in found.rows) == bundle.pieces.count()
