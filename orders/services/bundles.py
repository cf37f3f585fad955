"""The planner's steps on the bundles of an order, taken back and done again (R32-R36).

Numbers: a bundle that a step leaves alone keeps its number and its tag's code. A bundle whose pieces change keeps
its number and gets a new code, so that a tag printed before is known as an old one; its tag is asked for anew. A
number that is given up is never given again but by taking the step back, which brings back the code too.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotAllowed, Refused, StaleSave
from framing.common.models import User
from framing.common.outbox import outbox_add
from framing.engine.bundling import edits
from framing.engine.bundling.table import EditRefused, Stack, remarks, zone_words
from orders.bundle_reads import Table, bundle_table, closed_words, last_change_words
from orders.models import Bundle, BundleChange, Order, PastCode, Piece
from orders.services.moves import order_locked
from orders.shop_models import new_code
from orders.states import BundleEdit

TAGS = "bundle_tags"
TENTH = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class Step:
    """What the planner asks for; which fields count depends on `edit`.

    Attributes:
        edit: a `BundleEdit`.
        number: the bundle that is split, fixed, freed, or that takes another in.
        at: split after this many pieces from the bottom.
        other: the bundle that is merged into `number`.
        pieces: codes of the pieces that move.
        to: the bundle they move to; None makes a new one.
        neater: bundle anew with pieces that follow each other kept together.
    """

    edit: str
    number: int | None = None
    at: int | None = None
    other: int | None = None
    pieces: tuple[str, ...] = ()
    to: int | None = None
    neater: bool = False


def bundles_edit(
    *, actor: Actor, at: datetime, order: Order, version: str, step: Step
) -> BundleChange | None:
    """Do one step; None where bundling anew changes nothing.

    Raises:
        Clash: not between release and the last finished bundle, or on a delivery already.
        StaleSave: the bundles are not those that `version` names.
        Refused: a hard rule, a started bundle, or something missing in the step.
    """
    with transaction.atomic():
        table = _opened(actor, order, version)
        edited = _asked(table, step)
        before, after = _difference(table, edited.stacks)
        if not (before or after):
            return None
        codes = {stack.number: new_code() for stack in after if _is_other(table, stack)}
        old = [table.state_of(stack) for stack in before]
        write_stacks(table, before, after, codes, why=f"“{edited.words}”")
        change = BundleChange.objects.create(
            order=table.order,
            at=at,
            by=_planner(actor),
            edit=step.edit,
            words=edited.words[:200],
            before=old,
            after=[table.state_of(stack) | _code(table, stack, codes) for stack in after],
        )
        _record(actor, at, "bundles_edit", change, change.words)
        _ask_for_tags(change, "done", codes)
    return change


def bundles_undo(*, actor: Actor, at: datetime, order: Order, version: str) -> BundleChange:
    """Take back the last step that stands. Raises as `bundles_edit`; Refused where there is none."""
    with transaction.atomic():
        table = _opened(actor, order, version)
        change = table.undo
        if change is None:
            raise Refused("No step is left to take back; the bundles are as released.")
        _restore(table, change.after, change.before, why=f"“{change.words}” was taken back")
        change.undone_at = at
        change.save(update_fields=["undone_at"])
        _record(actor, at, "bundles_undo", change, f"Took back: {change.words}")
    return change


def bundles_redo(*, actor: Actor, at: datetime, order: Order, version: str) -> BundleChange:
    """Do again what was taken back last. Raises as `bundles_edit`; Refused where nothing was, or a step came since."""
    with transaction.atomic():
        table = _opened(actor, order, version)
        change = table.redo
        if change is None:
            raise Refused("Nothing was taken back that could be done again.")
        _restore(table, change.before, change.after, why=f"“{change.words}”")
        change.undone_at = None
        change.save(update_fields=["undone_at"])
        _record(actor, at, "bundles_redo", change, f"Did again: {change.words}")
        _ask_for_tags(change, f"again {at.isoformat()}", {entry["number"]: "" for entry in change.after})
    return change


def _opened(actor: Actor, order: Order, version: str) -> Table:
    """The locked bundles of a locked order that may be changed and are those that the planner saw."""
    row = order_locked(order.pk)
    require(actor, "bundle", "change")
    closed = closed_words(row)
    if closed:
        raise Clash(closed)
    table = bundle_table(row, row.bundles.select_for_update())
    if version != table.version:
        raise StaleSave(
            "The bundles were changed while you looked at them. "
            f"{last_change_words(row) or 'The shop or the order changed them.'} "
            "Look at them as they are now, then do your step again."
        )
    return table


def _planner(actor: Actor) -> User:
    if actor.user is None:
        raise NotAllowed("Bundles are changed by a person.")
    return actor.user


def _asked(table: Table, step: Step) -> edits.Edited:
    """The step done on the engine's table."""
    stacks, rules, new = table.stacks, table.rules, table.new
    try:
        if step.edit == BundleEdit.MOVE:
            return edits.move(stacks, rules, keys=step.pieces, to=step.to, new=new)
        if step.edit == BundleEdit.AGAIN:
            return edits.again(stacks, rules, new=new, neater=step.neater)
        number = _needed(step.number, "number", "Say which bundle.")
        if step.edit == BundleEdit.SPLIT:
            at = _needed(step.at, "at", "Say how many pieces from the bottom stay.")
            return edits.split(stacks, rules, number=number, at=at, new=new)
        if step.edit == BundleEdit.MERGE:
            other = _needed(step.other, "other", "Say which bundle is put into this one.")
            return edits.merge(stacks, rules, into=number, other=other)
        if step.edit in (BundleEdit.FIX, BundleEdit.FREE):
            return edits.fix(stacks, rules, number=number, fixed=step.edit == BundleEdit.FIX)
    except EditRefused as error:
        raise Refused(error.message, field=_FIELDS.get(step.edit, "")) from error
    raise Refused(f"“{step.edit[:20]}” is no step on bundles.", field="edit")


