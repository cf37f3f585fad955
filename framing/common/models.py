"""What every app shares: people, the audit trail, work for Celery, stored papers, links, keys and numbers."""

from __future__ import annotations

import secrets
from typing import Any, ClassVar

import pgtrigger
from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.db import models
from django.db.models import Q
from django.utils import timezone


def new_public_id() -> str:
    """A random id for addresses: 80 bits, so it can't be guessed; it is no secret."""
    return secrets.token_hex(10)


class Role(models.TextChoices):
    """What a member of staff does here; rows of the access table are told apart by it."""

    SELLER = "seller", "Inside sales"
    MANAGER = "manager", "Sales manager"
    PLANNER = "planner", "Production planner"
    SHOP = "shop", "Shop floor"
    DISPATCHER = "dispatcher", "Dispatcher"
    ADMINISTRATOR = "administrator", "Administrator"


class TimeStamped(models.Model):
    """When a row was made; never when it was touched last, the audit trail knows that."""

    created_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        abstract = True


class Addressed(models.Model):
    """A row that has a page of its own."""

    public_id = models.CharField(max_length=20, unique=True, default=new_public_id, editable=False)

    class Meta:
        abstract = True


class UserManager(BaseUserManager["User"]):
    def create_user(self, email: str, password: str | None = None, **fields: Any) -> User:
        user = self.model(email=self.normalize_email(email).lower(), **fields)
        user.set_password(password)
        user.full_clean()
        user.save(using=self._db)
        return user

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> User:
        return self.create_user(
            email, password, role=Role.ADMINISTRATOR, is_staff=True, is_superuser=True, **fields
        )


class User(AbstractBaseUser, PermissionsMixin, TimeStamped):
    """A member of staff. Builders have no account: they come by link."""

    email = models.EmailField(unique=True)
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=20, choices=Role.choices)
    team = models.CharField(max_length=60, blank=True, help_text="Team mates share what they own.")
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False, help_text="May open the data pages at /admin/.")

    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]
    objects = UserManager()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(role__in=Role.values), name="user_role_listed"),
        ]

    def __str__(self) -> str:
        return self.name

    def get_full_name(self) -> str:
        return self.name


class AuditEntry(models.Model):
    """Who did what to which thing, and why; written in the transaction of the change, never altered."""

    at = models.DateTimeField()
    actor_kind = models.CharField(max_length=10)
    actor_name = models.CharField(max_length=160)
    user = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    link = models.ForeignKey("AccessLink", null=True, on_delete=models.PROTECT, related_name="+")
    verb = models.CharField(max_length=60)
    object_type = models.CharField(max_length=40)
    object_id = models.BigIntegerField()
    object_label = models.CharField(max_length=200)
    change = models.JSONField(default=dict)
    why = models.CharField(max_length=400, blank=True)
    request_id = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering: ClassVar = ["id"]
        indexes: ClassVar = [models.Index(fields=["object_type", "object_id", "id"], name="audit_object")]
        triggers: ClassVar = [
            pgtrigger.Protect(name="append_only", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"{self.actor_name} {self.verb} {self.object_label}"


class OutboxEntry(TimeStamped):
    """Work for the worker, written in the transaction that asks for it; the broker is only a hint.

    An entry is waiting until `done_at` or `parked_at` is set. Whether it runs right now is told by a lock that
    dies with its worker, so a killed one leaves nothing behind. `started_at` and `attempts` are for people.
    """

    kind = models.CharField(max_length=60)
    key = models.CharField(max_length=120, help_text="Equal work has an equal key and is done once.")
    payload = models.JSONField(default=dict)
    attempts = models.PositiveSmallIntegerField(default=0)
    started_at = models.DateTimeField(null=True)
    done_at = models.DateTimeField(null=True)
    parked_at = models.DateTimeField(null=True)
    error = models.TextField(blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["kind", "key"], name="outbox_once"),
            models.CheckConstraint(
                condition=Q(done_at__isnull=True) | Q(parked_at__isnull=True), name="outbox_one_end"
            ),
        ]
        indexes: ClassVar = [
            models.Index(
                fields=["id"],
                condition=Q(done_at__isnull=True, parked_at__isnull=True),
                name="outbox_waiting",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"

    @property
    def state(self) -> str:
        if self.done_at:
            return "done"
        if self.parked_at:
            return "parked"
        return "started" if self.started_at else "waiting"


class StoredPaper(Addressed):
    """A paper as it was issued: stored once by its hash, never rebuilt."""

    kind = models.CharField(max_length=40)
    subject_type = models.CharField(max_length=40)
    subject_id = models.BigIntegerField()
    file_name = models.CharField(max_length=160)
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    pages = models.PositiveIntegerField()
    stored_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["kind", "subject_type", "subject_id"], name="paper_once"),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="paper_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return self.file_name


class LinkPurpose(models.TextChoices):
    QUOTE = "quote", "Quote"
    DELIVERY = "delivery", "Delivery"
    ORDER = "order", "Order"
    TRIP = "trip", "Trip"
    CALENDAR = "calendar", "Calendar"


class AccessLink(Addressed, TimeStamped):
    """A builder's way in: purpose-bound, expiring, withdrawable; only a keyed hash of its secret is kept."""

    purpose = models.CharField(max_length=20, choices=LinkPurpose.choices)
    subject_type = models.CharField(max_length=40)
    subject_id = models.BigIntegerField()
    for_name = models.CharField(max_length=160)
    digest = models.CharField(max_length=64, unique=True)
    expires_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True)
    made_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    opened_count = models.PositiveIntegerField(default=0)
    opened_at = models.DateTimeField(null=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(purpose__in=LinkPurpose.values), name="link_purpose_listed"),
        ]
        indexes: ClassVar = [models.Index(fields=["subject_type", "subject_id"], name="link_subject")]

    def __str__(self) -> str:
        return f"{self.get_purpose_display()} link for {self.for_name}"


