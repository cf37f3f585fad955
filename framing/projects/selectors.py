"""Reads of builders, projects, floors and practice sets; every list fixes its order and its joins."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Any, Final, NoReturn, TypeVar

from django.apps import apps
from django.db import models
from django.db.models import Count, Q, QuerySet
from pydantic import TypeAdapter, ValidationError

from framing.common.audit import audit_list
from framing.common.errors import NotThere, Refused
from framing.common.models import Addressed, AuditEntry
from framing.engine.practice import Practice
from framing.projects.freight import FreightZone, zone_of
from framing.projects.models import Builder, Floor, FloorVersion, PracticeSet, Project, Site

HISTORY_MOST: Final = 100
Row = TypeVar("Row", bound=Addressed)
_PRACTICE: Final = TypeAdapter(Practice)
_PRACTICE_FIELDS: Final = frozenset(field.name for field in fields(Practice)) - {"name", "version"}


@dataclass(frozen=True, slots=True)
class FloorState:
    """A floor with one saved version of its document."""

    floor: Floor
    version: int
    document: dict[str, Any]


def builder_list(search: str = "") -> QuerySet[Builder]:
    """Builders by name with the count of their projects as `project_count`."""
    rows = Builder.objects.select_related("owner").annotate(project_count=Count("projects")).order_by("name")
    if search:
        rows = rows.filter(
            Q(name__icontains=search) | Q(contact_name__icontains=search) | Q(email__icontains=search)
        )
    return rows


def builder_get(public_id: str) -> Builder:
    """One builder. Raises NotThere."""
    return _one(Builder.objects.select_related("owner"), public_id)


def project_list(search: str = "", builder: Builder | None = None) -> QuerySet[Project]:
    """Projects, newest first, with builder, site and owner at hand and `floor_count`."""
    rows = Project.objects.select_related("builder", "site", "owner").annotate(floor_count=Count("floors"))
    if builder is not None:
        rows = rows.filter(builder=builder)
    if search:
        rows = rows.filter(
            Q(name__icontains=search)
            | Q(builder__name__icontains=search)
            | Q(site__line__icontains=search)
            | Q(site__city__icontains=search)
        )
    return rows.order_by("-id")


def project_get(public_id: str) -> Project:
    """One project with builder, site and owner. Raises NotThere."""
    return _one(Project.objects.select_related("builder", "site", "owner"), public_id)


def floor_get(public_id: str) -> Floor:
    """One floor with its project, builder and owner. Raises NotThere."""
    rows = Floor.objects.select_related("project__builder", "project__site", "project__owner")
    return _one(rows, public_id)


def floor_version(floor: Floor, number: int | None = None) -> FloorVersion:
    """A saved version of a floor, the newest where no number is given. Raises NotThere."""
    rows = FloorVersion.objects.filter(floor=floor).order_by("-number")
    if number is not None:
        rows = rows.filter(number=number)
    return rows.first() or _missing()


def floor_version_by_pk(pk: int) -> FloorVersion:
    """A saved version with its floor, project, builder and site, for the worker. Raises NotThere."""
    rows = FloorVersion.objects.select_related("floor__project__builder", "floor__project__site")
    return rows.filter(pk=pk).first() or _missing()


def floor_state_list(project: Project) -> tuple[FloorState, ...]:
    """All floors of a project in order, each with its newest document, read at one instant."""
    rows = FloorVersion.objects.filter(floor__project=project).select_related("floor__project__owner")
    newest = rows.order_by("floor_id", "-number").distinct("floor_id")
    states = (FloorState(row.floor, row.number, row.document) for row in newest)
    return tuple(sorted(states, key=lambda state: (state.floor.position, state.floor.pk)))


@dataclass(frozen=True, slots=True)
class SiteWords:
    """Words of the price book in force for builders and sites; empty while there is no price book."""

    tiers: tuple[str, ...]
    zones: tuple[str, ...]
    places: tuple[str, ...]
    areas: tuple[FreightZone, ...] = ()

    @property
    def finds_by_distance(self) -> bool:
        return any(area.has_band for area in self.areas)

    @property
    def finds_by_place(self) -> bool:
        return any(area.has_places for area in self.areas)

    def zone_of(self, site: Site) -> str | None:
        """The freight zone that a site lies in, named or found; None where the price book knows none."""
        return zone_of(site.freight_zone, site.region, site.postal_code, self.areas)


def site_words() -> SiteWords:
    """Tiers, freight zones and tax places to choose from."""
    return SiteWords(
        tiers=_price_words("TierDiscount", "tier"),
        zones=_price_words("FreightRate", "zone"),
        places=_price_words("TaxRate", "place"),
        areas=tuple(_areas()),
    )


def _areas() -> Iterator[FreightZone]:
    rows = _price_rows("FreightRate").filter(truck="")
    for name, regions, postal, low, high in rows.values_list("zone", "regions", "postal", "from_mi", "to_mi"):
        yield FreightZone(name, tuple(regions), tuple(postal), low, high)


def _price_rows(model: str) -> QuerySet[Any]:
    # By name: the price book belongs to an app that stands above this one.
    books: Any = apps.get_model("quotes", "PriceBook")._default_manager
    rows: QuerySet[Any] = apps.get_model("quotes", model)._default_manager.filter(book__in=books.in_force())
    return rows


def _price_words(model: str, field: str) -> tuple[str, ...]:
    rows = _price_rows(model)
    return tuple(rows.order_by(field).values_list(field, flat=True).distinct())


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One audit entry as a sentence."""

    words: str
    at: datetime


