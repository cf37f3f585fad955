"""Alternates as the quote's paper shows them (R42): plain rows beside the base offer. Cost never enters."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from quotes.alternate_figures import figures_of
from quotes.alternate_reads import ALTERNATE_BIG, alternate_list
from quotes.models import QuoteRevision


@dataclass(frozen=True, slots=True)
class PaperAlternate:
    """One alternate: what differs in the framing, and what it comes to against the base offer's total."""

    letter: str
    label: str
    framing: tuple[str, ...]
    depth: str
    members: int
    weight: str
    holes: int
    vibration: str
    fits: bool
    goods: Decimal
    freight: Decimal
    tax: Decimal
    total: Decimal
    difference: Decimal


def paper_alternates(revision: QuoteRevision) -> tuple[PaperAlternate, ...]:
    """The alternates of a revision by letter; empty where it has none."""
    found = []
    for alternate in alternate_list(revision).defer(*ALTERNATE_BIG):
        figures = figures_of(alternate.figures)
        found.append(
            PaperAlternate(
                letter=alternate.letter,
                label=alternate.label,
                framing=figures.framing,
                depth=figures.depth,
                members=figures.joists,
                weight=f"{round(figures.steel_lb):,} lb",
                holes=figures.holes,
                vibration=figures.vibration,
                fits=alternate.fits,
                goods=alternate.goods,
                freight=alternate.freight,
                tax=alternate.tax,
                total=alternate.total,
                difference=alternate.total - revision.total,
            )
        )
    return tuple(found)
