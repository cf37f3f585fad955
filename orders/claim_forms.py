"""What people type about claims; the services check what it means."""

from __future__ import annotations

import re
from typing import Any

from django import forms

from orders.states import ClaimKind

MARK_AND_COUNT = re.compile(
    r"^(?P<mark>[^\s,]+)(?:\s*(?:x|\N{MULTIPLICATION SIGN})?\s*(?P<count>\d{1,3}))?$", re.IGNORECASE
)


def marks_typed(text: str) -> dict[str, int]:
    """“2J07 x 3, 2J08” as counts by mark. Raises ValidationError, naming the part that can't be read."""
    counts: dict[str, int] = {}
    for part in filter(None, (part.strip() for part in text.split(","))):
        found = MARK_AND_COUNT.match(part)
        if found is None or found["count"] == "0":
            raise forms.ValidationError(f"“{part[:40]}” is no mark with a count; write 2J07 x 3.")
        mark = found["mark"].upper()
        counts[mark] = counts.get(mark, 0) + int(found["count"] or 1)
    return counts


class ClaimForm(forms.Form):
    """What is short, damaged or wrong on a delivery."""

    thing = forms.ChoiceField(label="What it is about")
    kind = forms.ChoiceField(label="What is wrong", choices=ClaimKind.choices)
    marks = forms.CharField(
        label="Which pieces",
        required=False,
        max_length=400,
        help_text="Marks with counts, such as 2J07 x 3, 2J08. Empty means the whole bundle.",
    )
    words = forms.CharField(
        label="In words",
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What was found, and who said it.",
    )

    def __init__(self, *args: Any, things: list[tuple[str, str]], **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["thing"].choices = things  # type: ignore[attr-defined]

    def clean_marks(self) -> dict[str, int]:
        return marks_typed(self.cleaned_data["marks"])


class ReplaceForm(forms.Form):
    prefix = "replace"
    why = forms.CharField(label="A word for the shop", max_length=400, required=False)


class CreditForm(forms.Form):
    prefix = "credit"
    amount = forms.DecimalField(label="Amount with tax", max_digits=12, decimal_places=2)
    why = forms.CharField(label="Why", max_length=400, help_text="The builder reads it.")


class RejectForm(forms.Form):
    prefix = "reject"
    why = forms.CharField(label="Why", max_length=400, help_text="The builder reads it.")
