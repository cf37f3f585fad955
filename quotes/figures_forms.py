"""The filters over figures and pipeline. Readers check what is asked; the form says at the field what they refuse."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django import forms

from framing.common.errors import Refused
from quotes.figures_periods import LAST_TWELVE, OWN, Period, periods_offered
from quotes.figures_whose import Whose
from quotes.pipeline_reads import AGES
from quotes.states import QuoteStage

_AGE_WORDS = (
    "Any time",
    "A week or longer",
    "Two weeks or longer",
    "A month or longer",
    "Three months or longer",
)


class _Filters(forms.Form):
    """Fields keep what was typed, also what is refused."""

    def refuse(self, error: Refused) -> None:
        """Show a refusal at its field; a value that a list lacks is shown by the message alone."""
        self.is_valid()
        name = error.field if error.field in self.fields else None
        if name:
            self.errors.pop(name, None)
        self.add_error(name, error.message)
        if name:
            self.fields[name].widget.attrs["aria-invalid"] = "true"


class FiguresForm(_Filters):
    """Period and whose quotes."""

    period = forms.ChoiceField(label="Period")
    first = forms.CharField(label="First day", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    last = forms.CharField(label="Last day", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    who = forms.ChoiceField(label="Seller or team", required=False)

    def __init__(
        self, asked: Mapping[str, str], offered: Iterable[Whose], today: date, period: Period | None
    ) -> None:
        super().__init__({"period": LAST_TWELVE, "who": "", **asked})
        choices: list[tuple[str, str]] = periods_offered(today)
        if period is not None and period.key not in dict(choices):
            choices.insert(0, (period.key, period.name))
        self.fields["period"].choices = choices  # type: ignore[attr-defined]
        self.fields["who"].choices = whose_choices(offered)  # type: ignore[attr-defined]

    @property
    def own_days(self) -> bool:
        return bool(self.data.get("period") == OWN)


class PipelineForm(_Filters):
    """Whose quotes, at which stage, how long there, of which value."""

    who = forms.ChoiceField(label="Seller or team", required=False)
    stage = forms.ChoiceField(
        label="Stage", required=False, choices=[("", "All stages"), *QuoteStage.choices]
    )
    age = forms.ChoiceField(
        label="In its stage for",
        required=False,
        choices=[(str(a or ""), w) for a, w in zip(AGES, _AGE_WORDS, strict=True)],
    )
    low = forms.CharField(
        label="Value from", required=False, widget=forms.TextInput(attrs={"inputmode": "decimal"})
    )
    high = forms.CharField(
        label="Value to", required=False, widget=forms.TextInput(attrs={"inputmode": "decimal"})
    )

    def __init__(self, asked: Mapping[str, str], offered: Iterable[Whose]) -> None:
        super().__init__({"who": "", **asked})
        self.fields["who"].choices = whose_choices(offered)  # type: ignore[attr-defined]
        age = asked.get("age", "")
        known: list[Any] = list(self.fields["age"].choices)  # type: ignore[attr-defined]
        if age.isdigit() and age not in dict(known):
            self.fields["age"].choices = [*known, (age, f"{int(age)} days or longer")]  # type: ignore[attr-defined]


def whose_choices(offered: Iterable[Whose]) -> list[tuple[str, str]]:
    return [(whose.key, whose.label) for whose in offered]
