"""The list of claims: its filters and columns."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from django.db.models import Case, CharField, QuerySet, Value, When
from django.db.models.functions import Cast, Concat
from django.utils.html import format_html

from framing.common.listing import ListSpec, list_register
from framing.common.listing_columns import Day, Linked, ListTable, Short, Stage, Words
from framing.common.listing_filters import ListFilters, choice_filter, day_filter
from orders.claim_reads import claim_list
from orders.states import ClaimKind, ClaimState

WAITING: Final = "waiting"
_PROJECT = "order__revision__quote__project"
_THING = Case(
    When(bundle__isnull=False, then=Concat(Value("bundle "), Cast("bundle__number", CharField()))),
    When(carton__isnull=False, then=Concat(Value("carton "), Cast("carton__number", CharField()))),
    default=Value("delivery"),
    output_field=CharField(),
)
SHAPES: Final[Mapping[str, str]] = {
    ClaimState.OPEN: "care",
    ClaimState.REPLACING: "going",
    ClaimState.REPLACED: "good",
    ClaimState.CREDITED: "good",
    ClaimState.REJECTED: "plain",
}
"""The shape that goes with each state's word."""


class ClaimStage(Stage):
    def render(self, value: Any) -> str:
        state = self.states.get(str(value), str(value))
        return format_html('<span class="state {}">{}</span>', SHAPES[ClaimState(state)], value)


class ClaimTable(ListTable):
    usual = ("number", "created", "order", "builder", "kind", "thing", "about", "state")

    number = Linked("Claim", "number", "orders:claim_page", figure=True)
    created = Day("Opened", "created_at")
    order = Linked("Order", "order__number", "orders:order_page", figure=True, of="order")
    project = Words("Project", f"{_PROJECT}__name")
    builder = Words("Builder", f"{_PROJECT}__builder__name")
    kind = Words("What", "kind")
    thing = Short("On", "thing", needs={"thing": _THING}, order="")
    about = Words("Words", "words")
    state = ClaimStage("State", "state", dict(ClaimState.choices))
    ended = Day("Ended", "ended_at")


class ClaimFilters(ListFilters):
    kind = "claim"

    state = choice_filter("State", [(WAITING, "Waiting"), *ClaimState.choices], method="by_state")
    what = choice_filter("What", list(ClaimKind.choices), method="by_kind")
    opened_from = day_filter("Opened from", "created_at__date")
    opened_to = day_filter("Opened to", "created_at__date", until=True)

    def by_state(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        del name
        return rows.filter(ended_at=None) if value == WAITING else rows.filter(state=value)

    def by_kind(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        del name
        return rows.filter(kind=value)


def register() -> None:
    list_register(
        ListSpec(
            "claims", "Claims", ("claim", "read"), "orders:claim_list", "orders:claim_file",
            claim_list, ClaimTable, ClaimFilters, begins={"state": WAITING},
        )
    )  # fmt: skip
