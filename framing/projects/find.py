"""By what builders and projects are found."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from framing.common.find_index import FindKind, Found, find_register, find_watch, own_key
from framing.projects.models import Builder, Project, Site

BUILDER_FIELDS = ("name", "contact_name", "email", "phone")
SITE_FIELDS = ("line", "city", "region", "postal_code")
PROJECT_FIELDS = ("name", "builder", "site")


def builders_found(pks: Sequence[int] | None = None) -> Iterator[Found]:
    rows = Builder.objects.order_by("pk")
    for builder in rows if pks is None else rows.filter(pk__in=pks):
        note = ", ".join(filter(None, (builder.contact_name, builder.phone)))
        yield Found(
            builder.pk, builder.public_id, builder.name, note, phone=builder.phone, texts=(builder.email,)
        )


def projects_found(pks: Sequence[int] | None = None) -> Iterator[Found]:
    rows = Project.objects.select_related("builder", "site").order_by("pk")
    for project in rows if pks is None else rows.filter(pk__in=pks):
        yield Found(
            project.pk,
            project.public_id,
            project.name,
            f"{project.builder.name}, {project.site}",
            phone=project.builder.phone,
            texts=(project.builder.contact_name,),
        )


def job_words(project: Project) -> tuple[str, str, tuple[str, ...]]:
    """For what belongs to a project: the line under its number, the builder's phone, and words besides."""
    builder = project.builder
    return (
        f"{project.name}, {builder.name}",
        builder.phone,
        (builder.contact_name, str(project.site)),
    )


def projects_of(row: Builder | Site) -> Iterable[int]:
    """Keys of the projects of a builder or at a site."""
    return row.projects.order_by("pk").values_list("pk", flat=True)


def register() -> None:
    find_register(
        FindKind(
            "builder", "Builders", ("project", "read"), "projects:builder_page", "projects:builder_list", "q",
            builders_found,
        )
    )  # fmt: skip
    find_register(
        FindKind(
            "project", "Projects", ("project", "read"), "projects:project_page", "projects:project_list", "q",
            projects_found,
        )
    )  # fmt: skip
    find_watch(Builder, BUILDER_FIELDS, {"builder": own_key, "project": projects_of})
    find_watch(Site, SITE_FIELDS, {"project": projects_of})
    find_watch(Project, PROJECT_FIELDS, {"project": own_key})
