"""What staff enter of a receipt by hand, as somebody on site told it by telephone."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django import forms

from orders.states import ReceiptVerb

VERBS = [(verb.value, verb.label) for verb in ReceiptVerb if verb != ReceiptVerb.SIGN]


class ReceiptActForm(forms.Form):
    """One thing of the delivery and what is said of it; `action_id` makes a form sent twice count once."""

    action_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    code = forms.ChoiceField(label="Bundle or carton")
    verb = forms.ChoiceField(label="What was said", choices=VERBS)
    words = forms.CharField(label="In a few words", max_length=400, required=False)

    def __init__(self, *args: Any, things: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["code"].choices = things  # type: ignore[attr-defined]


class ReceiptPhotoForm(forms.Form):
    """A photo that came by mail or message."""

    photo_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    file = forms.FileField(label="Photo", help_text="JPEG, PNG or WebP, at most 10 MB.")
