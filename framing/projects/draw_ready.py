"""Whether a project can be quoted: its floors designed, added up, and what still stands in the way.

Designing a floor costs up to a second, so a call designs a few and says how many still wait. What a floor comes to is
kept in the cache under the content it came from: the document, the practice values, engine and catalogue.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from time import monotonic
from typing import Any, Final, Literal

from django.core.cache import cache

from framing.engine.catalogue import load_catalogue
from framing.engine.pipeline import ENGINE_VERSION
from framing.engine.practice import Practice
from framing.projects.models import Floor, FloorDraft, Project
from framing.projects.preview import preview_document
from framing.projects.selectors import FloorState, floor_state_list, practice_in_force, site_words

SECONDS_MOST: Final = 1.5
KEPT_S: Final = 24 * 3600
State = Literal["good", "care", "bad"]
_Outcome = tuple[int, float, int, str]
"""Joists and tails, weight in lb, failing members, and why it can't be built: plain, so that an old one still reads."""


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the list: "bad" stands in the way, "care" wants a look. `floor` is what to open for it."""

    state: State
    words: str
    floor: Floor | None = None


@dataclass(frozen=True, slots=True)
class Ready:
    """A project's floors, added up (each times its repeats), and the list. `waiting` floors are not designed yet."""

    items: tuple[Item, ...]
    floors: int
    joists: int
    weight_lb: float
    waiting: int

    @property
    def blocked(self) -> int:
        return sum(item.state == "bad" for item in self.items)


def project_ready(project: Project, *, clock: Callable[[], float] = monotonic) -> Ready:
    """How far the project is. Ask again while `waiting` is over 0; each call designs at least one floor."""
    states, practice = floor_state_list(project), practice_in_force()
    outcomes, waiting = _outcomes(states, practice, clock)
    known = [(state, outcomes[state.floor.pk]) for state in states if state.floor.pk in outcomes]
    repeats = {state.floor.pk: _repeat(state) for state in states}
    return Ready(
        items=(*_floor_items(states, known, waiting), *_draft_items(project), *_price_items(project)),
        floors=sum(repeats.values()),
        joists=sum(joists * repeats[state.floor.pk] for state, (joists, _, _, _) in known),
        weight_lb=sum(pounds * repeats[state.floor.pk] for state, (_, pounds, _, _) in known),
        waiting=waiting,
    )


def _outcomes(
    states: Sequence[FloorState], practice: Practice, clock: Callable[[], float]
) -> tuple[dict[int, _Outcome], int]:
    """Outcomes by floor, those in the cache and as many new ones as there is time for; how many wait."""
    keys = {state.floor.pk: _key(state, practice) for state in states}
    kept = cache.get_many(keys.values())
    found = {pk: tuple(kept[key]) for pk, key in keys.items() if key in kept}
    end, waiting, fresh = clock() + SECONDS_MOST, 0, 0
    for state in states:
        if state.floor.pk in found:
            continue
        if fresh and clock() > end:
            waiting += 1
            continue
        outcome = _outcome(state, practice)
        found[state.floor.pk] = outcome
        cache.set(keys[state.floor.pk], outcome, KEPT_S)
        fresh += 1
    return found, waiting


def _outcome(state: FloorState, practice: Practice) -> _Outcome:
    preview = preview_document(state.document, practice)
    joists = sum(count.quantity for count in preview.counts if count.code == "joist")
    problem = preview.problems[0].message if preview.problems else ""
    return joists, preview.weight_lb, preview.failing, problem


def _key(state: FloorState, practice: Practice) -> str:
    words: list[Any] = [state.document, repr(practice), ENGINE_VERSION, load_catalogue().version]
    return f"ready:1:{hashlib.sha256(json.dumps(words, sort_keys=True).encode()).hexdigest()}"


def _repeat(state: FloorState) -> int:
    repeat = state.document.get("repeat", 1)
    return repeat if isinstance(repeat, int) else 1


def _floor_items(
    states: Sequence[FloorState], known: Sequence[tuple[FloorState, _Outcome]], waiting: int
) -> Iterator[Item]:
    if not states:
        yield Item("bad", "No floor is drawn yet.")
    fit = 0
    for state, (_, _, failing, problem) in known:
        name = state.floor.name
        if problem:
            yield Item("bad", f"{name} can't be built: {problem}", state.floor)
        elif failing:
            members = "1 member fails" if failing == 1 else f"{failing} members fail"
            yield Item("care", f"{name}: {members}; the quote is issued only with a reason.", state.floor)
        else:
            fit += 1
    if fit and fit == len(states):
        yield Item("good", "All floors can be built and all members pass.")
    elif fit:
        yield Item("good", f"{fit} of {len(states)} floors can be built and pass.")
    if waiting:
        yield Item("care", f"{waiting} still to be looked at.")


def _draft_items(project: Project) -> Iterator[Item]:
    """Drafts count for nothing in a quote, so their owners are told of."""
    drafts = FloorDraft.objects.filter(floor__project=project).select_related("floor", "user")
    for draft in drafts.order_by("floor__position", "floor_id", "user_id"):
        words = f"{draft.user.name} has drawn on {draft.floor.name} and not saved it."
        yield Item("care", words, draft.floor)


def _price_items(project: Project) -> Iterator[Item]:
    """What the price book in force must know of the site and the builder; items are looked up by the quote."""
    known, site, tier = site_words(), project.site, project.builder.tier
    if not known.zones and not known.places:
        yield Item("bad", "No price book is in force.")
        return
    lacks = []
    if known.zone_of(site) is None:
        lacks.append(f"freight zone “{site.freight_zone}”")
    if site.tax_place not in known.places:
        lacks.append(f"place for sales tax “{site.tax_place}”")
    if tier and tier not in known.tiers:
        lacks.append(f"tier “{tier}”")
    if lacks:
        yield Item("bad", f"The price book in force does not know {', '.join(lacks)}.")
    else:
        yield Item("good", "The price book knows the site and the builder's terms.")
