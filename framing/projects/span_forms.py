"""The form of a span table. It is always bound: what an address leaves out takes its usual value."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from django import forms
from django.http import QueryDict
from django.utils.text import get_text_list

from framing.engine.catalogue import load_catalogue
from framing.engine.loads import load_dead_layers, load_occupancies
from framing.engine.method import Method
from framing.engine.practice import Practice
from framing.projects.entry_fields import SPACINGS
from framing.projects.models import UnitSystem
from framing.projects.span_asks import SpanAsk

ASKED: Final = "asked"
"""Names the form itself among the values: without it, what is absent was not unticked but never asked."""
LIVE_MOST_PSF: Final = 1000.0
DEAD_MOST_PSF: Final = 500.0
LIMIT_LEAST, LIMIT_MOST = 120, 1000
_NUMBER: Final = re.compile(r"-?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)")
_LIMIT: Final = re.compile(r"(?:[Ll] ?/ ?)?([0-9]{1,9})")
DEAD_FROM: Final = (("number", "One number"), ("layers", "Sum of layers"))
UNITS: Final = ((UnitSystem.IMPERIAL.value, "Feet and inches"), (UnitSystem.METRIC.value, "Millimetres"))
SPANS: Final = (("single", "One span"), ("two", "Two equal spans, joists in one piece"))


class LoadField(forms.CharField):
    """A load in psf, over zero and up to `most_psf`; None where it may be empty and is."""

    def __init__(self, *, label: str, most_psf: float, required: bool = True, **attrs: str) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", **attrs})
        super().__init__(label=label, required=required, max_length=20, widget=widget)
        self.error_messages["required"] = "Give the load in psf."
        self.most_psf = most_psf

    def clean(self, value: Any) -> float | None:
        text = super().clean(value)
        if not text:
            return None
        if not _NUMBER.fullmatch(text):
            raise forms.ValidationError(f"“{text}” is no number; write it like 12.5.")
        load = float(text)
        if load < 0:
            raise forms.ValidationError("A load can't be negative.")
        if load == 0:
            raise forms.ValidationError("A load is over 0 psf.")
        if load > self.most_psf:
            raise forms.ValidationError(
                f"{load:g} psf is over {self.most_psf:,.0f} psf, the most taken here."
            )
        return load


class LimitField(forms.CharField):
    """A deflection limit as people write it, L/480 or 480."""

    def __init__(self, *, label: str) -> None:
        widget = forms.TextInput(attrs={"class": "fig", "autocomplete": "off", "list": "deflection-limits"})
        super().__init__(label=label, max_length=20, widget=widget)

    def clean(self, value: Any) -> int:
        text = super().clean(value)
        read = _LIMIT.fullmatch(text)
        if read is None:
            raise forms.ValidationError(f"“{text}” is no limit; write it like L/480.")
        limit = int(read[1])
        if not LIMIT_LEAST <= limit <= LIMIT_MOST:
            raise forms.ValidationError(f"L/{limit} is outside L/{LIMIT_LEAST} to L/{LIMIT_MOST}.")
        return limit


def _ticks(
    label: str, choices: Any = (), *, required: bool = False, help_text: str = ""
) -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(
        label=label,
        required=required,
        help_text=help_text,
        choices=choices,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick at least one."},
    )


class SpanTableForm(forms.Form):
    """Loads, limits and what to show; read it with `span_form`, take the answer from `ask`."""

    use_required_attribute = False

    asked = forms.CharField(required=False, widget=forms.HiddenInput, initial="1")
    use = forms.ChoiceField(label="Use of the floor")
    live_psf = LoadField(label="Live load", most_psf=LIVE_MOST_PSF, required=False, placeholder="by use")
    partition_psf = LoadField(
        label="Partition allowance", most_psf=LIVE_MOST_PSF, required=False, placeholder="none"
    )
    dead_from = forms.ChoiceField(label="Dead load", choices=DEAD_FROM, widget=forms.RadioSelect)
    dead_psf = LoadField(label="Weight of floor and ceiling", most_psf=DEAD_MOST_PSF)
    layers = _ticks("Layers")
    live_limit = LimitField(label="Under live load")
    total_limit = LimitField(label="Under total load")
    spans = forms.ChoiceField(label="Joists run over", choices=SPANS, widget=forms.RadioSelect)
    spacings = _ticks("Spacings", SPACINGS, required=True)
    depths = _ticks("Depths", help_text="All where none is ticked.")
    method = forms.ChoiceField(label="Method", choices=[(method.value, method.value) for method in Method])
    point_load = forms.BooleanField(label="Stiff enough for 1 kN at midspan", required=False)
    units = forms.ChoiceField(label="Spans in", choices=UNITS, widget=forms.RadioSelect)

    def __init__(self, data: QueryDict) -> None:
        super().__init__(data)
        self.query = data.urlencode()
        choices = {
            "use": [(use.id, f"{use.name}, {use.live_psf:g} psf") for use in load_occupancies()],
            "layers": [
                (row.id, f"{row.layer.name}, {row.layer.load_psf:g} psf") for row in load_dead_layers()
            ],
            "depths": [(depth, f"{depth} in") for depth in known_depths()],
        }
        for name, listed in choices.items():
            field = self.fields[name]
            if isinstance(field, forms.ChoiceField):
                field.choices = listed

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        by_layers = data.get("dead_from") == "layers"
        if by_layers:
            self.errors.pop("dead_psf", None)  # kept as typed, not counted
        if by_layers and not data.get("layers") and "layers" not in self.errors:
            self.add_error("layers", "Tick at least one layer, or give one number.")
        return data

    @property
    def ask(self) -> SpanAsk:
        """What a valid form asks for."""
        data = self.cleaned_data
        use = next(row for row in load_occupancies() if row.id == data["use"])
        own = data["live_psf"] is not None and data["live_psf"] != use.live_psf
        layers = [row.layer for row in load_dead_layers() if row.id in data["layers"]]
        by_layers = data["dead_from"] == "layers"
        return SpanAsk(
            use="" if own else use.name,
            live_psf=data["live_psf"] if own else use.live_psf,
            partition_psf=data["partition_psf"] or 0.0,
            dead_psf=sum(layer.load_psf for layer in layers) if by_layers else data["dead_psf"],
            layers=tuple(layer.name for layer in layers) if by_layers else (),
            live_limit=data["live_limit"],
            total_limit=data["total_limit"],
            spans=data["spans"],
            spacings_in=tuple(sorted(float(text) for text in data["spacings"])),
            method=Method(data["method"]),
            point_load=data["point_load"],
            depths_in=tuple(sorted(float(text) for text in data["depths"])),
            units=data["units"],
        )

    @property
    def error_words(self) -> str:
        """All errors as one text, for those who read no form."""
        return get_text_list([f"{name}: {found[0]}" for name, found in self.errors.items()], "and")


def known_depths() -> tuple[str, ...]:
    """Depths of the catalogue in inches, as the form names them."""
    return tuple(f"{depth:g}" for depth in sorted({row.depth_in for row in load_catalogue().profiles}))


def usual_values(practice: Practice) -> dict[str, list[str]]:
    """What the form begins with: a dwelling's floor by the company's practice.

    A table always has limits: where the practice sets none, the rules' own stand there.
    """
    usual = Practice()
    return {
        "use": ["living_rooms"],
        "live_psf": [],
        "partition_psf": [],
        "dead_from": ["number"],
        "dead_psf": ["10"],
        "layers": [],
        "live_limit": [f"L/{practice.live_deflection or usual.live_deflection}"],
        "total_limit": [f"L/{practice.total_deflection or usual.total_deflection}"],
        "spans": ["single"],
        "spacings": [value for value, _ in SPACINGS],
        "depths": [],
        "method": [practice.method.value],
        "point_load": ["on"] if practice.vibration_point_load else [],
        "units": ["imperial"],
    }


def span_form(given: QueryDict, practice: Practice) -> SpanTableForm:
    """The form with what was given; a whole form is taken as it is, of anything else what is missing is usual."""
    if ASKED in given:
        return SpanTableForm(given)
    return SpanTableForm(filled({name: given.getlist(name) for name in given}, practice))


def filled(given: Mapping[str, list[str]], practice: Practice) -> QueryDict:
    """Values of a whole form from some of them."""
    whole = QueryDict(mutable=True)
    for name, usual in usual_values(practice).items():
        whole.setlist(name, given.get(name, usual))
    whole[ASKED] = "1"
    return whole
