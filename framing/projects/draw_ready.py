"""Whether a project can be quoted: its floors added up, and what still stands in the way."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from time import monotonic
from typing import Final, Literal

from framing.engine.practice import Practice
from framing.projects.models import Floor, FloorDraft, Project, Site
from framing.projects.project_floors import Found, Outcome, outline_svg, project_floors
from framing.projects.selectors import FloorState, floor_state_list, practice_in_force, site_words

State = Literal["good", "care", "bad"]
_FIRST: Final[tuple[State, ...]] = ("bad", "care", "good")
_SQM_PER_SQFT: Final = 0.3048**2
SITE_WORDS: Final = {
    "line": "street and number",
    "city": "city",
    "region": "state or province",
    "postal_code": "postal code",
    "freight_zone": "freight zone",
    "tax_place": "place for sales tax",
}


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the list: "bad" stands in the way, "care" wants a look. `floor` is what to open for it."""

    state: State
    words: str
    floor: Floor | None = None


@dataclass(frozen=True, slots=True)
class FloorCard:
    """A floor on the project's page; `outcome` is None while it waits to be designed, `svg` then the outline only."""

    state: FloorState
    outcome: Outcome | None
    price: Decimal | None
    svg: str

    @property
    def floor(self) -> Floor:
        return self.state.floor

    @property
    def repeat(self) -> int:
        return _repeat(self.state)


@dataclass(frozen=True, slots=True)
class Ready:
    """A project's floors, added up (each times its repeats), and the list. `waiting` floors are not designed yet.

    Attributes:
        area_sqft: inside the outlines, openings included.
        goods: what the floors come to before freight and tax, one by one; None where one has no price or waits.
    """

    items: tuple[Item, ...]
    cards: tuple[FloorCard, ...]
    floors: int
    joists: int
    weight_lb: float
    area_sqft: float
    goods: Decimal | None
    currency: str
    waiting: int

    @property
    def area_sqm(self) -> float:
        return self.area_sqft * _SQM_PER_SQFT

    @property
    def blocked(self) -> int:
        return sum(item.state == "bad" for item in self.items)


def project_ready(project: Project, *, design: bool = True, clock: Callable[[], float] = monotonic) -> Ready:
    """How far the project is. Ask again while `waiting` is over 0; each call designs at least one floor.

    Without `design` nothing is designed: it is told what is known already.
    """
    states, practice = floor_state_list(project), practice_in_force()
    found = project_floors(project, states, practice, design=design, clock=clock)
    cards = tuple(_card(state, found, practice) for state in states)
    items = (*_floor_items(cards, found), *_draft_items(project), *_price_items(project, cards, found))
    known = [(card.outcome, card.repeat) for card in cards if card.outcome is not None]
    return Ready(
        items=tuple(sorted(items, key=lambda item: _FIRST.index(item.state))),
        cards=cards,
        floors=sum(card.repeat for card in cards),
        joists=sum(outcome.joists * repeat for outcome, repeat in known),
        weight_lb=sum(outcome.weight_lb * repeat for outcome, repeat in known),
        area_sqft=sum(outcome.area_sqft * repeat for outcome, repeat in known),
        goods=_goods(cards),
        currency=found.book.currency if found.book else "",
        waiting=found.waiting,
    )


def _card(state: FloorState, found: Found, practice: Practice) -> FloorCard:
    pk = state.floor.pk
    outcome, price = found.outcomes.get(pk), found.prices.get(pk)
    svg = outline_svg(state, practice) if outcome is None else outcome.svg
    return FloorCard(state, outcome, price.total if price else None, svg)


def _goods(cards: Sequence[FloorCard]) -> Decimal | None:
    prices = [card.price for card in cards if card.price is not None]
    return sum(prices, Decimal(0)) if prices and len(prices) == len(cards) else None


def _repeat(state: FloorState) -> int:
    repeat = state.document.get("repeat", 1)
    return repeat if isinstance(repeat, int) else 1


def _floor_items(cards: Sequence[FloorCard], found: Found) -> Iterator[Item]:
    if not cards:
        yield Item("bad", "No floor is drawn yet.")
    fit = 0
    for card in cards:
        if card.outcome is None:
            continue
        name, outcome = card.floor.name, card.outcome
        if outcome.problem:
            yield Item("bad", f"{name} can't be built: {outcome.problem}", card.floor)
            continue
        if outcome.failing:
            words = _counted(outcome.failing, "member fails", "members fail")
            yield Item("care", f"{name}: {words}; the quote is issued only with a reason.", card.floor)
        elif outcome.warnings:
            words = _counted(outcome.warnings, "warning", "warnings")
            yield Item("care", f"{name}: {words} to look at; the quote says them too.", card.floor)
        fit += not outcome.failing
    if fit and fit == len(cards):
        yield Item("good", "All floors can be built and all members pass.")
    elif fit:
        yield Item("good", f"{fit} of {len(cards)} floors can be built and pass.")
    if found.waiting:
        yield Item("care", f"{found.waiting} still to be looked at.")


def _counted(count: int, one: str, more: str) -> str:
    return f"{count} {one if count == 1 else more}"


def _draft_items(project: Project) -> Iterator[Item]:
    """Drafts count for nothing in a quote, so their owners are told of."""
    drafts = FloorDraft.objects.filter(floor__project=project).select_related("floor", "user")
    for draft in drafts.order_by("floor__position", "floor_id", "user_id"):
        words = f"{draft.user.name} has drawn on {draft.floor.name} and not saved it."
        yield Item("care", words, draft.floor)


def _price_items(project: Project, cards: Sequence[FloorCard], found: Found) -> Iterator[Item]:
    """What the site lacks, and what the price book in force lacks of site, builder and floors."""
    empty = [words for field, words in SITE_WORDS.items() if not getattr(project.site, field).strip()]
    if empty:
        yield Item("bad", f"The site has no {', '.join(empty)}.")
    if found.book is None:
        yield Item("bad", "No price book is in force.")
        return
    if lacks := _lacks(project.site, project.builder.tier):
        yield Item("bad", f"The price book in force does not know {', '.join(lacks)}.")
        return
    yield Item("good", "The price book knows the site and the builder's terms.")
    for card in cards:
        price = found.prices.get(card.floor.pk)
        if price is not None and price.total is None and price.words:
            yield Item("bad", f"{card.floor.name}: {price.words}", card.floor)


def _lacks(site: Site, tier: str) -> list[str]:
    """Words of site and builder that the price book has no row for."""
    known = site_words()
    lacks = []
    if site.freight_zone and known.zone_of(site) is None:
        lacks.append(f"freight zone “{site.freight_zone}”")
    if site.tax_place and site.tax_place not in known.places:
        lacks.append(f"place for sales tax “{site.tax_place}”")
    if tier and tier not in known.tiers:
        lacks.append(f"tier “{tier}”")
    return lacks
