"""The lists of builders and projects: their filters, columns and order."""

from __future__ import annotations

from framing.common.listing import ListSpec, list_register
from framing.common.listing_columns import Count, Day, Linked, ListTable, Short, Words
from framing.common.listing_filters import ListFilters, choice_filter, day_filter, owner_filter, search_filter
from framing.projects import selectors
from framing.projects.models import Builder, UnitSystem


class BuilderTable(ListTable):
    usual = ("name", "contact", "email", "phone", "tier", "owner", "projects")

    name = Linked("Company", "name", "projects:builder_page")
    contact = Words("Person to ask for", "contact_name")
    email = Words("E-mail", "email")
    phone = Short("Phone", "phone")
    tier = Words("Price tier", "tier", nothing="list price")
    owner = Words("Owner", "owner__name")
    since = Day("Entered", "created_at")
    projects = Count("Projects", "project_count")


def _tiers() -> list[tuple[str, str]]:
    """Tiers that builders have now."""
    rows = Builder.objects.exclude(tier="").order_by("tier").values_list("tier", flat=True).distinct()
    return [(tier, tier) for tier in rows]


class BuilderFilters(ListFilters):
    kind = "builder"

    q = search_filter("Company, person, phone or e-mail")
    tier = choice_filter("Price tier", _tiers, path="tier")
    owner = owner_filter("Owner")


class ProjectTable(ListTable):
    usual = ("name", "builder", "site", "owner", "floors", "begun")

    name = Linked("Project", "name", "projects:project_page")
    builder = Linked("Builder", "builder__name", "projects:builder_page", of="builder")
    site = Words("Site", "site", order="site__line")
    city = Words("City", "site__city")
    region = Words("State or province", "site__region")
    owner = Words("Owner", "owner__name")
    units = Words("Units", "units")
    floors = Count("Floors", "floor_count")
    begun = Day("Begun", "created_at")


class ProjectFilters(ListFilters):
    kind = "project"
    more = ("units", "begun_from", "begun_to")

    q = search_filter("Project, builder, street or city")
    owner = owner_filter("Owner")
    units = choice_filter("Units", UnitSystem.choices, path="units")
    begun_from = day_filter("Begun from", "created_at__date")
    begun_to = day_filter("Begun to", "created_at__date", until=True)


def register() -> None:
    list_register(
        ListSpec(
            "builders", "Builders", ("project", "read"), "projects:builder_list", "projects:builder_file",
            selectors.builder_list, BuilderTable, BuilderFilters, order=("name", "pk"),
        )
    )  # fmt: skip
    list_register(
        ListSpec(
            "projects", "Projects", ("project", "read"), "projects:project_list", "projects:project_file",
            selectors.project_list, ProjectTable, ProjectFilters,
        )
    )  # fmt: skip
