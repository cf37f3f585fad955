"""The bundles of an order as the planner handles them: what the pages, the API and the service read."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import QuerySet

from framing.common.models import AuditEntry, StoredPaper
from framing.engine import load_catalogue
from framing.engine.bundling.edits import again
from framing.engine.bundling.package import limits_for
from framing.engine.bundling.table import (
    Count,
    EditRefused,
    Part,
    Rules,
    Stack,
    counts,
    remarks,
    zone_words,
)
from framing.engine.errors import UnknownProfile
from framing.projects.selectors import practice_of
from orders.models import Bundle, BundleChange, Order, Piece
from orders.states import OrderStage

OPEN_AT = (OrderStage.RELEASED, OrderStage.ROLLING)
VERBS = ("bundles_edit", "bundles_undo", "bundles_redo")
LIFT_SHARE = 5  # lift points stand at 1/5 of the length from both ends (R36)


@dataclass(frozen=True, slots=True)
class Table:
    """All bundles of an order at one moment.

    `version` follows from what the bundles hold: who sends another one has seen other bundles. `new` is a number
    that no bundle of the order ever had.
    """

    order: Order
    rows: Mapping[int, Bundle]
    pieces: Mapping[str, Piece]
    parts: Mapping[str, Part]
    stacks: tuple[Stack, ...]
    rules: Rules
    version: str
    undo: BundleChange | None
    redo: BundleChange | None
    new: int

    def state_of(self, stack: Stack) -> dict[str, Any]:
        """A bundle as history keeps it."""
        row = self.rows.get(stack.number)
        return {
            "number": stack.number,
            "fixed": stack.fixed,
            "code": row.code if row else "",
            "pieces": [self.pieces[part.key].pk for part in stack.parts],
        }


def bundle_table(order: Order, rows: QuerySet[Bundle] | None = None, also: Collection[str] = ()) -> Table:
    """The bundles of an order; `rows` may be locked ones. Five queries, however many bundles.

    `also` are codes of pieces in no bundle yet, whose profiles get limits too.
    """
    found = {row.number: row for row in (order.bundles.all() if rows is None else rows).order_by("number")}
    pieces = list(order.pieces.order_by("id"))
    parts = _parts(pieces)
    held: dict[int, list[Part]] = {}
    for piece in sorted(pieces, key=lambda piece: piece.position):
        if piece.bundle_id is not None:
            held.setdefault(piece.bundle_id, []).append(parts[piece.code])
    stacks = tuple(
        Stack(number, tuple(held[row.pk]), row.fixed, row.started_at is not None)
        for number, row in found.items()
        if row.pk in held
    )
    changes = list(order.bundle_changes.select_related("by").order_by("id"))
    numbers = [entry["number"] for change in changes for entry in (*change.before, *change.after)]
    given_up = order.changes.exclude(applied_at=None).values_list("difference__bundles__gone", flat=True)
    numbers += [number for gone in given_up for number in gone or ()]
    table = Table(
        order=order,
        rows=found,
        pieces={piece.code: piece for piece in pieces},
        parts=parts,
        stacks=stacks,
        rules=_rules(order, {stack.profile for stack in stacks} | {parts[code].profile for code in also}),
        version="",
        undo=next((change for change in reversed(changes) if change.undone_at is None), None),
        redo=_next_redo(changes),
        new=max([0, *found, *numbers]) + 1,
    )
    return _versioned(table)


def _versioned(table: Table) -> Table:
    state = json.dumps([table.state_of(stack) for stack in table.stacks])
    digest = hashlib.sha256(state.encode()).hexdigest()[:16]
    return replace(table, version=digest)


def _next_redo(changes: Sequence[BundleChange]) -> BundleChange | None:
    """The step taken back last, unless another was made since: steps undone after the last one that stands."""
    last = max((change.pk for change in changes if change.undone_at is None), default=0)
    return next((change for change in changes if change.undone_at is not None and change.pk > last), None)


def _parts(pieces: Sequence[Piece]) -> dict[str, Part]:
    """Each piece by its code with its position in the delivery's install sequence: floors, copies, then pieces."""
    floors = list(dict.fromkeys(piece.floor for piece in pieces))
    copies = {floor: max(piece.copy for piece in pieces if piece.floor == floor) for floor in floors}
    at = {floor: index for index, floor in enumerate(floors)}
    ordered = sorted(pieces, key=lambda p: (at[p.floor], p.copy, p.sequence, p.piece_id))
    return {
        piece.code: Part(
            key=piece.code,
            place=place,
            mark=piece.mark,
            profile=piece.profile,
            length_16=piece.length_16,
            weight_100=round(piece.weight_lb * 100),
            floor=_floor_words(piece, copies[piece.floor]),
            zone=piece.zone,
        )
        for place, piece in enumerate(ordered)
    }


def _floor_words(piece: Piece, copies: int) -> str:
    return f"{piece.floor} ({piece.copy} of {copies})" if copies > 1 else piece.floor


def _rules(order: Order, profiles: Iterable[str]) -> Rules:
    """Limits by the practice set of the accepted revision. A profile that left the catalogue keeps the strictest."""
    practice, catalogue = practice_of(order.revision.practice_set), load_catalogue()
    limits = {}
    for profile in profiles:
        try:
            limits[profile] = limits_for(profile, catalogue, practice)
        except UnknownProfile:
            known = (limits_for(p.designator, catalogue, practice) for p in catalogue.profiles)
            limits[profile] = min(known, key=lambda one: one.most)
    metric = order.revision.quote.project.units == "metric"
    return Rules(limits, "metric" if metric else "imperial")


