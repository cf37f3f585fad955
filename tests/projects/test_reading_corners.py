"""Lists of corners and floor documents as their readers take them: separators, alphabets, headings, limits."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from framing.common.bounded import JobRefused
from framing.engine.document import MAX_BYTES
from framing.projects.reading.corners import BYTES_MOST, ROWS_MOST, read_corners
from framing.projects.reading.floor_json import PROBLEMS_MOST, read_floor
from tests.factories import projects as make

LIST = "x,y\n0,0\n24',0\n24',14'\n0,14'\n"
ROWS = [[2, ["0", "0"]], [3, ["24'", "0"]], [4, ["24'", "14'"]], [5, ["0", "14'"]]]


def corners_of(data: bytes | str) -> dict[str, Any]:
    facts, blobs = read_corners(data.encode() if isinstance(data, str) else data, {})
    assert blobs == []
    return facts


@pytest.mark.parametrize(
    ("encoding", "named"),
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8"),
        ("utf-16", "UTF-16-LE"),
        ("utf-16-le", "UTF-16-LE"),
        ("utf-16-be", "UTF-16-BE"),
        ("cp1252", "UTF-8"),
    ],
)
def test_alphabets_with_and_without_a_mark(encoding: str, named: str) -> None:
    facts = corners_of(LIST.encode(encoding))
    assert (facts["rows"], facts["encoding"]) == (ROWS, named)


def test_the_old_alphabet_of_a_half_and_of_typographic_marks() -> None:
    facts = corners_of("x;y\n0;6\u00bd\n3\u2019;0\n".encode("cp1252"))
    assert facts["rows"] == [[2, ["0", "6\u00bd"]], [3, ["3\u2019", "0"]]]
    assert facts["encoding"] == "WINDOWS-1252"


@pytest.mark.parametrize(("sign", "words"), [(",", "commas"), (";", "semicolons"), ("\t", "tabs")])
def test_separators(sign: str, words: str) -> None:
    facts = corners_of(LIST.replace(",", sign))
    assert (facts["rows"], facts["separator"]) == (ROWS, words)


def test_headings_order_the_columns() -> None:
    assert corners_of("what,Y,X\noutline,1,2\n")["columns"] == [2, 1, 0]
    assert corners_of("y,x\n1,2\n")["columns"] == [1, 0, 2]
    assert corners_of("x,y,z\n1,2,3\n")["columns"] == [0, 1, -1]
    assert corners_of("across,up\n1,2\n") | {"rows": 0} == {
        "rows": 0, "heading": True, "columns": [0, 1, 2], "separator": "commas", "encoding": "UTF-8",
    }  # fmt: skip
    plain = corners_of("1,2\n3,4\n")
    assert (plain["heading"], plain["rows"]) == (False, [[1, ["1", "2"]], [2, ["3", "4"]]])


def test_lengths_with_inch_marks_and_as_a_table_program_quotes_them() -> None:
    facts = corners_of('12\' 6","8\' 3 1/2"""\n\n  \n1,2\n')
    assert facts["rows"] == [[1, ["12' 6\"", "8' 3 1/2\""]], [4, ["1", "2"]]]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no rows"),
        (b"\n\n ,\n", "no rows"),
        (b"x,y\n", "a heading but no corners"),
        (b"1,2\n" * (ROWS_MOST + 1), f"at most {ROWS_MOST:,} are read"),
        (b"1" * (BYTES_MOST + 1), f"at most {BYTES_MOST:,} are read"),
        (b'1,"' + b"9" * 200_000 + b"\n", "can't be taken apart"),
    ],
)
def test_what_is_no_list_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(JobRefused, match=words):
        read_corners(data, {})


@given(st.binary(max_size=400))
@settings(max_examples=300, deadline=None)
def test_any_bytes_are_a_list_or_a_refusal(data: bytes) -> None:
    try:
        facts, _ = read_corners(data, {})
    except JobRefused:
        return
    assert facts["rows"]
    assert all(cell.isprintable() for _, cells in facts["rows"] for cell in cells)
    json.dumps(facts)


# --- floor documents ---


def floor_of(document: Any) -> dict[str, Any]:
    data = document if isinstance(document, bytes) else json.dumps(document).encode()
    return read_floor(data, {})[0]


def test_a_floor_document_comes_back_as_typed() -> None:
    document = make.document("Upper floor")
    assert floor_of(document) == {"document": document, "problems": [], "more": 0}
    assert floor_of(b"\xef\xbb\xbf" + json.dumps(document).encode())["document"] == document


def test_every_problem_has_its_place() -> None:
    document = make.document() | {"outline": [["0", "0"], ["1", True], [5, None]], "surprise": 1}
    facts = floor_of(document)
    assert facts["document"] is None
    assert {place for place, _ in facts["problems"]} >= {"outline.1.1", "outline.2.1", "surprise"}
    many = floor_of(make.document() | {"outline": [[True, True]] * 300})
    assert len(many["problems"]) == PROBLEMS_MOST
    assert many["more"] > 0


@pytest.mark.parametrize("data", [b"", b"{", b"[1]", b"\xff\xfe", b"[" * 3000, b" " * (MAX_BYTES + 1)])
def test_what_is_no_document_is_refused(data: bytes) -> None:
    with pytest.raises(JobRefused, match=r"\.$"):
        read_floor(data, {})
