"""A load's sketch in the languages of drivers and builders (R47, R48)."""

from __future__ import annotations

import pytest
from django.utils import translation

from framing.drawing.load_words import ENGLISH, SENTENCES
from framing.drawing.loads import load_svg
from orders.manifest_words import sketch_words
from tests.drawing.test_loads import load, readable, sketches, words


def test_english_is_the_drawings_own() -> None:
    assert sketch_words() == ENGLISH


@pytest.mark.parametrize(("code", "deck"), [("fr", "Poids"), ("es", "Peso")])
def test_no_english_is_left_and_all_is_read(code: str, deck: str) -> None:
    with translation.override(code):
        told = sketch_words()
    assert [name for name in SENTENCES if getattr(told, name) == getattr(ENGLISH, name)] == []
    assert told.stops.startswith(told.stop % {"stop": 2})
    said = words(load_svg(load(), words=told))
    assert deck in said
    assert any("1\u00a0234 lb" in one for one in said)
    for svg in sketches(told, heavy=False):
        readable(svg)
