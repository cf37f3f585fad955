"""Forms of the shop floor page. Each carries the number of its tap; what a tap means is checked by the services."""

from __future__ import annotations

from datetime import datetime
from uuid import uuid4

from django import forms
from django.utils.dateparse import parse_datetime

from framing.common.errors import Refused
from orders.services.taps import Tap
from orders.states import RemakeReason

BIG_TEXT = {"autocomplete": "off", "autocapitalize": "off", "spellcheck": "false"}


class TapForm(forms.Form):
    """A tap without anything typed; a form made without script gets its number from the server."""

    action_id = forms.UUIDField(required=False, widget=forms.HiddenInput)
    tapped_at = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)

    def checked(self) -> None:
        """Raise Refused, at its field, with the first thing that can't be read."""
        for name, errors in self.errors.items():
            raise Refused(str(errors[0]), field=name)

    @property
    def tap(self) -> Tap:
        return Tap(self.cleaned_data.get("action_id") or uuid4(), self._tapped_at())

    def _tapped_at(self) -> datetime | None:
        """The tablet's clock; one that can't be read is left out, it is for people only."""
        try:
            at = parse_datetime(self.cleaned_data.get("tapped_at") or "")
        except ValueError:
            return None
        return at if at is not None and at.tzinfo is not None else None


class WeighForm(TapForm):
    weighed_lb = forms.DecimalField(
        label="Weight on the scale",
        max_digits=9,
        widget=forms.TextInput(attrs={**BIG_TEXT, "inputmode": "decimal"}),
        error_messages={
            "invalid": "That is no weight. Type what the scale says, such as 1940.5.",
            "required": "Type what the scale says, in pounds.",
        },
    )


class ReopenForm(TapForm):
    why = forms.CharField(
        label="Why it is opened again",
        max_length=200,
        widget=forms.TextInput(attrs=BIG_TEXT),
        error_messages={"required": "Say why, in a few words; it is kept with the bundle."},
    )


class ScrapForm(TapForm):
    piece = forms.CharField(max_length=12, error_messages={"required": "Tap the piece that is scrapped."})
    reason = forms.ChoiceField(
        label="What is wrong",
        choices=RemakeReason.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Tap what is wrong with the piece."},
    )
    words = forms.CharField(
        label="In words",
        max_length=200,
        required=False,
        widget=forms.TextInput(attrs=BIG_TEXT),
        help_text="Needed where something else is wrong.",
    )


class PieceForm(TapForm):
    piece = forms.CharField(max_length=12, widget=forms.HiddenInput)


class UndoForm(TapForm):
    undoes = forms.UUIDField(
        widget=forms.HiddenInput, error_messages={"required": "Say which tap is taken back."}
    )


class ScanForm(TapForm):
    code = forms.CharField(
        label="Scan a tag, or type its code",
        max_length=200,
        required=False,
        widget=forms.TextInput(attrs={**BIG_TEXT, "enterkeyhint": "go"}),
    )
    hand = forms.CharField(max_length=20, required=False, widget=forms.HiddenInput)
