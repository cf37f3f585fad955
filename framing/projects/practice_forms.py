"""The form of a practice set's version: one field for each value of `practice_fields`, judged by its table."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final

from django import forms
from django.forms.boundfield import BoundField

from framing.engine.errors import LengthUnreadable
from framing.engine.method import Method
from framing.engine.practice import Practice
from framing.engine.units import SIXTEENTHS_PER_INCH, parse_length, parse_length_exact
from framing.projects.practice_fields import (
    FIELDS,
    GROUPS,
    Kind,
    PracticeField,
    show,
    typed_text,
)
from framing.projects.practice_limits import limit_problems, own_values, value_problem
from framing.projects.practice_services import NAME_MOST, REASON_MOST

TEXT_MOST: Final = 120
_WHOLE: Final = re.compile(r"[0-9]{1,9}")
_NUMBER: Final = re.compile(r"(?:[0-9]{1,12}(?:\.[0-9]{0,12})?|\.[0-9]{1,12})")
_LIMIT: Final = re.compile(r"(?:[Ll] ?/ ?)?([0-9]{1,9})")
_STICKS: Final = re.compile(r"[0-9]{1,3}(?: *, *[0-9]{1,3})*")
_CAP: Final = re.compile(r"([0-9]{1,2}(?:\.[0-9]{1,2})?) *(?:in|\"|:) *([0-9]{1,3})")


def _length(text: str) -> int:
    return parse_length(text, "imperial")


def _inches(text: str) -> float:
    return float(parse_length_exact(text, "imperial") / SIXTEENTHS_PER_INCH)


def _whole(text: str) -> int:
    if not _WHOLE.fullmatch(text):
        raise ValueError(f"“{text}” is no whole number; write it like 4.")
    return int(text)


def _number(text: str) -> float:
    if not _NUMBER.fullmatch(text):
        raise ValueError(f"“{text}” is no number; write it like 12.5.")
    return float(text)


def _limit(text: str) -> int:
    read = _LIMIT.fullmatch(text)
    if read is None:
        raise ValueError(f"“{text}” is no limit; write it like L/480, or 0 for none.")
    return int(read[1])


def _sticks(text: str) -> tuple[int, ...]:
    if not _STICKS.fullmatch(text):
        raise ValueError(f"“{text}” is no list of feet; write it like 12, 16, 20.")
    return tuple(int(part) for part in text.split(","))


def _caps(text: str) -> tuple[tuple[int, int], ...]:
    found = []
    for part in text.split(","):
        read = _CAP.fullmatch(part.strip())
        if read is None:
            raise ValueError(
                f"“{part.strip()}” is no depth with its pieces; write it like 8 in 15, 10 in 13."
            )
        found.append((round(float(read[1]) * 100), int(read[2])))
    return tuple(found)


_READ: Final[Mapping[Kind, Callable[[str], Any]]] = {
    Kind.LENGTH: _length,
    Kind.INCHES: _inches,
    Kind.WHOLE: _whole,
    Kind.NUMBER: _number,
    Kind.LIMIT: _limit,
    Kind.STICKS: _sticks,
    Kind.CAPS: _caps,
}


class ValueField(forms.CharField):
    """A value as it is typed, read and held to its limits."""

    def __init__(self, value: PracticeField, **kwargs: Any) -> None:
        mode = "decimal" if value.kind in (Kind.WHOLE, Kind.NUMBER) else "text"
        attrs = {"class": "fig", "autocomplete": "off", "spellcheck": "false", "inputmode": mode}
        super().__init__(max_length=TEXT_MOST, widget=forms.TextInput(attrs=attrs), **kwargs)
        self.error_messages["required"] = f"Give a value: {value.limits}."
        self.value = value

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        try:
            read = _READ[self.value.kind](text)
        except LengthUnreadable as error:
            raise forms.ValidationError(error.message) from error
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error
        problem = value_problem(self.value, read)
        if problem is not None:
            raise forms.ValidationError(problem)
        return read


class PracticeForm(forms.Form):
    """All values grouped by rule, with name and reason. `values` is what a valid form says."""

    use_required_attribute = False

    name = forms.CharField(
        max_length=NAME_MOST, help_text="An old name gets its next version number.", label="Name"
    )
    reason = forms.CharField(
        label="Why this version",
        max_length=REASON_MOST,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Stays with the version, for whoever asks later.",
        error_messages={"required": "Say why: the reason stays with the version."},
    )
    edit = forms.IntegerField(widget=forms.HiddenInput, initial=1, min_value=1, max_value=1_000_000)

    def __init__(
        self, data: Any = None, *, start: Practice, in_force: Practice, fixed_name: bool, **more: Any
    ) -> None:
        """A form that begins with `start`; its hints tell what is in force where that is no default."""
        super().__init__(data, **more)
        if fixed_name:
            del self.fields["name"]
        for name, value in FIELDS.items():
            current = getattr(start, name)
            self.fields[name] = _field(value, getattr(in_force, name))
            self.initial.setdefault(
                name, current if value.kind is Kind.SWITCH else typed_text(value, current)
            )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if all(name in data for name in FIELDS):
            for name, problem in limit_problems(self._practice(data)).items():
                self.add_error(name, problem)
        return data

    @property
    def values(self) -> dict[str, Any]:
        """Values that are no default, as a service takes them."""
        return own_values(self.practice)

    @property
    def practice(self) -> Practice:
        """What a valid form says, over the rules' defaults."""
        return self._practice(self.cleaned_data)

    @property
    def groups(self) -> list[tuple[str, list[tuple[PracticeField, BoundField]]]]:
        """Groups of (value, bound field) as the page lists them."""
        return [(group.title, [(field, self[field.name]) for field in group.fields]) for group in GROUPS]

    @staticmethod
    def _practice(data: Mapping[str, Any]) -> Practice:
        return replace(Practice(), **{name: data[name] for name in FIELDS})


def _field(value: PracticeField, in_force: Any) -> forms.Field:
    hints = [f"{value.rule}, by default {show(value, value.default)}."]
    if in_force != value.default:
        hints.append(f"In force: {show(value, in_force)}.")
    if value.limits:
        hints.append(f"Allowed: {value.limits}.")
    if value.note:
        hints.append(value.note)
    hint = " ".join(hints)
    if value.kind is Kind.SWITCH:
        return forms.BooleanField(label=value.words, help_text=hint, required=False)
    if value.kind is Kind.METHOD:
        return _MethodField(
            label=value.words, help_text=hint, choices=[(method.value, method.value) for method in Method]
        )
    return ValueField(value, label=value.words, help_text=hint)


class _MethodField(forms.ChoiceField):
    def clean(self, value: Any) -> Method:
        return Method(super().clean(value))