def last_change_words(order: Order) -> str:
    """Who changed the bundles last and how: “Paul Bell: Merged bundle 4 into 3.”; "" where nobody did."""
    entry = AuditEntry.objects.filter(
        object_type=order._meta.label_lower, object_id=order.pk, verb__in=VERBS
    ).last()
    return f"{entry.actor_name}: {entry.change['words']}" if entry else ""


def closed_words(order: Order) -> str:
    """Why the bundles of an order can't be changed now; "" where they can."""
    if order.stage not in OPEN_AT:
        return (
            f"Order {order.number} is at “{order.get_stage_display().lower()}”; bundles are changed after its release "
            "and before the last one is finished."
        )
    delivery = order.deliveries.filter(dropped_at=None).first()
    if delivery is not None:
        return f"Delivery {delivery.number} is planned with these bundles and its manifest lists them; they stay so."
    return ""


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step of the history; `tags` tells that tags of the bundles it changed are made."""

    change: BundleChange
    tags: bool


def bundle_steps(order: Order, most: int) -> list[StepLine]:
    """The last steps on an order's bundles, newest first."""
    changes = list(order.bundle_changes.select_related("by").order_by("-id")[:most])
    made = StoredPaper.objects.filter(
        kind="bundle_tags",
        subject_type=BundleChange._meta.label_lower,
        subject_id__in=[change.pk for change in changes],
    )
    with_tags = set(made.values_list("subject_id", flat=True))
    return [StepLine(change, change.pk in with_tags) for change in changes]


# --- the page ---


@dataclass(frozen=True, slots=True)
class PartRow:
    """A piece of a bundle as it lies; `share` is its length in hundredths of the bundle's longest."""

    code: str
    mark: str
    length_16: int
    share: float
    place: int
    where: str


@dataclass(frozen=True, slots=True)
class Remark:
    """What a rule says of a bundle: `rule` is short, spread, weight or zones."""

    rule: str
    words: str


@dataclass(frozen=True, slots=True)
class Card:
    """A bundle from the side, from the top down, with its figures against the limits."""

    bundle: Bundle
    stack: Stack
    zone: str
    rows: tuple[PartRow, ...]
    most: int
    lift_limit_lb: float
    weight_lb: float
    lift_16: int
    remarks: tuple[Remark, ...]
    mates: tuple[int, ...]

    @property
    def filled(self) -> float:
        return len(self.rows) / self.most

    @property
    def half(self) -> int:
        """Where a split leaves both parts about equal, the larger below."""
        return (len(self.rows) + 1) // 2

    @property
    def loaded(self) -> float:
        return self.weight_lb / self.lift_limit_lb


def bundle_cards(table: Table) -> list[Card]:
    """Every bundle, by number."""
    return [_card(table, stack) for stack in table.stacks]


def _card(table: Table, stack: Stack) -> Card:
    limits, longest = table.rules.limits[stack.profile], stack.length_16
    return Card(
        bundle=table.rows[stack.number],
        stack=stack,
        zone=zone_words(stack.parts),
        rows=tuple(
            PartRow(
                part.key,
                part.mark,
                part.length_16,
                round(100 * part.length_16 / longest, 1),
                part.place + 1,
                f"{part.floor}, {part.zone}" if part.zone else part.floor,
            )
            for part in reversed(stack.parts)
        ),
        most=limits.most,
        lift_limit_lb=limits.weight_100 / 100,
        weight_lb=stack.weight_100 / 100,
        lift_16=longest // LIFT_SHARE,
        remarks=tuple(
            Remark(said.place.rpartition(".")[2], said.message)
            for said in remarks(stack, table.stacks, table.rules)
        ),
        mates=tuple(
            other.number
            for other in table.stacks
            if other.profile == stack.profile and other.number != stack.number and not other.started
        ),
    )


def bundle_counts(table: Table) -> tuple[Count, ...]:
    """Bundles by profile against what count and weight allow."""
    return counts(table.stacks, table.rules)


@dataclass(frozen=True, slots=True)
class Offer:
    """What bundling the rest anew would give: `way` is fewer or neater, or now; `same` as they are now."""

    way: str
    bundles: int
    short: int
    spread_16: int
    skipped: int
    same: bool


def anew_offers(table: Table) -> list[Offer]:
    """Both ways of bundling the rest anew, one where they come out equal; none where nothing is free."""
    found: list[Offer] = []
    before: tuple[Stack, ...] = ()
    for way in ("fewer", "neater"):
        try:
            stacks = again(table.stacks, table.rules, new=table.new, neater=way == "neater").stacks
        except EditRefused:
            return []
        if {stack.parts for stack in stacks} != {stack.parts for stack in before}:
            found.append(_offer(table, way, stacks))
        before = stacks
    return found


def offer_now(table: Table) -> Offer:
    """The same figures of the bundles as they are."""
    return _offer(table, "now", table.stacks)


def _offer(table: Table, way: str, stacks: tuple[Stack, ...]) -> Offer:
    held = {frozenset(part.key for part in stack.parts) for stack in table.stacks}
    reach = [[part.place for part in stack.parts] for stack in stacks]
    return Offer(
        way=way,
        bundles=len(stacks),
        short=sum(len(stack.parts) < table.rules.limits[stack.profile].least for stack in stacks),
        spread_16=sum(stack.spread_16 for stack in stacks),
        skipped=sum(max(places) - min(places) + 1 - len(places) for places in reach),
        same=held == {frozenset(part.key for part in stack.parts) for stack in stacks},
    )
