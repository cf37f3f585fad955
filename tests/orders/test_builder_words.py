"""The languages of what a link opens: every sentence is there, whole, and compiled as it stands."""

from __future__ import annotations

import re
from collections import Counter

import polib  # type: ignore[import-untyped]  # brings no types
import pytest

from tests.builder_words import CHECKOUT, builder_templates, builder_words

CODES = ("fr", "es")
HOLDER = re.compile(r"%\(\w+\)s|%s")


def catalogue(code: str) -> polib.POFile:
    return polib.pofile(str(CHECKOUT / "locale" / code / "LC_MESSAGES" / "django.po"))


def texts(entry: polib.POEntry) -> list[str]:
    return list(entry.msgstr_plural.values()) if entry.msgid_plural else [entry.msgstr]


@pytest.mark.parametrize("code", CODES)
def test_every_sentence_is_translated_and_none_is_left_over(code: str) -> None:
    here = {(entry.msgid, entry.msgid_plural): entry for entry in catalogue(code)}
    wanted = builder_words()
    assert len(wanted) > 150
    assert set(here) == wanted
    assert [entry.msgid for entry in here.values() if entry.fuzzy or entry.obsolete] == []
    assert [entry.msgid for entry in here.values() if not all(text.strip() for text in texts(entry))] == []


@pytest.mark.parametrize("code", CODES)
def test_what_is_filled_in_stands_in_each_language(code: str) -> None:
    for entry in catalogue(code):
        for text in texts(entry):
            assert Counter(HOLDER.findall(text)) == Counter(HOLDER.findall(entry.msgid)), entry.msgid


@pytest.mark.parametrize("code", CODES)
def test_what_is_compiled_is_what_stands_there(code: str) -> None:
    compiled = polib.mofile(str(CHECKOUT / "locale" / code / "LC_MESSAGES" / "django.mo"))
    there = {(entry.msgid, entry.msgid_plural): texts(entry) for entry in catalogue(code)}
    assert {(entry.msgid, entry.msgid_plural): texts(entry) for entry in compiled} == there


def test_the_pages_of_links_are_among_the_templates() -> None:
    names = {path.name for path in builder_templates()}
    assert {"page.html", "thing.html", "your_order.html", "your_quote.html", "404.html"} <= names
