"""Forms of orders and deliveries; what they mean is checked by the services."""

from __future__ import annotations

from django import forms

from framing.common.errors import Refused, TooBig


class ReasonForm(forms.Form):
    """Why an order is held or cancelled."""

    why = forms.CharField(label="Why", max_length=400, widget=forms.TextInput)


class ReceiptForm(forms.Form):
    """Who took the load over on site."""

    received_by = forms.CharField(label="Received by", max_length=160)


class LinkForm(forms.Form):
    """Whom a builder's link is for."""

    for_name = forms.CharField(label="For", max_length=160, help_text="The person who will open it.")


def show_refusal(form: forms.Form, error: Refused | TooBig) -> None:
    """Put a service's refusal at its field, or above the form where it has none here."""
    form.add_error(error.field if error.field in form.fields else None, error.message)
