"""A paper's facts are equal where all but progress is; it stands where what is left of it would be printed now."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from functools import partial
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from framing.common.errors import ApplicationError, Refused
from framing.common.models import Role
from orders import services
from orders.bundle_reads import bundle_table
from orders.models import Bundle, Line, Order, Remake, ShopPaper
from orders.papers.paper_facts import facts_from, facts_of
from orders.papers.standing import outdated_of
from orders.states import ShopPaperKind
from tests.factories import orders, people
from tests.orders.papers.shop import (
    AT,
    LATER,
    asked,
    bundle_of,
    line_paper,
    plan_of,
    scrapped,
    step,
)


def _leaves(thing: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if isinstance(thing, dict):
        for key in thing:
            yield from _leaves(thing[key], (*path, key))
    elif isinstance(thing, list | tuple):
        for index, part in enumerate(thing):
            yield from _leaves(part, (*path, index))
    else:
        yield path


def _changed(content: dict[str, Any], path: tuple[Any, ...]) -> dict[str, Any]:
    made = copy.deepcopy(content)
    place: Any = made
    for key in path[:-1]:
        place = place[key]
    value = place[path[-1]]
    other = (
        not value if isinstance(value, bool) else value + 1 if isinstance(value, int | float) else f"{value}x"
    )
    place[path[-1]] = other
    return made


PROGRESS = ("form", "stock", "stock_name", "start", "finished", "plan")


@pytest.mark.django_db
@pytest.mark.parametrize("kind", [*ShopPaperKind.values, "line"])
def test_facts_are_equal_if_and_only_if_all_but_progress_is(kind: str) -> None:
    order = orders.rolling()
    services.bundle_start(actor=people.actor(Role.SHOP), at=AT, bundle=bundle_of(order, 1))
    scrapped(order, 1, AT)
    paper = line_paper(order)[0] if kind == "line" else asked(order, kind)
    content = ShopPaper.objects.get(pk=paper.pk).content
    facts = facts_of(paper.kind, content)
    assert facts == facts_from(paper.facts)
    paths = list(_leaves(content))
    assert len(paths) > 20
    for path in paths:
        progress = path[0] in PROGRESS or path[-1] == "change"
        same = facts_of(paper.kind, _changed(content, path)) == facts
        assert same is progress, path


ACTS = (
    "split",
    "merge",
    "fix",
    "finish",
    "start",
    "reopen",
    "scrap",
    "remade",
    "undo",
    "plan",
    "rename",
    "print",
)


@pytest.mark.django_db
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(acts=st.lists(st.tuples(st.sampled_from(ACTS), st.integers(1, 3)), min_size=1, max_size=6))
def test_a_paper_stands_if_and_only_if_what_is_left_of_it_would_be_printed(
    acts: list[tuple[str, int]], rolling_order: Order
) -> None:
    with transaction.atomic():
        order = orders.fresh(rolling_order)
        papers = [*(asked(order, kind) for kind in ShopPaperKind.values), line_paper(order)[0]]
        for minute, (act, number) in enumerate(acts, 1):
            at = AT + timedelta(minutes=5 * minute)
            with_refusal(partial(do, order, act, number, at, papers))
        rows = list(ShopPaper.objects.filter(pk__in=[paper.pk for paper in papers]).order_by("id"))
        off = outdated_of(rows)
        now = {(paper.kind, paper.line_id): now_of(paper) for paper in rows[:6]}
        for paper in rows:
            assert (paper.pk in off) is (left_of(paper) != now[paper.kind, paper.line_id]), (paper, acts)
        transaction.set_rollback(True)


@pytest.fixture
def rolling_order() -> Order:
    return orders.rolling()


def with_refusal(act: Callable[[], None]) -> None:
    """What the rules refuse changes nothing."""
    try:
        with transaction.atomic():
            act()
    except ApplicationError:
        pass


def do(order: Order, act: str, number: int, at: datetime, papers: list[ShopPaper]) -> None:
    actor = people.actor(Role.PLANNER)
    line = Line.objects.get()
    if act in ("split", "fix"):
        step(order, act, at, number=number, **({"at": 4 + number} if act == "split" else {}))
    elif act == "merge":
        step(order, act, at, number=number, other=number % 3 + 1)
    elif act == "undo":
        services.bundles_undo(actor=actor, at=at, order=order, version=bundle_table(order).version)
    elif act == "plan":
        plan_of(order, line, 20 + number + at.minute, at, turn=55 + 5 * number)
    elif act == "rename":
        project = order.revision.quote.project
        project.name = f"Hall {number}"
        project.save()
    elif act == "print":
        papers.extend(asked(order, kind, at) for kind in ShopPaperKind.values)
    else:
        _in_the_shop(order, act, number, at)


def _in_the_shop(order: Order, act: str, number: int, at: datetime) -> None:
    bundle = order.bundles.filter(number=number).first()
    if bundle is None:
        return
    actor = people.actor(Role.SHOP)
    if act == "scrap":
        scrapped(order, number, at)
    elif act == "remade":
        remake = Remake.objects.filter(piece__bundle=bundle, made_at=None).first()
        if remake is not None:
            services.piece_remade(actor=actor, at=at, piece=remake.piece)
    elif act == "reopen":
        services.bundle_reopen(actor=actor, at=at, bundle=bundle, why="One is bent")
    else:
        verb = services.bundle_finish if act == "finish" else services.bundle_start
        verb(actor=actor, at=at, bundle=bundle)


def left_of(paper: ShopPaper) -> Any:
    """What stands on a paper, with all crossed off that is done by now."""
    kept = {key: value for key, value in paper.content.items() if key not in PROGRESS}
    if paper.kind != "cut_list":
        return kept
    finished = {(str(b.order), b.number) for b in Bundle.objects.exclude(finished_at=None)}
    made = set(Remake.objects.exclude(made_at=None).values_list("public_id", flat=True))
    turns = [
        bundle | {"change": None, "again": [row for row in bundle["again"] if row["id"] not in made]}
        for bundle in kept["bundles"]
        if (bundle["order"], bundle["number"]) not in finished
    ]
    return kept | {"bundles": turns}


def now_of(paper: ShopPaper) -> Any:
    """The same of the paper that would be made now; without any turn where none is left."""
    actor = people.actor(Role.PLANNER)
    try:
        if paper.line is not None and paper.day is not None:
            fresh = services.cut_list_make(actor=actor, at=LATER, line=paper.line, day=paper.day)
        else:
            assert paper.order is not None
            fresh = asked(paper.order, paper.kind, LATER)
    except Refused:
        return left_of(paper) | {"bundles": []}
    return left_of(ShopPaper.objects.get(pk=fresh.pk))
