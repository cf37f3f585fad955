"""What people type on the pages of price books; the services check it."""

from __future__ import annotations

from typing import Any

from django import forms

from quotes.services.approvals import REASON_MOST

DAY = forms.DateInput(attrs={"type": "date"})


class _PageForm(forms.Form):
    """One of several forms on a page: its fields' ids carry its own name, so that no id comes twice."""

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("auto_id", type(self).__name__.lower() + "_%s")
        super().__init__(*args, **more)


class PriceFileForm(_PageForm):
    file = forms.FileField(
        label="Workbook or CSV file",
        help_text="As it is exported here: .xlsx, or .csv in UTF-8; 2 MB at most.",
        widget=forms.FileInput(attrs={"accept": ".xlsx,.csv,text/csv"}),
    )


class SendForm(_PageForm):
    edit = forms.IntegerField(widget=forms.HiddenInput)
    note = forms.CharField(
        label="What is new",
        max_length=REASON_MOST,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Whoever puts it in force reads this first.",
    )


class GiveBackForm(_PageForm):
    why = forms.CharField(label="What is to change", max_length=REASON_MOST)


class ForceForm(_PageForm):
    edit = forms.IntegerField(widget=forms.HiddenInput)
    valid_from = forms.DateField(label="From", widget=DAY, help_text="Today or a day to come.")
    valid_until = forms.DateField(
        label="Until",
        widget=DAY,
        required=False,
        help_text="The first day without it; empty: until the next price book begins.",
    )
