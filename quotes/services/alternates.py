"""Alternates of a draft (R42): add, rename, take away. The base offer stays what the revision itself holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from django.db import transaction

from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere, Refused
from framing.engine.errors import EngineError
from framing.engine.result import PackageResult
from framing.projects.design import refusal
from quotes.alternate_models import LETTERS
from quotes.models import Alternate, QuoteRevision
from quotes.selectors import line_discounts
from quotes.services.alternate_frames import (
    Choice,
    choices_json,
    design_floors,
    framed_floors,
    price_alternate,
    refuse_base,
    set_result,
    store_alternate,
)
from quotes.services.designing import prune_discounts
from quotes.services.rows import lock_draft

LABEL_MOST: Final = 80


def alternate_add(
    *,
    actor: Actor,
    revision: QuoteRevision,
    label: str,
    at: datetime,
    choices: Sequence[Choice] = (),
    documents: Mapping[str, Any] | None = None,
) -> Alternate:
    """Add an alternate to a draft, framed by choices of profile and spacing, by documents of its own, or both.

    Priced by the draft's book and discounts. It takes the first letter that is free.

    Args:
        documents: floor document by the floor's public id.

    Raises:
        Refused: no label, nothing that differs from the base, a choice that is not offered or that fails as framed,
            a floor that can't be built, missing prices.
        Clash: issued meanwhile, or four alternates are there.
    """
    said = _read_label(label)
    with transaction.atomic():
        _, draft = lock_draft(revision, actor, "draft", "change")
        letter = _free_letter(draft)
        floors = framed_floors(draft.floors, choices, documents or {})
        refuse_base(draft, floors)
        try:
            result = design_floors(draft, floors)
        except EngineError as error:
            raise refusal(error) from error
        if not documents:
            _refuse_failing(result, draft)
        alternate = Alternate(
            revision=draft, letter=letter, label=said, choices=choices_json(choices), floors=floors
        )
        set_result(alternate, result)
        discounts = line_discounts(draft)
        store_alternate(alternate, price_alternate(draft, letter, result, draft.price_book, discounts))
        change = {"letter": letter, "label": said, "total": str(alternate.total)}
        audit_record(actor, "alternate_add", draft, at=at, change=change)
    return alternate


def alternate_rename(
    *, actor: Actor, revision: QuoteRevision, letter: str, label: str, at: datetime
) -> Alternate:
    """Give an alternate of a draft another label. Raises Refused, Clash, NotThere."""
    said = _read_label(label)
    with transaction.atomic():
        _, draft = lock_draft(revision, actor, "draft", "change")
        alternate = _of(draft, letter)
        change = {"letter": letter, "label": [alternate.label, said]}
        if alternate.label != said:
            alternate.label = said
            alternate.save(update_fields=["label"])
            audit_record(actor, "alternate_rename", draft, at=at, change=change)
    return alternate


def alternate_remove(*, actor: Actor, revision: QuoteRevision, letter: str, at: datetime) -> None:
    """Take an alternate away from a draft; the others keep their letters. Discounts of lines that only it had go.

    Raises Clash, NotThere.
    """
    with transaction.atomic():
        _, draft = lock_draft(revision, actor, "draft", "change")
        alternate = _of(draft, letter)
        change = {"letter": letter, "label": alternate.label, "total": str(alternate.total)}
        alternate.delete()
        prune_discounts(draft)
        audit_record(actor, "alternate_remove", draft, at=at, change=change)


def _of(draft: QuoteRevision, letter: str) -> Alternate:
    alternate = draft.alternates.filter(letter=letter).first()
    if alternate is None:
        raise NotThere(f"{draft} has no alternate {letter[:4]}.")
    return alternate


def _free_letter(draft: QuoteRevision) -> str:
    taken = set(draft.alternates.values_list("letter", flat=True))
    free = [letter for letter in LETTERS if letter not in taken]
    if not free:
        raise Clash(f"{draft} has {len(LETTERS)} alternates already. Take one away first.")
    return free[0]


def _read_label(label: str) -> str:
    said = " ".join(label.split())
    if not 1 <= len(said) <= LABEL_MOST:
        raise Refused(
            f"Name the alternate in 1 to {LABEL_MOST} signs, as the builder reads it.", field="label"
        )
    return said


def _refuse_failing(result: PackageResult, draft: QuoteRevision) -> None:
    """What passes by the option table may fail once it is framed in full; then it is no offer."""
    failing = [case for floor in result.floors for case in floor.checks if not case.passes]
    if failing and draft.fits:
        case = max(failing, key=lambda one: one.checks[one.governing].ratio)
        check = case.checks[case.governing]
        raise Refused(
            f"Framed so it fails: {case.title}, {check.name.lower()} needs {check.ratio:.3g} times what it has"
            f" ({check.clause}). Choose another joist or spacing.",
            field="choices",
        )
