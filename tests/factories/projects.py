"""Builders, projects and floors for tests, made through the services."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import count
from typing import Any

from framing.common.actors import Actor, person
from framing.common.models import Role, User
from framing.engine.document import dump_document, rectangle_document
from framing.projects import services
from framing.projects.models import Builder, Floor, Project
from tests.factories import people
from tests.factories.kept import kept

AT = datetime(2026, 11, 2, 15, 0, tzinfo=UTC)
_numbers = count(1001)  # no name is the beginning of another

SITE = services.SiteAddress(
    line="14 Marsh Lane",
    city="Alder Falls",
    region="OH",
    postal_code="44000",
    freight_zone="near",
    tax_place="OH",
)

TYPED_RECTANGLE = {
    "name": "First floor",
    "level": "1",
    "repeat": "1",
    "units": "imperial",
    "shape": "rectangle",
    "width": "24'",
    "depth": "14'",
    "direction": "y",
    "start": "low",
    "spacing": "16",
    "occupancy": "Sleeping rooms",
}
"""What somebody types into the floor's form for a rectangle; `TYPED_FLOOR` has a layer of dead load too."""
TYPED_FLOOR = TYPED_RECTANGLE | {"layer-count": "1", "layer-0-name": "Floor", "layer-0-psf": "10"}


def _actor(owner: User | None) -> Actor:
    return person(owner or people.user(Role.SELLER))


@kept
def builder(owner: User | None = None, **fields: Any) -> Builder:
    number = next(_numbers)
    values = {"name": f"Hollin Homes {number}", "contact_name": "Rae Winter", "email": "rae@example.test"}
    return services.builder_create(actor=_actor(owner), at=AT, **(values | fields))


@kept
def project(owner: User | None = None, *, of: Builder | None = None, **fields: Any) -> Project:
    seller = owner or people.user(Role.SELLER)
    values: dict[str, Any] = {"name": f"Marsh Lane {next(_numbers)}", "site": SITE}
    return services.project_create(
        actor=person(seller), at=AT, builder=of or builder(seller), **(values | fields)
    )


def document(name: str = "Ground floor", **fields: Any) -> dict[str, Any]:
    """A floor of 24 ft by 14 ft, joists 14 ft long at 16 in, as a stored document."""
    values: dict[str, Any] = {"width": "24'", "depth": "14'", "direction": "y", "spacing": "16"}
    return dump_document(rectangle_document(name=name, **(values | fields)))


@kept
def floor(of: Project | None = None, **fields: Any) -> Floor:
    """A saved floor; `fields` go to `document`."""
    home = of or project()
    fields.setdefault("name", f"Floor {next(_numbers)}")
    return services.floor_create(actor=person(home.owner), at=AT, project=home, document=document(**fields))
