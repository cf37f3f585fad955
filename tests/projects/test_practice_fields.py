"""The table of practice values: whole, its defaults inside its limits, its limits buildable, the form held to it."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.http import QueryDict

from framing.engine.errors import EngineError
from framing.engine.practice import Practice
from framing.projects.design import design_plan, plan_of
from framing.projects.practice_fields import (
    FIELDS,
    GROUPS,
    Kind,
    PracticeField,
    show,
    typed_text,
)
from framing.projects.practice_forms import PracticeForm
from framing.projects.practice_limits import limit_problems, own_values
from framing.projects.selectors import read_practice
from tests.factories import projects as make

SIMPLE = (Kind.LENGTH, Kind.INCHES, Kind.WHOLE, Kind.NUMBER, Kind.LIMIT)
NUMBERS = [field for field in FIELDS.values() if field.kind in SIMPLE]
LARGE = Practice(
    ply_clip_most_16=768, bundle_most_by_depth=((800, 20), (1400, 20)), rim_sticks_ft=(12, 16, 20)
)

# limits at which a floor of 24 ft by 12 ft cannot be built, and the engine says why
REFUSED_AT: dict[str, tuple[float, ...]] = {"longest_piece_16": (1920,)}


def typed(**changes: str) -> QueryDict:
    """What the form posts for the rules' defaults, with changes; a switch of "" is not posted."""
    data = QueryDict(mutable=True)
    data.update({"name": "Own", "reason": "tried", "edit": "1"})
    for name, field in FIELDS.items():
        if field.kind is not Kind.SWITCH:
            data[name] = typed_text(field, field.default)
        elif field.default:
            data[name] = "on"
    for name, text in changes.items():
        data.pop(name, None)
        if text:
            data[name] = text
    return data


def form_of(**changes: str) -> PracticeForm:
    return PracticeForm(typed(**changes), start=Practice(), in_force=Practice(), fixed_name=False)


def number_text(field: PracticeField, value: float) -> str:
    """A value typed plainly, without help of the code under test: inches as decimals."""
    if field.kind is Kind.LENGTH:
        return f"{value / 16:.6f}"
    return f"{value:.6f}" if field.kind in (Kind.INCHES, Kind.NUMBER) else f"{value:g}"


def step(field: PracticeField) -> float:
    return 0.01 if field.kind in (Kind.INCHES, Kind.NUMBER) and field.least < 1000 else 1


def test_the_table_has_every_value_of_the_engine_once() -> None:
    names = [field.name for group in GROUPS for field in group.fields]
    assert sorted(names) == sorted({field.name for field in fields(Practice)} - {"name", "version"})
    assert len({field.words for field in FIELDS.values()}) == len(names)
    for field in FIELDS.values():
        assert field.rule.startswith("R"), field.name


def test_the_rules_defaults_are_inside_the_limits() -> None:
    assert limit_problems(Practice()) == {}
    assert own_values(Practice()) == {}


def test_the_defaults_shown_in_the_form_read_back_as_themselves() -> None:
    form = form_of()
    assert form.is_valid(), form.errors
    assert form.values == {}
    for name, field in FIELDS.items():
        assert form.cleaned_data[name] == field.default, name


def test_the_form_takes_the_limits_and_nothing_beyond() -> None:
    form = form_of()
    for field in NUMBERS:
        read = form.fields[field.name].clean
        for value in (field.least, field.most):
            assert read(number_text(field, value)) == pytest.approx(value), field.name
        below = field.least - step(field)
        for value in (field.most + step(field), *([below] if below > 0 else [])):
            with pytest.raises(ValidationError, match="is outside"):
                read(number_text(field, value))


def test_all_values_beyond_their_limits_are_said_at_once_and_kept() -> None:
    texts = {field.name: number_text(field, field.most + step(field)) for field in NUMBERS}
    form = form_of(**texts)
    assert set(form.errors) == set(texts)
    for name, text in texts.items():
        assert "is outside" in form.errors[name][0]
        assert form[name].value() == text


@pytest.mark.parametrize("text", ["many", "", "-5"])
def test_what_is_no_number_is_said_at_every_field(text: str) -> None:
    names = [field.name for field in NUMBERS]
    errors = form_of(**dict.fromkeys(names, text)).errors
    assert set(names) == set(errors)


