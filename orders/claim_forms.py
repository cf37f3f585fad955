"""What people type about claims; the services check what it means."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from django import forms

from orders.selectors import content_words
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
        help_text="What was found, and who said it. The builder reads it.",
    )

    def __init__(self, *args: Any, things: list[tuple[str, str]], **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["thing"].choices = things  # type: ignore[attr-defined]

    def clean_marks(self) -> dict[str, int]:
        return marks_typed(self.cleaned_data["marks"])


class ReplaceForm(forms.Form):
    """A word for the shop; for a carton also how many go again of each thing in it, for a bundle which pieces do.

    Nothing of a carton is taken for granted: what is missing is told in the claim's words, not in its contents.

    Args:
        contents: what the claimed carton holds; empty for a bundle.
        named: the pieces that a claim on a bundle names, as marks with counts; "" for a carton.
    """

    prefix = "replace"
    marks = forms.CharField(
        label="Which pieces go again",
        required=False,
        max_length=4_000,
        help_text="What you take out here is not made again: it stays open as a claim of its own, to credit or reject.",
    )
    why = forms.CharField(label="A word for the shop", max_length=400, required=False)

    def __init__(
        self, *args: Any, contents: Sequence[Sequence[Any]] = (), named: str = "", **more: Any
    ) -> None:
        super().__init__(*args, **more)
        self.contents = contents
        self.fields["marks"].initial = named
        if not named:
            del self.fields["marks"]
        for place, (what, held, unit) in enumerate(contents):
            self.fields[f"line_{place}"] = forms.IntegerField(
                label=str(what), required=False, min_value=0, max_value=int(held),
                help_text=content_words([(what, held, unit)])[0].rpartition(": ")[2],
            )  # fmt: skip
        self.order_fields([*(f"line_{place}" for place in range(len(contents))), "marks", "why"])

    def clean_marks(self) -> dict[str, int]:
        return marks_typed(self.cleaned_data["marks"])

    @property
    def lines(self) -> list[forms.BoundField]:
        """The fields of the carton's things."""
        return [self[f"line_{place}"] for place in range(len(self.contents))]

    @property
    def asked(self) -> dict[str, Any]:
        """What the service is told."""
        values = self.cleaned_data
        if not self.contents:
            return {"why": values["why"], "marks": values.get("marks")}
        counts = [values.get(f"line_{place}") or 0 for place in range(len(self.contents))]
        told = [[what, count, unit] for (what, _, unit), count in zip(self.contents, counts, strict=True)]
        return {"why": values["why"], "contents": told}


class CreditForm(forms.Form):
    prefix = "credit"
    amount = forms.DecimalField(
        label="Amount with tax",
        max_digits=12,
        decimal_places=2,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )
    why = forms.CharField(label="Why", max_length=400, help_text="The builder reads it.")


class RejectForm(forms.Form):
    prefix = "reject"
    why = forms.CharField(label="Why", max_length=400, help_text="The builder reads it.")
