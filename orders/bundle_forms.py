"""The form of a step on bundles; what it means is checked by the service."""

from __future__ import annotations

from typing import Any

from django import forms

from orders.services.bundles import Step
from orders.states import BundleEdit

CODES_MOST = 400  # pieces in one step, far over what bundles hold


class Codes(forms.Field):
    """The codes of ticked pieces."""

    widget = forms.MultipleHiddenInput

    def to_python(self, value: Any) -> tuple[str, ...]:
        codes = tuple(str(code)[:40] for code in value or ())
        if len(codes) > CODES_MOST:
            raise forms.ValidationError(
                f"At most {CODES_MOST} pieces move in one step; these are {len(codes)}."
            )
        return codes


class StepForm(forms.Form):
    """What a button of the page of bundles sends. `to` is a bundle's number, or “new”."""

    version = forms.CharField(max_length=32)
    edit = forms.ChoiceField(choices=BundleEdit.choices)
    number = forms.IntegerField(required=False, min_value=1, max_value=32000)
    at = forms.IntegerField(required=False, min_value=0, max_value=1000)
    other = forms.IntegerField(required=False, min_value=1, max_value=32000)
    pieces = Codes(required=False)
    to = forms.RegexField(r"^(new|[1-9]\d{0,4})$", required=False)
    way = forms.ChoiceField(choices=[("fewer", "fewer"), ("neater", "neater")], required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("edit") == BundleEdit.MOVE and not data.get("to") and "to" not in self.errors:
            self.add_error("to", "Say to which bundle the pieces move.")
        return data

    def step(self) -> Step:
        """The step that was asked for; the form is valid."""
        data = self.cleaned_data
        return Step(
            edit=data["edit"],
            number=data["number"],
            at=data["at"],
            other=data["other"],
            pieces=data["pieces"],
            to=int(data["to"]) if data["to"] not in ("", "new") else None,
            neater=data["way"] == "neater",
        )


class VersionForm(forms.Form):
    """Which bundles were seen when a step was taken back or done again."""

    version = forms.CharField(max_length=32)