_FIELDS: Mapping[str, str] = {
    BundleEdit.SPLIT: "at",
    BundleEdit.MERGE: "other",
    BundleEdit.MOVE: "pieces",
    BundleEdit.FIX: "number",
    BundleEdit.FREE: "number",
}


def _needed(value: int | None, field: str, words: str) -> int:
    if value is None:
        raise Refused(words, field=field)
    return value


def _difference(table: Table, stacks: Sequence[Stack]) -> tuple[list[Stack], list[Stack]]:
    """The bundles that change, as they are and as they will be."""
    old, new = set(table.stacks), set(stacks)
    return [stack for stack in table.stacks if stack not in new], [
        stack for stack in stacks if stack not in old
    ]


def _is_other(table: Table, stack: Stack) -> bool:
    """Whether a bundle holds other pieces than the one of its number did."""
    keys = {part.key for part in stack.parts}
    return all({part.key for part in one.parts} != keys for one in table.stacks if one.number == stack.number)


def _code(table: Table, stack: Stack, codes: Mapping[int, str]) -> dict[str, str]:
    return {"code": codes[stack.number]} if stack.number in codes else {"code": table.rows[stack.number].code}


def _restore(
    table: Table, gone: Sequence[Mapping[str, Any]], back: Sequence[Mapping[str, Any]], *, why: str
) -> None:
    """Put the bundles `back` in the place of those in `gone`, with their numbers and codes."""
    here = {stack.number: stack for stack in table.stacks}
    before = [here[entry["number"]] for entry in gone if entry["number"] in here]
    keys = {piece.pk: code for code, piece in table.pieces.items()}
    parts = {part.key: part for stack in before for part in stack.parts}
    wanted = {pk for entry in back for pk in entry["pieces"]}
    if {table.pieces[key].pk for key in parts} != wanted:
        raise Clash("The order changed since that step, so it can't be taken back or done again as a whole.")
    started = next((stack.number for stack in before if stack.started), None)
    if started is not None:
        raise Clash(f"Bundle {started} is started; the shop rolls it as it is.")
    after = [
        Stack(entry["number"], tuple(parts[keys[pk]] for pk in entry["pieces"]), entry["fixed"])
        for entry in back
    ]
    write_stacks(table, before, after, {entry["number"]: entry["code"] for entry in back}, why=why)


