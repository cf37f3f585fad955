"""Where the bundles of a delivery go: a small picture of each floor, made once for as long as its bundles stay."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from django.core.cache import cache
from django.db.models import Q

from framing.common.errors import NotThere
from framing.drawing.unloading import unloading_svg
from orders.models import Delivery, Piece
from orders.selectors import accepted_package

LIT: Final = "#0B5C6B"
KEPT_S: Final = 30 * 24 * 3600


@dataclass(frozen=True, slots=True)
class FloorPlace:
    """A floor (one of its equal copies) with the bundles of a delivery that hold pieces of it: {number: piece ids}."""

    floor: str
    copy: int
    lots: Mapping[int, tuple[str, ...]]

    @property
    def digest(self) -> str:
        """Changes with what the picture shows."""
        facts = json.dumps([self.floor, self.copy, sorted(self.lots.items())])
        return hashlib.sha256(facts.encode()).hexdigest()[:12]

    @property
    def title(self) -> str:
        return self.floor if self.copy == 1 else f"{self.floor} ({self.copy})"


def floor_places(delivery: Delivery) -> tuple[FloorPlace, ...]:
    """The floors that a delivery's bundles hold pieces of, by name and copy; one query."""
    on = Q(bundle__delivery=delivery) | Q(bundle__delivery=None, bundle__load__delivery=delivery)
    rows = Piece.objects.filter(on, order_id=delivery.order_id, dropped_by=None)
    found: dict[tuple[str, int], dict[int, list[str]]] = {}
    values = rows.order_by("floor", "copy", "bundle__number", "piece_id")
    for floor, copy, number, piece in values.values_list("floor", "copy", "bundle__number", "piece_id"):
        found.setdefault((floor, copy), {}).setdefault(number, []).append(piece)
    return tuple(
        FloorPlace(floor, copy, {number: tuple(ids) for number, ids in lots.items()})
        for (floor, copy), lots in found.items()
    )


def places_of_bundles(places: tuple[FloorPlace, ...]) -> dict[int, list[int]]:
    """For each bundle's number the places, by their index, where its pieces go."""
    found: dict[int, list[int]] = {}
    for index, place in enumerate(places):
        for number in place.lots:
            found.setdefault(number, []).append(index)
    return found


def place_svg(delivery: Delivery, index: int, digest: str) -> str:
    """The picture of one place. Raises NotThere for a place or digest that is not of this delivery (any more)."""
    places = floor_places(delivery)
    if index >= len(places) or places[index].digest != digest:
        raise NotThere()
    place = places[index]
    key = f"unloading-{delivery.order_id}-{digest}"
    kept: str | None = cache.get(key)
    if kept is None:
        kept = _drawn(delivery, place)
        cache.set(key, kept, KEPT_S)
    return kept


def lit(picture: str, lot: str) -> str:
    """The picture with one bundle's members heavy and in colour; as it is where the bundle has none on it."""
    if not (lot.isascii() and lot.isdigit()):
        return picture
    return picture.replace(f' data-lot="{lot}"', f' data-lot="{lot}" stroke="{LIT}" stroke-width="1.3"')


def _drawn(delivery: Delivery, place: FloorPlace) -> str:
    floors = accepted_package(delivery.order).floors
    result = next((floor for floor in floors if floor.plan.name == place.floor), None)
    if result is None:
        raise NotThere()
    return unloading_svg(result, place.lots, place.title)
