"""Shapes of the API's root operations; what comes in and what goes out are separate."""

from __future__ import annotations

from typing import Any, ClassVar

from rest_framework import serializers

from framing.projects.models import Builder, Floor, Project, Site, UnitSystem


class ProblemOutput(serializers.Serializer[Any]):
    """One refusal or warning and its place in the document."""

    place = serializers.CharField()
    message = serializers.CharField()
    x_16 = serializers.IntegerField(allow_null=True)
    y_16 = serializers.IntegerField(allow_null=True)


class CountOutput(serializers.Serializer[Any]):
    code = serializers.CharField()
    words = serializers.CharField()
    quantity = serializers.IntegerField()


class CheckOutput(serializers.Serializer[Any]):
    """The most used check of one profile; over 1 fails."""

    profile = serializers.CharField()
    title = serializers.CharField()
    members = serializers.IntegerField()
    check = serializers.CharField()
    clause = serializers.CharField()
    ratio = serializers.FloatField()
    passes = serializers.BooleanField()


class OptionOutput(serializers.Serializer[Any]):
    bay = serializers.CharField()
    profile = serializers.CharField()
    spacing_in = serializers.FloatField()
    passes = serializers.BooleanField()
    ratio = serializers.FloatField()
    governing = serializers.CharField()
    reason = serializers.CharField(allow_blank=True)
    weight_lb = serializers.FloatField()


class PreviewOutput(serializers.Serializer[Any]):
    """A designed floor in figures, or why it can't be built; the drawing is SVG text."""

    builds = serializers.BooleanField()
    passes = serializers.BooleanField(allow_null=True)
    problems = ProblemOutput(many=True)
    warnings = ProblemOutput(many=True)
    counts = CountOutput(many=True)
    weight_lb = serializers.FloatField()
    checks = CheckOutput(many=True)
    options = OptionOutput(many=True)
    svg = serializers.CharField(allow_blank=True)


class ProfileOutput(serializers.Serializer[Any]):
    """One joist profile and what one ply of it can do: strengths by `method` about the strong axis, in kip-in and lb.

    Strengths are null where the profile, or its hole for `net_shear_lb`, is outside the standard's limits;
    `reason` says which one.
    """

    designator = serializers.CharField(source="profile.designator")
    depth_in = serializers.FloatField(source="profile.depth_in")
    flange_in = serializers.FloatField(source="profile.flange_in")
    lip_in = serializers.FloatField(source="profile.lip_in")
    mils = serializers.IntegerField(source="profile.mils")
    yield_ksi = serializers.IntegerField(source="profile.yield_ksi")
    weight_plf = serializers.FloatField(source="profile.weight_plf")
    method = serializers.CharField(source="strength.method", allow_null=True)
    gross_inertia_in4 = serializers.FloatField(source="strength.gross.ix_in4", allow_null=True)
    effective_inertia_in4 = serializers.FloatField(source="strength.effective_inertia_in4", allow_null=True)
    effective_modulus_in3 = serializers.FloatField(source="strength.section_modulus_in3", allow_null=True)
    local_moment_kipin = serializers.FloatField(source="strength.local_moment_kipin", allow_null=True)
    distortional_moment_kipin = serializers.FloatField(
        source="strength.distortional_moment_kipin", allow_null=True
    )
    shear_lb = serializers.FloatField(source="strength.shear_lb", allow_null=True)
    net_shear_lb = serializers.FloatField(source="strength.net_shear_lb", allow_null=True)
    reason = serializers.CharField()
    source = serializers.CharField(source="profile.source")  # type: ignore[assignment]


class BuilderInput(serializers.Serializer[Any]):
    name = serializers.CharField(max_length=160)
    contact_name = serializers.CharField(max_length=120)
    email = serializers.EmailField()
    phone = serializers.CharField(max_length=40, required=False, allow_blank=True)
    tier = serializers.CharField(max_length=20, required=False, allow_blank=True)


class BuilderOutput(serializers.ModelSerializer[Builder]):
    id = serializers.CharField(source="public_id")
    owner = serializers.CharField(source="owner.name")

    class Meta:
        model = Builder
        fields: ClassVar = ["id", "name", "contact_name", "email", "phone", "tier", "owner"]


class SiteInput(serializers.Serializer[Any]):
    line = serializers.CharField(max_length=160)
    city = serializers.CharField(max_length=80)
    region = serializers.CharField(max_length=40)
    postal_code = serializers.CharField(max_length=16)
    freight_zone = serializers.CharField(max_length=20)
    tax_place = serializers.CharField(max_length=40)
    time_zone = serializers.CharField(
        max_length=40, default="", allow_blank=True, help_text="IANA name; the company's where blank."
    )


class SiteOutput(serializers.ModelSerializer[Site]):
    class Meta:
        model = Site
        fields: ClassVar = ["line", "city", "region", "postal_code", "freight_zone", "tax_place", "time_zone"]


class ProjectInput(serializers.Serializer[Any]):
    builder = serializers.CharField(max_length=20, help_text="The builder's id.")
    name = serializers.CharField(max_length=160)
    units = serializers.ChoiceField(choices=UnitSystem.choices, default=UnitSystem.IMPERIAL)
    site = SiteInput()


class ProjectOutput(serializers.ModelSerializer[Project]):
    id = serializers.CharField(source="public_id")
    builder = serializers.CharField(source="builder.public_id")
    builder_name = serializers.CharField(source="builder.name")
    owner = serializers.CharField(source="owner.name")
    site = SiteOutput()

    class Meta:
        model = Project
        fields: ClassVar = ["id", "name", "builder", "builder_name", "units", "owner", "site", "created_at"]


class FloorOutput(serializers.ModelSerializer[Floor]):
    id = serializers.CharField(source="public_id")

    class Meta:
        model = Floor
        fields: ClassVar = ["id", "name", "position", "version"]


class FloorDocumentOutput(FloorOutput):
    """A floor with the document of its newest version."""

    document = serializers.DictField()

    class Meta(FloorOutput.Meta):
        fields: ClassVar = [*FloorOutput.Meta.fields, "document"]


class FloorSaveInput(serializers.Serializer[Any]):
    """A save names the version it was made from; a newer one at the server is a clash (409)."""

    version = serializers.IntegerField(min_value=0, max_value=2_000_000_000)
    document = serializers.DictField(help_text="A floor document; its schema is at /api/v1/floor-schema/.")
