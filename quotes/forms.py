"""What people type on the quote pages; the services check it, the forms only read it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms

from framing.projects.models import Project
from quotes.lost_models import LostReason
from quotes.services.approvals import REASON_MOST

HUNDRED = Decimal(100)
BASE_PICK = "base"


class _PageForm(forms.Form):
    """One of several forms on a page: its fields' ids carry its own name, so that no id comes twice."""

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("auto_id", type(self).__name__.lower() + "_%s")
        super().__init__(*args, **more)


class _Keyed(_PageForm):
    """A money verb: carries the idempotency key that the page was made with."""

    idempotency_key = forms.CharField(max_length=80, widget=forms.HiddenInput)


class QuoteNewForm(_PageForm):
    project: forms.ModelChoiceField[Project] = forms.ModelChoiceField(
        Project.objects.none(), to_field_name="public_id", label="Project", empty_label="Choose a project"
    )

    def __init__(self, *args: Any, projects: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.fields["project"].queryset = projects  # type: ignore[attr-defined]


class DraftForm(_PageForm):
    """Discounts and terms of a draft; `lines` are (code, description, share) of what can be discounted alone."""

    discount_percent = forms.DecimalField(
        label="Discount on the total, %",
        min_value=0,
        max_value=Decimal("99.99"),
        decimal_places=2,
        max_digits=4,
        help_text="On material and shop work, after the builder's tier and the lines below.",
    )
    lead_time_days = forms.IntegerField(label="Lead time, days", min_value=1, max_value=730)
    terms = forms.CharField(
        label="Terms", required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, lines: Sequence[tuple[str, str, Decimal]] = (), **more: Any) -> None:
        super().__init__(*args, **more)
        self.lines = tuple(lines)
        for code, description, share in self.lines:
            self.fields[f"line:{code}"] = forms.DecimalField(
                label=description,
                min_value=0,
                max_value=Decimal("99.99"),
                decimal_places=2,
                max_digits=4,
                required=False,
                initial=f"{share * HUNDRED:.2f}" if share else None,
                widget=forms.NumberInput(attrs={"step": "0.01"}),
            )

    @property
    def main_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("discount_percent", "lead_time_days", "terms")]

    @property
    def line_fields(self) -> list[forms.BoundField]:
        return [self[f"line:{code}"] for code, *_ in self.lines]

    @property
    def has_line_discounts(self) -> bool:
        """Whether the part with single lines is shown open."""
        return any(share for *_, share in self.lines) or any(field.errors for field in self.line_fields)

    @property
    def discount_share(self) -> Decimal:
        share: Decimal = self.cleaned_data["discount_percent"] / HUNDRED
        return share

    @property
    def line_discounts(self) -> dict[str, Decimal] | None:
        """Shares by code; None, which leaves them as they are, where the form was sent without these fields."""
        if not any(f"line:{code}" in self.data for code, *_ in self.lines):
            return None
        typed = {code: self.cleaned_data.get(f"line:{code}") for code, *_ in self.lines}
        return {code: percent / HUNDRED for code, percent in typed.items() if percent}


class AskForm(_PageForm):
    reason = forms.CharField(label="Why this price is right", max_length=REASON_MOST)


class DecideForm(_PageForm):
    answer = forms.CharField(label="Word to the seller", max_length=REASON_MOST, required=False)
    total_seen = forms.DecimalField(widget=forms.HiddenInput, max_digits=12, decimal_places=2)
    alternates_seen = forms.CharField(widget=forms.HiddenInput, max_length=120, required=False)
    margin_seen = forms.DecimalField(widget=forms.HiddenInput, max_digits=9, decimal_places=4, required=False)


class QuestionForm(_PageForm):
    text = forms.CharField(label="Question to the seller", max_length=REASON_MOST)


class AnswerForm(_PageForm):
    text = forms.CharField(label="Answer to the manager", max_length=REASON_MOST)


class IssueForm(_Keyed):
    release_reason = forms.CharField(
        label="Engineer's release",
        max_length=REASON_MOST,
        required=False,
        help_text="Who released the failing members, on which paper.",
    )


class ReviseForm(_PageForm):
    why = forms.CharField(label="Why", max_length=REASON_MOST, required=False)


class _Picking(_Keyed):
    """An acceptance; where the offer has alternates, one of its `picks` (letter or BASE, words) must be chosen."""

    def __init__(self, *args: Any, picks: Sequence[tuple[str, str]] = (), **more: Any) -> None:
        super().__init__(*args, **more)
        field = forms.ChoiceField(
            label="Which offer",
            choices=picks,
            required=bool(picks),
            widget=forms.RadioSelect if picks else forms.HiddenInput,
            error_messages={"required": "Choose the offer that is accepted."},
        )
        self.fields = {"alternate": field, **self.fields}

    def clean_alternate(self) -> str:
        """The letter; "" is the base offer."""
        letter: str = self.cleaned_data["alternate"]
        return "" if letter == BASE_PICK else letter


class PhoneForm(_Picking):
    name = forms.CharField(label="Who accepted", max_length=120)
    title = forms.CharField(label="Title", max_length=120, required=False)
    why = forms.CharField(label="How the builder told you", max_length=REASON_MOST)


class _LosingForm(_PageForm):
    """What decided against an offer: one of a short list, and words, which only “another reason” needs."""

    reasons: tuple[LostReason, ...] = tuple(LostReason)
    reason = forms.ChoiceField(
        label="What decided against it",
        widget=forms.RadioSelect,
        error_messages={
            "required": "Choose what decided against the offer.",
            "invalid_choice": "Choose what decided against the offer.",
        },
    )
    why = forms.CharField(
        label="In words",
        required=False,
        max_length=REASON_MOST,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Helps the next offer; needed for another reason.",
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        choices = [(reason.value, reason.label) for reason in self.reasons]
        self.fields["reason"].choices = choices  # type: ignore[attr-defined]


class DeclineForm(_LosingForm):
    """Staff record what the builder said."""


class BuilderDeclineForm(_LosingForm):
    """The builder says it himself, so he is not silent."""

    reasons = tuple(reason for reason in LostReason if reason != LostReason.SILENT)


class LostNameForm(_LosingForm):
    """Why an offer lapsed, once somebody asked."""


class LinkForm(_PageForm):
    for_name = forms.CharField(label="For whom", max_length=160)


class BuilderAcceptForm(_Picking):
    name = forms.CharField(
        label="Your name", max_length=120, widget=forms.TextInput(attrs={"autocomplete": "name"})
    )
    title = forms.CharField(
        label="Your title",
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "organization-title"}),
    )