def write_stacks(
    table: Table, before: Sequence[Stack], after: Sequence[Stack], codes: Mapping[int, str], *, why: str
) -> None:
    """Make the rows say `after` where they said `before`; tags printed before lead on, and say `why` they are old."""
    numbers = {stack.number for stack in after}
    gone = [table.rows[stack.number] for stack in before if stack.number not in numbers]
    _refuse_held(gone)
    _keep_codes(
        table, [stack for stack in before if stack.number in codes or stack.number not in numbers], codes, why
    )
    untouched = [stack for stack in table.stacks if stack not in before]
    moved: list[Piece] = []
    for stack in after:
        row = table.rows.get(stack.number) or Bundle(order=table.order, number=stack.number)
        _fill(row, stack, (*untouched, *after), table)
        row.code = codes.get(stack.number, row.code)
        row.save()
        for position, part in enumerate(stack.parts, 1):
            piece = table.pieces[part.key]
            piece.bundle, piece.position = row, position
            moved.append(piece)
    Piece.objects.bulk_update(moved, ["bundle", "position"])
    for row in gone:
        row.delete()


def _keep_codes(table: Table, changed: Sequence[Stack], codes: Mapping[int, str], why: str) -> None:
    """Codes that go out of use are kept as past ones; those that come back are past no more."""
    for stack in changed:
        row, held = table.rows[stack.number], [table.pieces[part.key].pk for part in stack.parts]
        if codes.get(stack.number) == row.code:
            continue
        told = {"order": table.order, "number": row.number, "pieces": held, "why": why[:200]}
        PastCode.objects.update_or_create(code=row.code, defaults=told)
    PastCode.objects.filter(code__in=[code for code in codes.values() if code]).delete()


def _refuse_held(gone: Sequence[Bundle]) -> None:
    """A bundle that would be gone must have no pin and no history in the shop."""
    pks = [row.pk for row in gone]
    held = Bundle.objects.filter(pk__in=pks)
    pinned = held.filter(pin__isnull=False).first()
    if pinned is not None:
        raise Refused(
            f"Bundle {pinned.number} is pinned to a day in the line plan. Take the pin off, or fix the bundle."
        )
    handled = held.filter(actions__isnull=False).first()
    if handled is not None:
        raise Refused(
            f"Bundle {handled.number} was in the shop's hands before, so it stays; put pieces into it instead."
        )


def _fill(row: Bundle, stack: Stack, stacks: Sequence[Stack], table: Table) -> None:
    """A row's own columns from what the bundle holds."""
    said = remarks(stack, stacks, table.rules)
    row.profile, row.fixed = stack.profile, stack.fixed
    row.zone = zone_words(stack.parts)[:120]
    row.length_16 = stack.length_16
    row.weight_lb = (Decimal(stack.weight_100) / 100).quantize(TENTH, ROUND_HALF_UP)
    row.short = len(stack.parts) < table.rules.limits[stack.profile].least
    row.note = " ".join(one.message for one in said if not one.place.endswith(".zones"))[:200]


def _record(actor: Actor, at: datetime, verb: str, change: BundleChange, words: str) -> None:
    numbers = sorted({entry["number"] for entry in (*change.before, *change.after)})
    audit_record(
        actor, verb, change.order, at=at, change={"words": words, "bundles": numbers, "step": change.pk}
    )


def _ask_for_tags(change: BundleChange, when: str, codes: Mapping[int, str]) -> None:
    """Tags of the bundles that changed; what is only fixed or freed keeps its tag."""
    if codes:
        outbox_add(
            TAGS, f"{change.order_id} {change.pk} {when}", {"order": change.order_id, "change": change.pk}
        )
