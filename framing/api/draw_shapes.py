"""Shapes of the plan editor's operations. Coordinates are plan inches, x to the right, y up."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from framing.api.serializers import CheckOutput, CountOutput, OptionOutput
from framing.projects.turned import CHANGES


def _numbers(count: int, **more: Any) -> serializers.ListField:
    return serializers.ListField(child=serializers.FloatField(), min_length=count, max_length=count, **more)


def _spot(**more: Any) -> serializers.ListField:
    return _numbers(2, help_text="x and y", **more)


def _spots() -> serializers.ListField:
    return serializers.ListField(child=_numbers(2))


def _lines() -> serializers.ListField:
    return serializers.ListField(child=_numbers(4), help_text="x and y of both ends of each")


class DrawInput(serializers.Serializer[Any]):
    sequence = serializers.IntegerField(min_value=0, help_text="Comes back with the answer.")
    document = serializers.DictField(help_text="A floor document; its schema is at /api/v1/floor-schema/.")


class PlacesInput(serializers.Serializer[Any]):
    code = serializers.CharField(help_text="Code of a bill line.")
    document = serializers.DictField()


class ChangeInput(serializers.Serializer[Any]):
    change = serializers.ChoiceField(
        sorted(CHANGES), help_text="A mirror changes left and right, a turn is a quarter to the left."
    )
    document = serializers.DictField()


class ChangedOutput(serializers.Serializer[Any]):
    document = serializers.DictField()


class DraftInput(serializers.Serializer[Any]):
    base_version = serializers.IntegerField(min_value=1, help_text="The version that was drawn on.")
    document = serializers.DictField(help_text="Any object of at most 1,000,000 bytes.")


class PresenceInput(serializers.Serializer[Any]):
    base_version = serializers.IntegerField(min_value=1, help_text="The version that is open.")


class PlacedProblemOutput(serializers.Serializer[Any]):
    """One refusal or warning, its place in the document and, where it has one, on the plan."""

    place = serializers.CharField(allow_blank=True)
    message = serializers.CharField()
    x = serializers.FloatField(allow_null=True)
    y = serializers.FloatField(allow_null=True)


class DrawnEdgeOutput(serializers.Serializer[Any]):
    index = serializers.IntegerField()
    kind = serializers.CharField()
    width = serializers.FloatField()


def _between(name: str, **more: serializers.Field[Any, Any, Any, Any]) -> type[serializers.Serializer[Any]]:
    """A thing with an id and two ends; `from` is no name that a class body takes."""
    fields = {"id": serializers.CharField(), "from": _spot(), "to": _spot(), **more}
    return type(name, (serializers.Serializer,), fields)


DrawnSupportOutput = _between(
    "DrawnSupportOutput", kind=serializers.CharField(), width=serializers.FloatField()
)
DrawnPartitionOutput = _between("DrawnPartitionOutput", bearing=serializers.BooleanField())


class DrawnOpeningOutput(serializers.Serializer[Any]):
    id = serializers.CharField()
    name = serializers.CharField()
    kind = serializers.CharField()
    low = _spot()
    high = _spot()


class DrawnPointLoadOutput(serializers.Serializer[Any]):
    """A load that stands on one place of the floor."""

    id = serializers.CharField()
    name = serializers.CharField(allow_blank=True)
    at = _spot()
    dead_lb = serializers.FloatField()
    live_lb = serializers.FloatField()


class DrawnBayOutput(serializers.Serializer[Any]):
    id = serializers.CharField()
    direction = serializers.CharField()
    start = serializers.CharField()
    ring = _spots()


class DrawnFloorOutput(serializers.Serializer[Any]):
    """What was drawn, as it was read; corners and edges are numbered as in the document."""

    outline = _spots()
    edges = DrawnEdgeOutput(many=True)
    supports = DrawnSupportOutput(many=True)
    openings = DrawnOpeningOutput(many=True)
    partitions = DrawnPartitionOutput(many=True)
    point_loads = DrawnPointLoadOutput(many=True)
    bays = DrawnBayOutput(many=True)


class DrawnMemberOutput(serializers.Serializer[Any]):
    """A joist, trimmer, header or beam; `fails` tells that one of its checks does."""

    id = serializers.CharField()
    kind = serializers.CharField()
    mark = serializers.CharField()
    bay = serializers.CharField()
    plies = serializers.IntegerField()
    width = serializers.FloatField()
    line = _numbers(4, help_text="x and y of both ends")
    holes = _spots()
    fails = serializers.BooleanField()


class DrawnBridgingOutput(serializers.Serializer[Any]):
    id = serializers.CharField()
    runs = _lines()


class ShownOutput(serializers.Serializer[Any]):
    """The drawing: `drawn` is null where the document can't be read, `members` empty where it can't be built."""

    state = serializers.CharField(help_text="unread, refused or drawn")
    problems = PlacedProblemOutput(many=True)
    drawn = DrawnFloorOutput(allow_null=True)
    members = DrawnMemberOutput(many=True)
    bridging = DrawnBridgingOutput(many=True)
    blocks = _lines()


class BillLineOutput(serializers.Serializer[Any]):
    """One line of the bill: `exact` in `unit`, sixteenths of an inch for `length_16`; `bought` in `sold_by`."""

    code = serializers.CharField()
    description = serializers.CharField()
    exact = serializers.IntegerField()
    unit = serializers.CharField()
    bought = serializers.IntegerField()
    sold_by = serializers.CharField()


class DrawnPriceOutput(serializers.Serializer[Any]):
    """Goods of the floor; without a `total`, `words` say why."""

    total = serializers.CharField(allow_blank=True)
    words = serializers.CharField()


class DrawAnswerOutput(ShownOutput):
    """What a document comes to. `price` is null for those who see no prices and where nothing is built."""

    sequence = serializers.IntegerField()
    warnings = PlacedProblemOutput(many=True)
    counts = CountOutput(many=True)
    weight_lb = serializers.FloatField()
    checks = CheckOutput(many=True)
    passes = serializers.BooleanField(allow_null=True)
    failing = serializers.IntegerField()
    bill = BillLineOutput(many=True)
    options = OptionOutput(many=True)
    price = DrawnPriceOutput(allow_null=True)


class PlaceOutput(serializers.Serializer[Any]):
    """One counted thing; `to` is null for one at a point."""

    id = serializers.CharField()
    at = _spot()
    to = _spot(allow_null=True)


class PlacesOutput(serializers.Serializer[Any]):
    code = serializers.CharField()
    places = PlaceOutput(many=True)


class OtherOutput(serializers.Serializer[Any]):
    """Somebody else at the floor. `fields` of his draft differ from the newest version, `words` name some."""

    name = serializers.CharField()
    at = serializers.DateTimeField()
    base_version = serializers.IntegerField()
    here = serializers.BooleanField(help_text="Asked within the last minute.")
    fields = serializers.IntegerField()  # type: ignore[assignment]  # the answer's name, taken off the class
    words = serializers.ListField(child=serializers.CharField())
    said = serializers.CharField(help_text="All of it as a sentence.")


class DraftOutput(serializers.Serializer[Any]):
    """`draft` is false where the document said what is saved already, so that none is kept."""

    saved_at = serializers.DateTimeField()
    draft = serializers.BooleanField()
    others = OtherOutput(many=True)


class OwnDraftOutput(serializers.Serializer[Any]):
    """What an editor begins with: the own draft, or the newest version where there is none."""

    document = serializers.DictField()
    base_version = serializers.IntegerField()
    from_draft = serializers.BooleanField()


class VersionFactsOutput(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    saved_at = serializers.DateTimeField()
    saved_by = serializers.CharField()


class VersionsOutput(serializers.Serializer[Any]):
    versions = VersionFactsOutput(many=True)


class DifferenceOutput(serializers.Serializer[Any]):
    """One field that the newest version (`theirs`) has otherwise than this one (`yours`)."""

    words = serializers.CharField()
    place = serializers.CharField()
    base = serializers.CharField()
    yours = serializers.CharField()
    theirs = serializers.CharField()
    by = serializers.CharField()


class CompareInput(serializers.Serializer[Any]):
    document = serializers.DictField(help_text="The drawing.")
    base_version = serializers.IntegerField(
        min_value=1,
        required=False,
        help_text="The version that it began with; the one compared with if left out.",
    )
    choice = serializers.DictField(
        child=serializers.ChoiceField(["mine", "theirs"]),
        required=False,
        help_text="By the path of a clash: whose part is taken.",
    )


class ClashOutput(serializers.Serializer[Any]):
    path = serializers.CharField()
    words = serializers.CharField()


class DifferenceWordsOutput(serializers.Serializer[Any]):
    words = serializers.CharField()


class ComparedOutput(serializers.Serializer[Any]):
    """What a drawing has otherwise than a version, the document that says both, and what both changed differently."""

    number = serializers.IntegerField()
    differences = DifferenceWordsOutput(many=True)
    document = serializers.DictField()
    clashes = ClashOutput(many=True)


class VersionOutput(ShownOutput):
    """One saved version with its drawing by the practice set in force."""

    number = serializers.IntegerField()
    saved_at = serializers.DateTimeField()
    saved_by = serializers.CharField()
    document = serializers.DictField()
    differences = DifferenceOutput(many=True)


class PresenceOutput(serializers.Serializer[Any]):
    """The newest version and who else is at the floor."""

    version = serializers.IntegerField()
    saved_at = serializers.DateTimeField()
    saved_by = serializers.CharField()
    others = OtherOutput(many=True)
