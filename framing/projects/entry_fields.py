"""Fields of the floor entry form. All are plain texts: what they mean is judged by the engine alone."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Final

from django import forms

from framing.engine.catalogue import load_catalogue
from framing.engine.loads import load_dead_layers, load_occupancies
from framing.projects.entry_bays import loads_words

TEXT_MOST = 400
LONG_MOST = 60_000
Choices = Sequence[tuple[str, str]]

EDGE_KINDS: Final = (
    ("", "By joist direction"),
    ("platform", "Bearing, platform"),
    ("balloon", "Bearing, ledger"),
    ("free", "Free, nothing under it"),
    ("parallel", "Beside the joists"),
)
DIRECTIONS: Final = (("y", "Bottom to top"), ("x", "Left to right"))
STARTS: Final = (("low", "Left, or bottom"), ("high", "Right, or top"))
PLIES: Final = (("1", "Single"), ("2", "Double"), ("3", "Triple"))
SPACINGS: Final = (("12", "12 in"), ("16", "16 in"), ("19.2", "19.2 in"), ("24", "24 in"))
SPACINGS_METRIC: Final = (
    ('12"', "305 mm"),
    ('16"', "406 mm"),
    ('19.2"', "488 mm"),
    ('24"', "610 mm"),
)


class OpenSelect(forms.Select):
    """A list that also shows a value which is not in it, so that a document's own word is never lost."""

    def optgroups(self, name: str, value: list[str], attrs: dict[str, Any] | None = None) -> list[Any]:
        known = {str(key) for key, _ in self.choices}
        for own in value:
            if own and own not in known:
                self.choices = [*self.choices, (own, own)]
        return super().optgroups(name, value, attrs)


class TypedField(forms.CharField):
    """Any text, also none: whether something is missing is the engine's word."""

    def validate(self, value: Any) -> None:
        del value


def text_field(label: str, *, help_text: str = "", **attrs: str) -> forms.CharField:
    widget = forms.TextInput(attrs={"maxlength": "80", "autocomplete": "off", "spellcheck": "false", **attrs})
    return TypedField(label=label, widget=widget, help_text=help_text)


def corners_field(label: str, *, help_text: str = "") -> forms.CharField:
    attrs = {"rows": 2, "spellcheck": "false", "placeholder": "0, 0; 12', 0; 12', 26'; 0, 26'"}
    return TypedField(label=label, widget=forms.Textarea(attrs=attrs), help_text=help_text)


def length_field(label: str, *, help_text: str = "", placeholder: str = "") -> forms.CharField:
    return text_field(label, help_text=help_text, **{"class": "length", "placeholder": placeholder})


def figure_field(
    label: str, *, help_text: str = "", placeholder: str = "", title: str = ""
) -> forms.CharField:
    attrs = {"inputmode": "decimal", "placeholder": placeholder}
    return text_field(label, help_text=help_text, **(attrs | ({"title": title} if title else {})))


def choice_field(label: str, choices: Choices, *, help_text: str = "", **attrs: str) -> forms.CharField:
    return TypedField(label=label, help_text=help_text, widget=OpenSelect(choices=choices, attrs=attrs))


class TypedForm(forms.Form):
    """A form of texts, always bound, that is read whether or not it is valid."""

    use_required_attribute = False

    def text(self, name: str) -> str:
        """The field's text, stripped and cut to a sane length."""
        return self.long_text(name)[:TEXT_MOST]

    def long_text(self, name: str) -> str:
        """The whole text of a field that may hold a list of corners or a bay's loads."""
        value = self[name].value()
        return "" if value is None else str(value).strip()[:LONG_MOST]


class FloorForm(TypedForm):
    """The single fields of a floor."""

    units = forms.CharField(required=False, widget=forms.HiddenInput)
    bay_id = text_field("Name of this bay")
    bay_outline = corners_field(
        "Its corners", help_text="Across, up; corner after corner. Empty: the whole floor."
    )
    bay_loads = forms.CharField(required=False, widget=forms.HiddenInput)
    name = text_field("Name")
    level = text_field("Level", title="The first sign of every mark, as the 2 of 2J07")
    repeat = figure_field("Equal floors", title="How many floors are built just like this one")
    shape = forms.CharField(
        label="Outline",
        required=False,
        widget=forms.RadioSelect(choices=(("rectangle", "Rectangle"), ("corners", "List of corners"))),
    )
    width = length_field("Width, left to right", placeholder="36'")
    depth = length_field("Depth, bottom to top", placeholder="26' 6 1/2\"")
    edge_bottom = choice_field("Bottom wall", EDGE_KINDS)
    edge_right = choice_field("Right wall", EDGE_KINDS)
    edge_top = choice_field("Top wall", EDGE_KINDS)
    edge_left = choice_field("Left wall", EDGE_KINDS)
    wall_bottom = length_field("Its width", placeholder='5 1/2"')
    wall_right = length_field("Its width", placeholder='5 1/2"')
    wall_top = length_field("Its width", placeholder='5 1/2"')
    wall_left = length_field("Its width", placeholder='5 1/2"')
    direction = choice_field("Joists run", DIRECTIONS)
    start = choice_field("Count from", STARTS)
    plies = choice_field("Each joist", PLIES)
    spacing = choice_field("Spacing", SPACINGS)
    offset = length_field("First joist at", placeholder="one spacing")
    profile = choice_field("Joist profile", ())
    occupancy = choice_field("Use", ())
    live_psf = figure_field("Live load", placeholder="by use")
    partition_psf = figure_field("Partition allowance", placeholder="0")

    @property
    def loads_words(self) -> str:
        """The first bay's own loads in a sentence; "" where it takes the floor's."""
        return loads_words(self.long_text("bay_loads"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        uses = load_occupancies()
        fields = self.fields
        fields["profile"].widget.choices = profile_choices()
        fields["occupancy"].widget.choices = [(use.name, use.name) for use in uses]
        live = json.dumps({use.name: f"{use.live_psf:g}" for use in uses})
        fields["occupancy"].widget.attrs["data-live"] = live
        if self.text("units") == "metric":
            fields["spacing"].widget.choices = SPACINGS_METRIC


def profile_choices() -> list[tuple[str, str]]:
    """Profiles of the catalogue by depth and weight, before them the engine's own choice."""
    rows = sorted(load_catalogue().profiles, key=lambda row: (row.depth_in, row.weight_plf, row.designator))
    named = [(row.designator, f"{row.designator} ({row.depth_in:g} in)") for row in rows]
    return [("", "Lightest that passes"), *named]


def layer_names() -> list[tuple[str, str]]:
    """Known dead loads as (name, weight) for the list beside the layer's name."""
    return [(preset.layer.name, f"{preset.layer.load_psf:g} psf") for preset in load_dead_layers()]
