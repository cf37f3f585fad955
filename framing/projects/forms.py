"""Forms of builders and projects; the floor's own form is in `entry`."""

from __future__ import annotations

from typing import Any

from django import forms

from framing.projects.models import Builder, UnitSystem
from framing.projects.selectors import builder_list, site_words
from framing.projects.services import SiteAddress

SITE_FIELDS = ("line", "city", "region", "postal_code", "freight_zone", "tax_place")


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

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["builder"] = forms.ModelChoiceField(
            builder_list(), to_field_name="public_id", empty_label="Choose a builder"
        )
        words = site_words()
        _offer(self, "freight_zone", words.zones)
        _offer(self, "tax_place", words.places)

    @property
    def site(self) -> SiteAddress:
        return SiteAddress(**{name: self.cleaned_data[name] for name in SITE_FIELDS})


def _offer(form: forms.BaseForm, name: str, words: tuple[str, ...]) -> None:
    """Turn a text field into a list where the price book knows the words; a word of old stays selectable."""
    if not words:
        return
    field = form.fields[name]
    own = form.get_initial_for_field(field, name)
    shown = words if not own or own in words else (*words, str(own))
    choices = [(word, word) for word in shown]
    if not field.required:
        choices.insert(0, ("", "List price" if name == "tier" else ""))
    form.fields[name] = forms.ChoiceField(
        label=field.label, help_text=field.help_text, required=field.required, choices=choices
    )
