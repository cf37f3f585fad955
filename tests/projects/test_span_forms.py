"""The form of a span table: usual values, each slip said at its field, and what a valid form asks for."""

from __future__ import annotations

import pytest
from django.http import QueryDict

from framing.engine.method import Method
from framing.engine.practice import Practice
from framing.projects.span_forms import filled, known_depths, span_form

PRACTICE = Practice()


def given(**values: str | list[str]) -> QueryDict:
    """A whole form as the page sends it, with some values of its own."""
    lists = {name: [value] if isinstance(value, str) else value for name, value in values.items()}
    whole = filled({}, PRACTICE)
    for name, value in lists.items():
        whole.setlist(name, value)
    return whole


def test_an_empty_address_asks_for_the_usual_table() -> None:
    form = span_form(QueryDict(), PRACTICE)
    assert form.is_valid()
    ask = form.ask
    assert (ask.use, ask.live_psf, ask.dead_psf) == ("Living rooms (other than sleeping)", 40.0, 10.0)
    assert (ask.live_limit, ask.total_limit, ask.method) == (480, 240, Method.ASD)
    assert ask.spacings_in == (12.0, 16.0, 19.2, 24.0)
    assert (ask.depths_in, ask.point_load, ask.spans, ask.units) == ((), False, "single", "imperial")


def test_the_companys_practice_is_what_is_usual() -> None:
    practice = Practice(
        live_deflection=600, total_deflection=360, method=Method.LRFD, vibration_point_load=True
    )
    form = span_form(QueryDict(), practice)
    assert form.is_valid()
    ask = form.ask
    assert (ask.live_limit, ask.total_limit, ask.method, ask.point_load) == (600, 360, Method.LRFD, True)


def test_a_part_of_a_form_is_filled_and_a_whole_one_is_not() -> None:
    part = span_form(QueryDict("use=offices&spacings=24"), PRACTICE)
    assert part.is_valid()
    assert (part.ask.live_psf, part.ask.spacings_in) == (50.0, (24.0,))
    whole = span_form(given(spacings=[]), PRACTICE)
    assert whole.errors["spacings"] == ["Tick at least one."]
    on = Practice(vibration_point_load=True)
    assert span_form(given(point_load=[]), on).is_valid()
    unticked = span_form(given(point_load=[]), on)
    assert unticked.is_valid()
    assert not unticked.ask.point_load


def test_an_own_live_load_is_no_use_of_the_table() -> None:
    own = span_form(given(use="offices", live_psf="62.5", partition_psf="15"), PRACTICE)
    same = span_form(given(use="offices", live_psf="50"), PRACTICE)
    assert own.is_valid()
    assert same.is_valid()
    assert (own.ask.use, own.ask.live_psf, own.ask.partition_psf) == ("", 62.5, 15.0)
    assert (same.ask.use, same.ask.live_psf) == ("Offices", 50.0)


def test_layers_add_up_and_the_unused_number_is_left_alone() -> None:
    typed = given(dead_from="layers", dead_psf="abc", layers=["plywood_3_4", "gypsum_1_2"])
    form = span_form(typed, PRACTICE)
    assert form.is_valid()
    assert form.ask.dead_psf == pytest.approx(4.6)  # 2.4 + 2.2
    assert form.ask.layers == ("Plywood 3/4 in", "Gypsum board 1/2 in")
    assert form["dead_psf"].value() == "abc"


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("dead_psf", "", "Give the load in psf"),
        ("dead_psf", "ten", "“ten” is no number"),
        ("dead_psf", "1e3", "“1e3” is no number"),
        ("dead_psf", "nan", "“nan” is no number"),
        ("dead_psf", "12,5", "“12,5” is no number"),
        ("dead_psf", "-3", "can't be negative"),
        ("dead_psf", "0", "over 0 psf"),
        ("dead_psf", "500.1", "500.1 psf is over 500 psf"),
        ("live_psf", "-0.0001", "can't be negative"),
        ("live_psf", "1001", "1001 psf is over 1,000 psf"),
        ("partition_psf", "x", "“x” is no number"),
        ("live_limit", "", "required"),
        ("live_limit", "L", "“L” is no limit"),
        ("live_limit", "0", "L/0 is outside L/120 to L/1000"),
        ("live_limit", "-480", "“-480” is no limit"),
        ("total_limit", "L/1001", "L/1001 is outside"),
        ("use", "moon_base", "moon_base"),
        ("spacings", "13", "13"),
        ("depths", "9", "9"),
        ("layers", "gold", "gold"),
        ("method", "GUESS", "GUESS"),
        ("spans", "three", "three"),
        ("units", "cubits", "cubits"),
        ("dead_from", "air", "air"),
    ],
)
def test_each_slip_is_said_at_its_field_and_kept(field: str, typed: str, words: str) -> None:
    form = span_form(given(**{field: typed}), PRACTICE)
    assert not form.is_valid()
    assert list(form.errors) == [field]
    assert words in form.errors[field][0]
    assert typed in form.error_words or not typed or words in form.error_words
    assert form.data.get(field) == typed


def test_layers_without_a_layer_are_asked_for() -> None:
    assert "layer" in span_form(given(dead_from="layers"), PRACTICE).errors["layers"][0]


@pytest.mark.parametrize("typed", ["L/480", "l/480", "L / 480", "480"])
def test_limits_read_as_people_write_them(typed: str) -> None:
    form = span_form(given(live_limit=typed), PRACTICE)
    assert form.is_valid()
    assert form.ask.live_limit == 480


def test_the_depths_are_those_of_the_catalogue() -> None:
    assert known_depths() == ("8", "10", "12", "14")
    form = span_form(given(depths=["14", "8"]), PRACTICE)
    assert form.is_valid()
    assert form.ask.depths_in == (8.0, 14.0)
