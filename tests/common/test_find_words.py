"""Words as they are stored and asked for."""

from __future__ import annotations

import pytest

from framing.common.find_words import (
    asked_phone,
    asked_words,
    key_of,
    left_out,
    may_be_near,
    one_letter_off,
    phone_digits,
    plain,
    stored_words,
    tail_of,
)


def test_letters_lose_case_and_accents() -> None:
    assert plain("Ångström Straße") == "angstrom strasse"


def test_what_signs_join_is_kept_in_parts_and_as_one() -> None:
    words = stored_words(texts=["O'Brien & Sons", "rae@example.test"], number="Q-2026-0015").split()
    assert {"o", "brien", "obrien", "sons", "q", "2026", "0015", "q20260015", "15", "rae"} <= set(words)
    assert words == sorted(set(words))


@pytest.mark.parametrize(
    ("phone", "digits"),
    [
        ("(330) 555-0142", "3305550142"),
        ("+1 330.555.0142", "3305550142"),
        ("330 555 0142", "3305550142"),
        ("555-0142", "5550142"),
        ("", ""),
    ],
)
def test_a_phone_is_its_digits(phone: str, digits: str) -> None:
    assert phone_digits(phone) == digits
    assert asked_phone(phone) == digits
    if digits:
        assert {digits, "5550142"} <= set(stored_words(texts=[], phone=phone).split())


@pytest.mark.parametrize("asked", ["0142", "14 Marsh Lane", "Q-2026-0015"])
def test_other_questions_are_no_phones(asked: str) -> None:
    assert asked_phone(asked) == ""


def test_numbers_without_signs() -> None:
    assert (key_of("Q-2026-0015"), tail_of("Q-2026-0015"), tail_of("Marsh")) == ("q20260015", "15", "")
    assert asked_words(" q-2026  marsh -- ") == [["q", "2026"], ["marsh"]]


@pytest.mark.parametrize(
    "asked", ["marh", "marshh", "amrsh", "marzh", "arsh", "mash", "marsx", "mars", "mrash"]
)
def test_one_letter_off(asked: str) -> None:
    assert one_letter_off(asked, "marsh")
    assert one_letter_off("marsh", asked)
    assert set(left_out(asked)) & set(left_out("marsh"))


@pytest.mark.parametrize("asked", ["marsh", "maxzh", "arhs", "marshal", "shmar", "ramhs"])
def test_more_than_one_letter_off_or_none(asked: str) -> None:
    assert not one_letter_off(asked, "marsh")


def test_short_words_and_numbers_forgive_nothing() -> None:
    assert [word for word in ("mar", "mars", "2026", "1j07", "x" * 25) if may_be_near(word)] == ["mars"]
