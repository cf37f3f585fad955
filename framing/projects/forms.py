"""Forms of builders and projects; the floor's own form is in `entry`."""

from __future__ import annotations

from typing import Any

from django import forms

from framing.common.zones import company_zone, zone_choices
from framing.projects.freight import BY_PLACE, distance_mi
from framing.projects.models import Builder, UnitSystem
from framing.projects.selectors import builder_list, site_words
from framing.projects.services import SiteAddress

SITE_FIELDS = ("line", "city", "region", "postal_code", "freight_zone", "tax_place", "time_zone")


class BuilderForm(forms.ModelForm[Builder]):
    """A builder's names and ways to reach him; the tier is one of the price book's where there is one."""

    class Meta:
        model = Builder
        fields = ("name", "contact_name", "email", "phone", "tier")
        labels = {"name": "Company", "contact_name": "Person to ask for", "tier": "Price tier"}
        help_texts = {"tier": "Picks the discount of the price book; list price where empty."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _offer(self, "tier", site_words().tiers)

    def validate_unique(self) -> None:
        """Left to the service, which says it in the same words to everybody."""


class ProjectForm(forms.Form):
    """A project and the site that it goes to."""

    builder = forms.Field()  # every form reads its own list
    name = forms.CharField(label="Project", max_length=160)
    units = forms.ChoiceField(label="Lengths in", choices=UnitSystem.choices)
    line = forms.CharField(label="Street and number", max_length=160)
    city = forms.CharField(max_length=80)
    region = forms.CharField(label="State or province", max_length=40)
    postal_code = forms.CharField(label="Postal code", max_length=16)
    freight_zone = forms.CharField(label="Freight zone", max_length=20)
    tax_place = forms.CharField(label="Place for sales tax", max_length=40)
    time_zone = forms.ChoiceField(
        label="Time zone",
        required=False,
        choices=zone_choices,
        initial=company_zone,
        help_text="Offers end with the last day as it ends here.",
        error_messages={"invalid_choice": "“%(value)s” is no time zone of the list; choose one."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["builder"] = forms.ModelChoiceField(
            builder_list(), to_field_name="public_id", empty_label="Choose a builder"
        )
        words = site_words()
        _offer(self, "freight_zone", (*words.zones, BY_PLACE) if words.finds_by_place else words.zones)
        if words.finds_by_distance:
            self._ask_distance()
        _offer(self, "tax_place", words.places)

    def _ask_distance(self) -> None:
        """Where zones are bands of miles, the distance may stand in for the zone's name."""
        zone = self.fields["freight_zone"]
        zone.required = False
        if isinstance(zone, forms.ChoiceField):
            zone.choices = [("", ""), *list(zone.choices)]  # type: ignore[arg-type]  # a list, as _offer made it
        self.fields["distance"] = forms.CharField(
            label="Or distance from the yard",
            max_length=16,
            required=False,
            help_text="Such as 85 mi or 137 km; the price book finds the zone.",
        )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        typed, zone = data.get("distance", "").strip(), data.get("freight_zone", "")
        if typed and distance_mi(typed) is None:
            self.add_error("distance", f"“{typed}” is no distance; type it like 85 mi or 137 km.")
        elif typed and zone:
            self.add_error("distance", "Give the zone or the distance, not both.")
        elif "distance" in self.fields and not (typed or zone) and "freight_zone" not in self.errors:
            self.add_error("freight_zone", "Choose the zone, or type the distance from the yard.")
        return data

    @property
    def site(self) -> SiteAddress:
        values = {name: self.cleaned_data[name] for name in SITE_FIELDS}
        values["freight_zone"] = values["freight_zone"] or self.cleaned_data.get("distance", "").strip()
        return SiteAddress(**values)


def _offer(form: forms.BaseForm, name: str, words: tuple[str, ...]) -> None:
    """Turn a text field into a list where the price book knows the words; a word of old stays selectable."""
    if not words:
        return
    field = form.fields[name]
    own = form.get_initial_for_field(field, name)
    shown = words if not own or own in words else (*words, str(own))
    choices = [(word, "By postal code or state" if word == BY_PLACE else word) for word in shown]
    if not field.required:
        choices.insert(0, ("", "List price" if name == "tier" else ""))
    form.fields[name] = forms.ChoiceField(
        label=field.label, help_text=field.help_text, required=field.required, choices=choices
    )
