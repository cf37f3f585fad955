"""What people type to send an offer, write on its thread, or change the company's words."""

from __future__ import annotations

from typing import Any

from django import forms

from framing.common.mail_words import ADDRESS_MOST, NAME_MOST, SUBJECT_MOST, TEXT_MOST
from quotes.forms import _Keyed, _PageForm
from quotes.services.sending import WORD_MOST
from quotes.services.thread import WORDS_MOST

ROWS = 5


class SendForm(_Keyed):
    """Up to five people of the builder, and a word of the seller's own."""

    word = forms.CharField(
        label="Your own words",
        required=False,
        max_length=WORD_MOST,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Plain text; stands in the mail above the link.",
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for place in range(1, ROWS + 1):
            self.fields[f"name-{place}"] = forms.CharField(
                label="Name", max_length=NAME_MOST, required=place == 1, strip=False
            )
            self.fields[f"email-{place}"] = forms.CharField(
                label="Mail address", max_length=ADDRESS_MOST, required=place == 1
            )

    @property
    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField, bool]]:
        """Name and address of each row, and whether the row is shown before one asks for more."""
        rows = [(self[f"name-{place}"], self[f"email-{place}"]) for place in range(1, ROWS + 1)]
        typed = [bool(name.value() or mail.value()) for name, mail in rows]
        return [(*row, place == 0 or typed[place]) for place, row in enumerate(rows)]

    @property
    def more_rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(name, mail) for name, mail, shown in self.rows if not shown]

    @property
    def filled(self) -> list[int]:
        """Numbers of the rows in which something stands."""
        data = self.cleaned_data
        return [n for n in range(1, ROWS + 1) if data.get(f"name-{n}", "").strip() or data.get(f"email-{n}")]

    @property
    def people(self) -> list[tuple[str, str]]:
        return [(self.cleaned_data[f"name-{n}"], self.cleaned_data[f"email-{n}"]) for n in self.filled]

    def field_of(self, field: str) -> str | None:
        """The form's field for a service's one, which counts filled rows only; None for the form itself."""
        name, _, place = field.partition("-")
        if place.isdigit() and int(place) <= len(self.filled):
            field = f"{name}-{self.filled[int(place) - 1]}"
        if field == "people":
            return "name-1"
        return field if field in self.fields else None


class RemindForm(_Keyed):
    """A word of the seller's own in a reminder."""

    word = forms.CharField(
        label="Your own words",
        required=False,
        max_length=WORD_MOST,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Plain text; stands in the mail above the link.",
    )


class AnswerThreadForm(_PageForm):
    text = forms.CharField(
        label="Your answer", max_length=WORDS_MOST, widget=forms.Textarea(attrs={"rows": 4})
    )


class AskSellerForm(_PageForm):
    text = forms.CharField(
        label="Your question or remark", max_length=WORDS_MOST, widget=forms.Textarea(attrs={"rows": 4})
    )


class TemplateForm(_PageForm):
    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    subject = forms.CharField(label="Subject", max_length=SUBJECT_MOST)
    text = forms.CharField(label="Text", max_length=TEXT_MOST, widget=forms.Textarea(attrs={"rows": 14}))
