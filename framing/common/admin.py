"""Data pages for the administrator; nothing that a service writes is editable here."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from framing.common.models import AccessLink, AuditEntry, OutboxEntry, StoredPaper, User


class ReadOnly(admin.ModelAdmin):  # type: ignore[type-arg]  # not subscriptable at run time
    """A list one can look at."""

    def has_add_permission(self, request: HttpRequest) -> bool:  # noqa: ARG002
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:  # noqa: ARG002
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:  # noqa: ARG002
        return False


@admin.register(User)
class UserAdmin(ReadOnly):
    list_display = ("name", "email", "role", "team", "is_active")


@admin.register(AuditEntry)
class AuditEntryAdmin(ReadOnly):
    list_display = ("at", "actor_name", "verb", "object_label", "why")
    list_filter = ("verb", "object_type")


@admin.register(OutboxEntry)
class OutboxEntryAdmin(ReadOnly):
    list_display = ("kind", "key", "attempts", "created_at", "done_at", "parked_at")


@admin.register(StoredPaper)
class StoredPaperAdmin(ReadOnly):
    list_display = ("file_name", "kind", "pages", "size", "stored_at")


@admin.register(AccessLink)
class AccessLinkAdmin(ReadOnly):
    list_display = ("for_name", "purpose", "expires_at", "withdrawn_at", "opened_count")
    exclude = ("digest",)
