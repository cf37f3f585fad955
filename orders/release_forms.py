"""What people type between booking and release; the services check it, the forms only read it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms

from framing.common.errors import Refused, TooBig
from orders.forms import show_refusal

PEOPLE = 3
YES, NO = "yes", "no"
ANSWERS = ((YES, "The drawings are right"), (NO, "Something must change"))


class _Form(forms.Form):
    """One of several forms on a page: its fields carry its own name, so that no id comes twice."""

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("prefix", type(self).__name__.removesuffix("Form").lower())
        super().__init__(*args, **more)

    def show(self, error: Refused | TooBig) -> None:
        """Put a service's refusal at its field."""
        show_refusal(self, error)


def _day() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class DayForm(_Form):
    deliver_on = forms.DateField(label="Day on site", widget=_day())


class ResumeForm(_Form):
    why = forms.CharField(label="Why it goes on", max_length=400, widget=forms.TextInput)


class DepositForm(_Form):
    """Money that came; the page's key keeps a second press from writing it twice."""

    idempotency_key = forms.CharField(max_length=80, widget=forms.HiddenInput)
    amount = forms.DecimalField(label="Amount", max_digits=12, decimal_places=2)
    received_on = forms.DateField(label="Received on", widget=_day())
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=200,
        help_text="Check number or the bank's reference.",
    )


class TakeBackForm(_Form):
    why = forms.CharField(label="Why it is taken back", max_length=400, widget=forms.TextInput)


class SendDrawingsForm(_Form):
    """Up to three people of the builder, and a word of the sender's own."""

    idempotency_key = forms.CharField(max_length=80, widget=forms.HiddenInput)
    word = forms.CharField(
        label="Your own words",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Plain text; stands in the mail above the link.",
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        for place in range(1, PEOPLE + 1):
            self.fields[f"name-{place}"] = forms.CharField(
                label="Name", max_length=160, required=place == 1, strip=False
            )
            self.fields[f"email-{place}"] = forms.CharField(
                label="Mail address", max_length=254, required=place == 1
            )

    @property
    def rows(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        return [(self[f"name-{place}"], self[f"email-{place}"]) for place in range(1, PEOPLE + 1)]

    @property
    def filled(self) -> list[int]:
        """Numbers of the rows in which something stands."""
        data = self.cleaned_data
        return [n for n in range(1, PEOPLE + 1) if data[f"name-{n}"].strip() or data[f"email-{n}"]]

    @property
    def people(self) -> list[tuple[str, str]]:
        return [(self.cleaned_data[f"name-{n}"], self.cleaned_data[f"email-{n}"]) for n in self.filled]

    def show(self, error: Refused | TooBig) -> None:
        """The service counts filled rows only."""
        name, _, place = error.field.partition("-")
        field = error.field
        if place.isdigit() and int(place) <= len(self.filled):
            field = f"{name}-{self.filled[int(place) - 1]}"
        self.add_error(field if field in self.fields else None, error.message)


class AnswerForm(_Form):
    """The builder's yes or no."""

    approved = forms.ChoiceField(label="Are they right?", choices=ANSWERS, widget=forms.RadioSelect)
    words = forms.CharField(
        label="What must change",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Needed where something must change: which floor, which member, what instead.",
    )
    file = forms.FileField(
        label="Marked-up drawing",
        required=False,
        allow_empty_file=True,
        help_text="PDF, PNG or JPEG, 10 MB at most.",
        widget=forms.ClearableFileInput(attrs={"accept": ".pdf,.png,.jpg,.jpeg"}),
    )
    name = forms.CharField(label="Your name", max_length=160)

    @property
    def values(self) -> Mapping[str, Any]:
        """What the service takes."""
        file = self.cleaned_data["file"]
        read = (file.name or "", file.read()) if file else None
        return {**self.cleaned_data, "approved": self.cleaned_data["approved"] == YES, "file": read}


class RecordForm(AnswerForm):
    """The builder's yes or no as staff heard it."""

    heard = forms.CharField(
        label="How you heard it", max_length=400, help_text="A call, a signed paper, on site."
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["approved"].label = "What the builder said"
        self.fields["name"].label = "Who said it"
        self.order_fields(["approved", "words", "file", "name", "heard"])