@pytest.mark.parametrize("field", NUMBERS, ids=lambda field: field.name)
def test_a_floor_can_be_designed_at_every_limit(field: PracticeField) -> None:
    """A value that the form takes leads to an answer, or to a refusal in words where it must; never to a fault."""
    kind = int if field.kind is not Kind.NUMBER and field.kind is not Kind.INCHES else float
    for value in (field.least, field.most):
        practice = replace(LARGE, **{field.name: kind(value)})
        if value in REFUSED_AT.get(field.name, ()):
            with pytest.raises(EngineError):
                design_plan(plan_of(make.document(depth="12'"), practice), practice)
        else:
            assert design_plan(plan_of(make.document(depth="12'"), practice), practice).bill


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("outside_bearing_16", "140 mm", 88),
        ("inside_bearing_16", "0-4-1/2", 72),
        ("longest_piece_16", "36'", 36 * 192),
        ("load_plate_in", '3 1/2"', 3.5),
        ("live_deflection", "360", 360),
        ("live_deflection", "L/600", 600),
        ("total_deflection", "0", 0),
        ("rim_sticks_ft", "16,24", (16, 24)),
        ("bundle_most_by_depth", "8 in 12, 9.25 in 11, 12:10", ((800, 12), (925, 11), (1200, 10))),
    ],
)
def test_what_is_typed_is_what_is_kept(name: str, text: str, value: Any) -> None:
    form = form_of(**{name: text})
    assert form.is_valid(), form.errors
    assert form.cleaned_data[name] == value
    kept = read_practice("Own", 1, form.values)
    assert getattr(kept, name) == value
    again = form_of(**{name: typed_text(FIELDS[name], value)})
    assert again.is_valid()
    assert again.cleaned_data[name] == value


@pytest.mark.parametrize(
    ("changes", "name", "words"),
    [
        ({"plies_default": "3", "plies_most": "2"}, "plies_default", "over the most, 2"),
        ({"panel_short_16": "96", "panel_long_16": "48"}, "panel_short_16", "longer than the long one"),
        ({"ply_clip_end_16": "12", "ply_clip_most_16": "24"}, "ply_clip_end_16", "under half"),
        (
            {"outside_bearing_16": "4", "rim_thickness_16": "3 5/8"},
            "outside_bearing_16",
            'A joist ends 4" from',
        ),
        ({"bundle_least": "10"}, "bundle_least", "over the most of a depth, 9"),
        ({"rim_rest_least_16": "8'", "rim_sticks_ft": "8"}, "rim_rest_least_16", None),
        ({"rim_sticks_ft": "7"}, "rim_sticks_ft", "1 to 6 lengths of 8 to 40 ft"),
        ({"rim_sticks_ft": "12, 12"}, "rim_sticks_ft", "twice"),
        ({"rim_sticks_ft": "8 10"}, "rim_sticks_ft", "is no list of feet"),
        ({"bundle_most_by_depth": "8 in 41"}, "bundle_most_by_depth", "41 pieces is outside"),
        ({"bundle_most_by_depth": "1 in 4"}, "bundle_most_by_depth", "1 in is outside depths"),
        ({"bundle_most_by_depth": "8 in 9, 8 in 10"}, "bundle_most_by_depth", "twice"),
        ({"bundle_most_by_depth": "eight"}, "bundle_most_by_depth", "is no depth with its pieces"),
        ({"bundle_most_by_depth": ",".join(["8:9"] * 13)}, "bundle_most_by_depth", "Give 1 to 12 depths"),
        ({"live_deflection": "L/119"}, "live_deflection", "outside L/120 to L/1000"),
        ({"live_deflection": "half"}, "live_deflection", "is no limit"),
        ({"walking_damping": "inf"}, "walking_damping", "is no number"),
        ({"plies_most": "2.5"}, "plies_most", "is no whole number"),
        ({"method": "GUESS"}, "method", "Select a valid choice"),
        ({"reason": ""}, "reason", "Say why"),
        ({"name": ""}, "name", "required"),
    ],
)
def test_slips_are_said_at_their_field(changes: dict[str, str], name: str, words: str | None) -> None:
    errors = form_of(**changes).errors
    if words is None:
        assert name not in errors
    else:
        assert words in errors[name][0]


def test_switches_and_the_method_are_kept_where_they_differ() -> None:
    form = form_of(vibration_walking="on", slender_web_holes="", method="LRFD")
    assert form.is_valid(), form.errors
    assert form.values == {"vibration_walking": True, "slender_web_holes": False, "method": "LRFD"}
    kept = read_practice("Own", 1, form.values)
    assert (kept.vibration_walking, kept.slender_web_holes, kept.method.value) == (True, False, "LRFD")


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("outside_bearing_16", 88, '5 1/2"'),
        ("longest_piece_16", 7680, "40'-0\""),
        ("lift_limit_lb", 2000.0, "2,000 lb"),
        ("live_deflection", 480, "L/480"),
        ("live_deflection", 0, "no limit"),
        ("slender_web_holes", True, "yes"),
        ("rim_sticks_ft", (12, 16), "12, 16 ft"),
        ("bundle_most_by_depth", ((800, 15), (925, 13)), "8 in 15, 9.25 in 13"),
        ("load_plate_in", 3.51, '3.51"'),
        ("method", Practice().method, "ASD"),
    ],
)
def test_values_in_words(name: str, value: Any, words: str) -> None:
    assert show(FIELDS[name], value) == words