_DONE: Final = {
    "builder_create": "entered the builder",
    "builder_change": "changed",
    "project_create": "began the project",
    "floor_create": "drew the floor",
    "floor_save": "saved version",
    "floor_repeat": "repeated a floor",
    "floor_place": "moved a floor",
    "floor_take_off": "took a floor off",
    "floor_put_back": "put a floor back",
    "plan_file_add": "added the plan",
    "plan_file_remove": "took away the plan",
    "calculation_sheet_ask": "asked for the calculation sheets of version",
    "drawings_ask": "asked for the drawings of version",
    "practice_set_draft": "drafted this version",
    "practice_set_change": "changed the draft",
    "practice_set_put_in_force": "put it in force",
    "practice_set_put": "put it in force",
}


def history_list(thing: models.Model) -> tuple[HistoryLine, ...]:
    """What happened to a builder, project or floor, newest first."""
    entries = audit_list(thing).order_by("-id")
    return tuple(HistoryLine(_history_words(entry), entry.at) for entry in entries[:HISTORY_MOST])


def _history_words(entry: AuditEntry) -> str:
    words = f"{entry.actor_name} {_DONE.get(entry.verb, entry.verb.replace('_', ' '))}"
    if entry.verb == "floor_save":
        words += f" {entry.change['version'][1]}"
    elif entry.verb in ("calculation_sheet_ask", "drawings_ask"):
        words += f" {entry.change['version']}"
    elif entry.verb in ("plan_file_add", "plan_file_remove"):
        words += f" “{entry.change['name']}”"
    elif entry.verb == "builder_change":
        moved = (
            f"{name.replace('_', ' ')} from “{old}” to “{new}”" for name, (old, new) in entry.change.items()
        )
        words += f" {', '.join(moved)}"
    return f"{words}: {entry.why}" if entry.why else f"{words}."


def practice_set_in_force() -> PracticeSet | None:
    """The company's practice set in force, None where it has put none in force yet."""
    return PracticeSet.objects.filter(in_force=True).first()


def practice_set_by_pk(pk: int | None) -> PracticeSet | None:
    """A practice set of any version; None stays None: the rules' own defaults. Raises NotThere."""
    return None if pk is None else PracticeSet.objects.filter(pk=pk).first() or _missing()


def practice_in_force() -> Practice:
    """The values for the rules now; the rules' own defaults where the company has no practice set yet."""
    row = practice_set_in_force()
    return Practice() if row is None else practice_of(row)


def practice_of(row: PracticeSet) -> Practice:
    """The values of one practice set. Raises Refused as `read_practice`."""
    return read_practice(row.name, row.version, row.values)


def read_practice(name: str, version: int, values: Any) -> Practice:
    """Check a practice set's values and lay them over the defaults.

    Raises Refused naming each value that is unknown or of the wrong kind.
    """
    if not isinstance(values, dict):
        raise Refused("The values of a practice set are an object of names and values.", field="values")
    unknown = sorted(set(values) - _PRACTICE_FIELDS)
    if unknown:
        raise Refused(
            f"Practice set {name} {version} has unknown values: {', '.join(unknown)}.", field="values"
        )
    text = json.dumps({**values, "name": name, "version": version})
    try:
        return _PRACTICE.validate_json(text, strict=True)
    except ValidationError as error:
        raise Refused(
            f"Practice set {name} {version}: {'; '.join(_sentences(error))}.", field="values"
        ) from None


def _sentences(error: ValidationError) -> Iterable[str]:
    for detail in error.errors(include_url=False):
        message = detail["msg"]
        yield f"{'.'.join(str(step) for step in detail['loc'])}: {message[0].lower()}{message[1:]}"


def _one(rows: QuerySet[Row], public_id: str) -> Row:
    # Text that can't be an id is not sent to the database, which would refuse some of it.
    known = rows.filter(public_id=public_id).first() if public_id.isalnum() else None
    return known or _missing()


def _missing() -> NoReturn:
    raise NotThere()
