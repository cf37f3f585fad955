"""A file's kind by what it holds, and names that can harm nobody."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from framing.common.bounded import JobRefused
from framing.projects.reading import READERS
from framing.projects.reading.kinds import NAME_MOST, kind_of, safe_name
from tests.projects import plan_seeds as seeds

TEXT_DXF = "  0\r\nSECTION\r\n  2\r\nHEADER\r\n  0\r\nENDSEC\r\n  0\r\nEOF\r\n"


@pytest.mark.parametrize(
    ("data", "kind"),
    [
        (seeds.pdf(), "pdf"),
        (b"mail headers\n\n" + seeds.pdf(), "pdf"),
        (seeds.saved(seeds.sketch()), "image"),
        (seeds.saved(seeds.sketch(), "JPEG"), "image"),
        (TEXT_DXF.encode(), "dxf"),
        (f"999\nmade by hand\n{TEXT_DXF}".encode(), "dxf"),
        (TEXT_DXF.replace("\r\n", "\r").encode(), "dxf"),
        (b"\xef\xbb\xbf" + TEXT_DXF.encode(), "dxf"),
        (b"Any words Binary DXF\r\n\x1a\x00\x00\x00SECTION", "dxf"),
        (b'{"format": "spanyard.floor"}', "floor"),
        (b'\xef\xbb\xbf \n {"format"', "floor"),
        (b"[1, 2]", "floor"),
        (b"x,y\n0,0\n24',0\n", "csv"),
        (b"0;0\n7.2;0\n", "csv"),
        (b"0\t0\n7\t0\n", "csv"),
        ("x,y\n0,0\n".encode("utf-16"), "csv"),
        (b"x,y\n0,0\n24\x92,0\n", "csv"),
    ],
)
def test_the_kind_follows_from_the_bytes(data: bytes, kind: str) -> None:
    assert kind_of(data) == kind
    assert kind in READERS


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b"II*\x00" + bytes(40), "TIFF picture. Save it as PNG, JPEG or PDF"),
        (b"GIF89a" + bytes(40), "GIF picture"),
        (b"PK\x03\x04" + bytes(40), "ZIP archive"),
        (b"AC1032" + bytes(40), "Save it as DXF or PDF"),
        (bytes(range(256)) * 4, "can't be told what it is"),
        (b"a letter to the builder", "a text without numbers in columns"),
    ],
)
def test_other_kinds_are_named_with_what_to_do(data: bytes, words: str) -> None:
    with pytest.raises(JobRefused, match=words):
        kind_of(data)


@given(st.binary(max_size=400))
def test_any_bytes_have_a_kind_or_words(data: bytes) -> None:
    try:
        told = kind_of(data)
    except JobRefused as error:
        told = str(error)
    assert told in READERS or len(told) > 30


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\plans\\Lot 7.pdf", "Lot 7.pdf"),
        ("a\x00b\r\nc.pdf", "a b c.pdf"),
        ("ground\u202efdp.exe", "ground fdp.exe"),
        ("zero\u200bwidth.png", "zero width.png"),
        ("..", "plan"),
        ("", "plan"),
        ("\x00", "plan"),
        ("Grundriß Ä.png", "Grundriß Ä.png"),
        ("\ud800.pdf", "pdf"),
    ],
)
def test_a_name_is_made_harmless(name: str, shown: str) -> None:
    assert safe_name(name) == shown


def test_a_long_name_keeps_its_ending() -> None:
    shown = safe_name("x" * 500 + " level 2.pdf")
    assert len(shown) <= NAME_MOST
    assert shown.endswith("level 2.pdf")


@given(st.text(max_size=300))
def test_any_name_is_short_and_can_be_seen(name: str) -> None:
    shown = safe_name(name)
    assert 1 <= len(shown) <= NAME_MOST
    assert "/" not in shown
    assert "\\" not in shown
    assert shown == shown.strip()
    assert all(unicodedata.category(sign)[0] in "LMNPS" or sign == " " for sign in shown)
