"""Writes of builders, sites, projects, floors and practice sets.

Every verb runs in one transaction: lock, rights, change, audit entry. A floor is saved by compare-and-set on
its version, so no saved edit is ever lost.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import DataError, IntegrityError, connection, models, transaction
from django.db.models import Max

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import NotThere, Refused, StaleSave
from framing.common.models import User
from framing.common.zones import read_zone
from framing.projects.design import Document, checked_document
from framing.projects.differences import find_differences
from framing.projects.models import Builder, Floor, FloorVersion, PracticeSet, Project, Site, UnitSystem
from framing.projects.practice_fields import FIELDS
from framing.projects.practice_limits import limit_problems, own_values
from framing.projects.selectors import practice_in_force, read_practice

FLOORS_MOST = 60
PRACTICE_LOCK = (7404, 0)  # ours alone among the database's advisory locks
BUILDER_FIELDS = ("name", "contact_name", "email", "phone", "tier")


@dataclass(frozen=True, slots=True)
class SiteAddress:
    """Where the steel goes; zone and place are the price book's words, `time_zone` is the company's where empty."""

    line: str
    city: str
    region: str
    postal_code: str
    freight_zone: str
    tax_place: str
    time_zone: str = ""


def builder_create(
    *,
    actor: Actor,
    at: datetime,
    name: str,
    contact_name: str,
    email: str,
    phone: str = "",
    tier: str = "",
    owner: User | None = None,
) -> Builder:
    """Enter a builder, owned by who enters it. Raises Refused where a field is wrong or the name is taken."""
    require(actor, "project", "make")
    builder = Builder(
        name=name.strip(),
        contact_name=contact_name.strip(),
        email=email.strip(),
        phone=phone.strip(),
        tier=tier.strip(),
        owner=_owner(actor, owner),
        created_at=at,
    )
    with transaction.atomic():
        _store(builder, taken="There is a builder of this name already.", field="name")
        audit_record(actor, "builder_create", builder, at=at)
    return builder


def builder_change(*, actor: Actor, at: datetime, builder: Builder, **changes: str) -> Builder:
    """Change a builder's name, contact_name, email, phone or tier. Raises Refused."""
    unknown = sorted(set(changes) - set(BUILDER_FIELDS))
    if unknown:
        raise TypeError(f"builder_change knows no {unknown}")
    with transaction.atomic():
        row = Builder.objects.select_for_update().get(pk=builder.pk)
        require(actor, "project", "change")
        moved = {name: [getattr(row, name), value.strip()] for name, value in changes.items()}
        moved = {name: pair for name, pair in moved.items() if pair[0] != pair[1]}
        for name, (_, value) in moved.items():
            setattr(row, name, value)
        if moved:
            _store(row, taken="There is a builder of this name already.", field="name")
            audit_record(actor, "builder_change", row, at=at, change=moved)
    return row


def project_create(
    *,
    actor: Actor,
    at: datetime,
    builder: Builder,
    name: str,
    site: SiteAddress,
    units: str = UnitSystem.IMPERIAL,
    owner: User | None = None,
) -> Project:
    """Begin a project of a builder at a site of its own. Raises Refused."""
    require(actor, "project", "make")
    with transaction.atomic():
        place = Site(
            builder=builder,
            line=site.line.strip(),
            city=site.city.strip(),
            region=site.region.strip(),
            postal_code=site.postal_code.strip(),
            freight_zone=site.freight_zone.strip(),
            tax_place=site.tax_place.strip(),
            time_zone=read_zone(site.time_zone),
            created_at=at,
        )
        _store(place, taken="", field="")
        project = Project(
            name=name.strip(),
            builder=builder,
            site=place,
            units=units,
            owner=_owner(actor, owner),
            created_at=at,
        )
        _store(project, taken=f"{builder.name} has a project of this name already.", field="name")
        audit_record(
            actor, "project_create", project, at=at, change={"builder": builder.name, "site": str(place)}
        )
    return project


def floor_create(*, actor: Actor, at: datetime, project: Project, document: Document) -> Floor:
    """Add a floor, last in the project, with the document as its version 1.

    Raises Refused: unreadable or unbuildable (R50, R51; `detail` lists the places), name taken, too many.
    """
    require(actor, "floor", "make")
    stored = checked_document(document, practice_in_force())
    with transaction.atomic():
        Project.objects.select_for_update().get(pk=project.pk)
        last = project.floors.aggregate(last=Max("position"), count=models.Count("id"))
        if last["count"] >= FLOORS_MOST:
            raise Refused(f"A project has at most {FLOORS_MOST} floors; begin another project.", field="name")
        _refuse_taken_name(project, stored["name"])
        floor = Floor.objects.create(
            project=project, position=(last["last"] or 0) + 1, name=stored["name"], created_at=at
        )
        _add_version(floor, stored, actor, at)
        audit_record(actor, "floor_create", floor, at=at, change={"version": 1})
    return floor


