"""Builders, their sites and projects, the floors drawn for them, and the span tables asked for on paper."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from framing.common.models import Addressed, TimeStamped, User
from framing.common.zones import NAME_MOST, company_zone, zone_constraint
from framing.projects.span_asks import ask_reference


class UnitSystem(models.TextChoices):
    IMPERIAL = "imperial", "Feet, inches and sixteenths"
    METRIC = "metric", "Millimetres"


class Builder(Addressed, TimeStamped):
    """A customer. `tier` picks the discount row of the price book; empty means list price."""

    name = models.CharField(max_length=160, unique=True)
    contact_name = models.CharField(max_length=120)
    email = models.EmailField()
    phone = models.CharField(max_length=40, blank=True)
    tier = models.CharField(max_length=20, blank=True)
    owner = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name


class Site(TimeStamped):
    """Where the steel goes; the place decides freight zone, tax, and when a day ends (`time_zone`, an IANA name)."""

    builder = models.ForeignKey(Builder, on_delete=models.PROTECT, related_name="sites")
    line = models.CharField("street and number", max_length=160)
    city = models.CharField(max_length=80)
    region = models.CharField("state or province", max_length=40)
    postal_code = models.CharField(max_length=16)
    freight_zone = models.CharField(max_length=20)
    tax_place = models.CharField(max_length=40)
    time_zone = models.CharField(max_length=NAME_MOST, default=company_zone)

    class Meta:
        constraints: ClassVar = [zone_constraint("time_zone", "site_zone_known")]

    def __str__(self) -> str:
        return f"{self.line}, {self.city}, {self.region} {self.postal_code}"


class Project(Addressed, TimeStamped):
    name = models.CharField(max_length=160)
    builder = models.ForeignKey(Builder, on_delete=models.PROTECT, related_name="projects")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="projects")
    units = models.CharField(max_length=10, choices=UnitSystem.choices, default=UnitSystem.IMPERIAL)
    owner = models.ForeignKey(User, on_delete=models.PROTECT, related_name="projects")

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["builder", "name"], name="project_name_once"),
            models.CheckConstraint(condition=Q(units__in=UnitSystem.values), name="project_units_listed"),
        ]

    def __str__(self) -> str:
        return self.name


class PracticeSet(Addressed, TimeStamped):
    """The company's values for the rules, one version a row; `values` holds what is no default.

    A draft may be changed, and `edit` counts how often; once it has been in force it never changes again.
    `in_force_at` and `in_force_by` tell when it was put in force last, and who did.
    """

    name = models.CharField(max_length=80)
    version = models.PositiveIntegerField()
    values = models.JSONField(default=dict, blank=True)
    edit = models.PositiveIntegerField(default=1)
    reason = models.CharField(max_length=400, blank=True)
    made_by = models.CharField(max_length=160, blank=True)
    in_force = models.BooleanField(default=False)
    in_force_at = models.DateTimeField(null=True, blank=True)
    in_force_by = models.CharField(max_length=160, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(in_force=False) | Q(in_force_at__isnull=False), name="practice_in_force_since"
            ),
            models.UniqueConstraint(fields=["name", "version"], name="practice_version_once"),
            models.UniqueConstraint(
                fields=["in_force"], condition=Q(in_force=True), name="practice_one_in_force"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.version}"

    @property
    def state(self) -> str:
        """`draft`, `in_force` or `earlier`."""
        if self.in_force:
            return "in_force"
        return "draft" if self.in_force_at is None else "earlier"


class Floor(Addressed, TimeStamped):
    """One floor of a project. The document is kept as versions; `version` is the number of the newest."""

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="floors")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=80)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering: ClassVar = ["position", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "name"], name="floor_name_once"),
            models.CheckConstraint(condition=Q(version__gte=1), name="floor_version_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.project.name}, {self.name}"

    @property
    def owner(self) -> User:
        return self.project.owner


class FloorVersion(models.Model):
    """A saved floor document; never altered, a save adds the next."""

    floor = models.ForeignKey(Floor, on_delete=models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField()
    document = models.JSONField()
    saved_by = models.CharField(max_length=160)
    saved_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["-number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["floor", "number"], name="floor_version_once"),
            models.CheckConstraint(condition=Q(number__gte=1), name="floor_version_number_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.floor.name} version {self.number}"


class FloorDraft(models.Model):
    """What a person has drawn on a floor and not saved, as JSON text: one row a person and floor, the newest only.

    The text may be any document, also one that can't be built; signs that no column takes are escaped in it.
    """

    floor = models.ForeignKey(Floor, on_delete=models.CASCADE, related_name="drafts")
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="+")
    base_version = models.PositiveIntegerField()
    document = models.TextField()
    saved_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["-saved_at", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["floor", "user"], name="floor_draft_once"),
            models.CheckConstraint(condition=Q(base_version__gte=1), name="floor_draft_base_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.floor.name}, draft of {self.user.name}"


class SpanTableAsk(Addressed):
    """A span table asked for on paper, the subject of that stored paper; equal asks are one row.

    `digest` covers `case`, the practice set and the versions of engine and catalogue.
    """

    digest = models.CharField(max_length=64, unique=True)
    case = models.JSONField()
    practice = models.ForeignKey(PracticeSet, on_delete=models.PROTECT, related_name="+")
    asked_by = models.CharField(max_length=160)
    asked_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["-id"]

    def __str__(self) -> str:
        return f"Span table {self.reference}"

    @property
    def reference(self) -> str:
        """How people name it, `3F9A-1C2E`."""
        return ask_reference(self.digest)


class PlanKind(models.TextChoices):
    PDF = "pdf", "PDF"
    IMAGE = "image", "Picture"
    DXF = "dxf", "DXF drawing"
    CSV = "csv", "List of corners"
    FLOOR = "floor", "Floor document"


class PlanState(models.TextChoices):
    WAITING = "waiting", "Being read"
    READ = "read", "Read"
    REFUSED = "refused", "Can't be read"


class PlanFile(Addressed):
    """A file that somebody brought to a project: a plan to trace, or a drawing to take floors from.

    Its bytes lie in the store of plan files by their hash and are never served. Equal bytes in one project are one row.
    `facts` holds what its reader found, `message` why it was refused, in words.
    """

    project = models.ForeignKey(Project, on_delete=models.CASCADE, related_name="plan_files")
    uploaded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=10, choices=PlanKind.choices)
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    state = models.CharField(max_length=10, choices=PlanState.choices, default=PlanState.WAITING)
    message = models.CharField(max_length=1000, blank=True)
    facts = models.JSONField(default=dict, blank=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["project", "sha256"], name="plan_file_once"),
            models.CheckConstraint(condition=Q(kind__in=PlanKind.values), name="plan_file_kind_listed"),
            models.CheckConstraint(condition=Q(state__in=PlanState.values), name="plan_file_state_listed"),
            models.CheckConstraint(condition=Q(size__gte=1), name="plan_file_not_empty"),
            models.CheckConstraint(
                condition=Q(state=PlanState.REFUSED) ^ Q(message=""), name="plan_file_refused_says_why"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class PlanPage(Addressed):
    """One page of a plan as a picture of our own making, and where it lies under floors.

    `x_16`, `y_16` is the plan place of the lower left corner of the picture as it lies after `quarter_turns` turns
    against the clock. Without `inches_per_px` it has no scale yet.
    """

    plan_file = models.ForeignKey(PlanFile, on_delete=models.CASCADE, related_name="pages")
    number = models.PositiveSmallIntegerField()
    sha256 = models.CharField(max_length=64)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    inches_per_px = models.FloatField(null=True, blank=True)
    x_16 = models.IntegerField(default=0)
    y_16 = models.IntegerField(default=0)
    quarter_turns = models.PositiveSmallIntegerField(default=0)
    dim = models.FloatField(default=0.8)
    locked = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["plan_file", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["plan_file", "number"], name="plan_page_once"),
            models.CheckConstraint(
                condition=Q(number__gte=1, width_px__range=(1, 4000), height_px__range=(1, 4000)),
                name="plan_page_size",
            ),
            models.CheckConstraint(
                condition=Q(inches_per_px__isnull=True) | Q(inches_per_px__gt=0, inches_per_px__lt=1000),
                name="plan_page_scale",
            ),
            models.CheckConstraint(
                condition=Q(quarter_turns__lte=3, dim__gte=0.1, dim__lte=1), name="plan_page_placed"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.plan_file.name}, page {self.number}"


class FloorUnderlay(models.Model):
    """Which page lies under a floor while it is drawn; one at most."""

    floor = models.OneToOneField(Floor, on_delete=models.CASCADE, related_name="underlay")
    page = models.ForeignKey(PlanPage, on_delete=models.CASCADE, related_name="underlays")

    def __str__(self) -> str:
        return f"{self.page} under {self.floor.name}"