class IdempotencyKey(TimeStamped):
    """One use of a money verb: the same key again gives the same answer, and no second effect."""

    owner = models.CharField(max_length=60)
    key = models.CharField(max_length=80)
    verb = models.CharField(max_length=60)
    body_sha256 = models.CharField(max_length=64)
    result = models.JSONField(null=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["owner", "key"], name="idempotency_once"),
        ]

    def __str__(self) -> str:
        return f"{self.verb} {self.key}"


class NumberSeries(models.Model):
    """The last number given in a series and year; one locked row, so no gap and no twin."""

    series = models.CharField(max_length=10)
    year = models.PositiveSmallIntegerField()
    last = models.PositiveIntegerField(default=0)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["series", "year"], name="number_series_once"),
        ]

    def __str__(self) -> str:
        return f"{self.series}-{self.year}-{self.last:04d}"


class StageMove(models.Model):
    """One recorded move on the stage line (R44): who, when, from, to, why."""

    at = models.DateTimeField()
    from_stage = models.CharField(max_length=20, blank=True)
    to_stage = models.CharField(max_length=20)
    by = models.CharField(max_length=160)
    why = models.CharField(max_length=400, blank=True)

    class Meta:
        abstract = True
        ordering: ClassVar = ["id"]


class MailState(models.TextChoices):
    QUEUED = "queued", "On its way"
    SENT = "sent", "Sent"
    UNSURE = "unsure", "Maybe sent twice"
    BOUNCED = "bounced", "Came back"
    FAILED = "failed", "Not sent"


class MailMessage(Addressed, TimeStamped):
    """One mail to one person: written in the transaction that asks for it, sent by the worker afterwards.

    `message_id` is fixed with the row, so that a second try is the same mail. `link_seed` leads, with the key of
    the settings, to the secret of the link in the text; it is wiped once the mail is out. The text holds a mark
    where the link's address goes, never the address.
    """

    kind = models.CharField(max_length=40)
    subject_type = models.CharField(
        max_length=40, blank=True, help_text="What the mail is about, as in links."
    )
    subject_id = models.BigIntegerField(default=0)
    to_name = models.CharField(max_length=160, blank=True)
    to_address = models.CharField(max_length=254)
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField()
    message_id = models.CharField(max_length=200, unique=True)
    state = models.CharField(max_length=10, choices=MailState.choices, default=MailState.QUEUED)
    attempts = models.PositiveSmallIntegerField(default=0)
    answer = models.CharField(max_length=400, blank=True, help_text="What the mail server said.")
    in_doubt = models.BooleanField(default=False, help_text="A try ended without the server's word.")
    sent_at = models.DateTimeField(null=True)
    link = models.ForeignKey(AccessLink, null=True, on_delete=models.PROTECT, related_name="+")
    link_seed = models.CharField(max_length=64, blank=True)
    takes_replies = models.BooleanField(default=False)
    to_user = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    asked_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    asked_name = models.CharField(max_length=160)

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(state__in=MailState.values), name="mail_state_listed"),
            models.CheckConstraint(
                condition=Q(state__in=["queued", "failed"]) | Q(sent_at__isnull=False, link_seed=""),
                name="mail_out_has_time_and_no_seed",
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["subject_type", "subject_id"], name="mail_subject")]

    def __str__(self) -> str:
        return f"{self.kind} to {self.to_address}"


class MailTemplate(models.Model):
    """The company's words for a kind of mail; the newest version holds, older ones are kept."""

    kind = models.CharField(max_length=40)
    version = models.PositiveSmallIntegerField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["kind", "-version"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["kind", "version"], name="mail_template_once"),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="mail_template_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.version}"