def floor_save(*, actor: Actor, at: datetime, floor: Floor, document: Document, base_version: int) -> Floor:
    """Save a floor's document as the next version, if `base_version` is still the newest.

    A document equal to the newest one changes nothing, so a repeated save does no harm.

    Raises:
        StaleSave: somebody saved meanwhile; `detail` tells who, when, which version, and every difference.
        Refused: as `floor_create`.
    """
    require(actor, "floor", "change")
    stored = checked_document(document, practice_in_force())
    with transaction.atomic():
        row = floor_locked(floor)
        newest = row.versions.get(number=row.version)
        if newest.document == stored:
            return row
        if row.version != base_version:
            raise _stale(row, newest, stored, base_version)
        if stored["name"] != row.name:
            _refuse_taken_name(row.project, stored["name"])
        row.version += 1
        row.name = stored["name"]
        row.save(update_fields=["version", "name"])
        _add_version(row, stored, actor, at)
        audit_record(actor, "floor_save", row, at=at, change={"version": [base_version, row.version]})
    return row


def floor_locked(floor: Floor) -> Floor:
    """The floor's row, locked, with project and owner. Raises NotThere where it was taken off meanwhile."""
    rows = Floor.objects.select_for_update(of=("self",)).select_related("project__owner")
    row = rows.filter(pk=floor.pk).first()
    if row is None:
        raise NotThere()
    return row


def practice_set_put(*, actor: Actor, at: datetime, name: str, values: Mapping[str, Any]) -> PracticeSet:
    """Put values for the rules in force at once, as the next version of that name. Raises Refused."""
    require(actor, "practice", "change")
    with transaction.atomic():
        practice_sets_lock()
        version = next_practice_version(name)
        practice_values(name, version, values)
        PracticeSet.objects.filter(in_force=True).update(in_force=False)
        row = PracticeSet.objects.create(
            name=name,
            version=version,
            values=dict(values),
            made_by=actor.name[:160],
            in_force=True,
            in_force_at=at,
            in_force_by=actor.name[:160],
            created_at=at,
        )
        audit_record(actor, "practice_set_put", row, at=at, change={"values": dict(values)})
    return row


def practice_set_current(*, at: datetime) -> PracticeSet:
    """The practice set in force; where there is none yet, “Standard 1” with the rules' defaults is made."""
    row = PracticeSet.objects.filter(in_force=True).first()
    if row is None:
        PracticeSet.objects.bulk_create(
            [
                PracticeSet(
                    name="Standard", version=1, values={}, in_force=True, in_force_at=at, created_at=at
                )
            ],
            ignore_conflicts=True,
        )
        row = PracticeSet.objects.get(in_force=True)
    return row


def practice_sets_lock() -> None:
    """Let one act on practice sets at a time, until the transaction ends; also while there is none yet."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", PRACTICE_LOCK)


def next_practice_version(name: str) -> int:
    """The number of the next version of a name; call it under `practice_sets_lock`."""
    return (PracticeSet.objects.filter(name=name).aggregate(last=Max("version"))["last"] or 0) + 1


def practice_values(name: str, version: int, values: Mapping[str, Any]) -> dict[str, Any]:
    """Values checked against their kinds and limits, without what is the rules' default anyway.

    Raises Refused naming the first wrong value as field and every one in `detail`.
    """
    practice = read_practice(name, version, dict(values))
    problems = limit_problems(practice)
    if problems:
        first = next(iter(problems))
        words = "; ".join(f"{FIELDS[key].words}: {problem}" for key, problem in problems.items())
        raise Refused(words, field=first, detail={key: [problem] for key, problem in problems.items()})
    return own_values(practice)


def _add_version(floor: Floor, document: dict[str, Any], actor: Actor, at: datetime) -> None:
    FloorVersion.objects.create(
        floor=floor, number=floor.version, document=document, saved_by=actor.name, saved_at=at
    )


def _stale(floor: Floor, newest: FloorVersion, yours: dict[str, Any], base_version: int) -> StaleSave:
    base = floor.versions.filter(number=base_version).first()
    differences = find_differences(
        base=base.document if base else newest.document, yours=yours, theirs=newest.document
    )
    detail = {
        "version": newest.number,
        "base_version": base_version,
        "saved_by": newest.saved_by,
        "saved_at": newest.saved_at.isoformat(),
        "differences": [difference.as_json() for difference in differences],
    }
    message = (
        f"{newest.saved_by} saved version {newest.number} of {floor.name} while you worked on version "
        f"{base_version}; {len(differences)} fields differ. Nothing you typed is lost."
    )
    return StaleSave(message, field="base_version", detail=detail)


def _refuse_taken_name(project: Project, name: str) -> None:
    if project.floors.filter(name=name).exists():
        message = f"The project has a floor named “{name}” already; give this one another name."
        raise Refused(message, field="name", detail=[{"place": "name", "message": message}])


def _owner(actor: Actor, owner: User | None) -> User:
    found = owner or actor.user
    if found is None:
        raise Refused("Name the member of staff who owns this.", field="owner")
    return found


def _store(row: models.Model, *, taken: str, field: str) -> None:
    """Check the row's own fields, then save; a lost race for a unique name is refused as a taken one."""
    try:
        row.clean_fields()
    except ValidationError as error:
        name, messages = next(iter(error.message_dict.items()))
        raise Refused(f"{messages[0]}", field=name, detail=error.message_dict) from error
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as error:
        if not taken:
            raise
        raise Refused(taken, field=field) from error
    except DataError as error:
        if "time zone" not in str(error):
            raise
        words = "The database's own zones are older and lack this one; choose a zone with the same clock."
        raise Refused(words, field="time_zone") from error
