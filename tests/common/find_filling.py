"""Thousands of invented builders, projects and quotes as rows, to measure finding and lists on; no floors."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import product

from framing.common.find_index import rebuild
from framing.common.models import Role, User
from framing.projects.models import Builder, Project, Site
from quotes.models import Quote
from tests.factories import people


def _parted(words: str) -> tuple[str, ...]:
    return tuple(words.split())


FIRST = _parted(
    "Alder Amber Ash Birch Bracken Cedar Clover Dove Elm Fern Finch Gorse Hazel Heron Holly Ivy Juniper Kestrel Larch "
    "Linden Maple Marsh Moor Oak Otter Pine Plover Quail Reed Rowan Rush Sable Sedge Sorrel Swift Tansy Teal Thorn "
    "Vale Willow Wren Yarrow"
)
SECOND = _parted(
    "Bank Bridge Brook Close Court Crest Cross Dale Dene Down End Field Fold Ford Gate Glen Green Grove Hall Heath "
    "Hill Hollow Hurst Lane Lea Ley Mead Mill Mount Nook Park Place Point Pond Ridge Rise Row Side Slope Spring "
    "Terrace Tor View Wharf Wood Yard"
)
CRAFT = _parted("Builders Building Construction Contracting Custom Developments Framing Frames Homes Houses")
AT = datetime(2026, 11, 2, 15, 0, tzinfo=UTC)


def fill(builders: int, projects: int, quotes: int) -> User:
    """So many rows of each kind, and their find entries; returns their owner."""
    owner = people.user(Role.MANAGER)
    names = [f"{one}{two.lower()} {craft}" for craft, two, one in product(CRAFT, SECOND, FIRST)]
    made = Builder.objects.bulk_create(
        Builder(
            name=f"{names[at % len(names)]} {at}",
            contact_name=f"{FIRST[at % 37]} {SECOND[at % 43]}",
            email=f"person{at}@builder{at}.example",
            phone=f"({200 + at % 700}) 555-{at % 10000:04d}",
            owner=owner,
        )
        for at in range(builders)
    )
    sites = Site.objects.bulk_create(
        Site(
            builder=made[at % builders],
            line=f"{at % 997 + 1} {FIRST[at % 37]} {SECOND[at % 31]}",
            city=f"{SECOND[at % 29]}{FIRST[at % 23].lower()}",
            region=("OH", "PA", "NY", "ON")[at % 4],
            postal_code=f"{44000 + at % 900}",
            freight_zone="near",
            tax_place="OH",
        )
        for at in range(projects)
    )
    jobs = Project.objects.bulk_create(
        Project(name=f"{FIRST[at % 37]} {SECOND[at % 43]} {at}", builder=site.builder, site=site, owner=owner)
        for at, site in enumerate(sites)
    )
    Quote.objects.bulk_create(
        Quote(number=f"Q-{2020 + at // 9000}-{at % 9000 + 1:04d}", project=jobs[at % projects], owner=owner)
        for at in range(quotes)
    )
    rebuild()
    return owner
