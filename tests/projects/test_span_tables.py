"""A span table as it is shown: letters, signs, units, groups, and the digest that makes equal tables one."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from framing.engine.catalogue import load_catalogue
from framing.engine.errors import LoadRefused
from framing.engine.method import Method
from framing.engine.practice import Practice
from framing.engine.sizing.span_table import GOVERNS as ENGINE_WORDS
from framing.engine.sizing.span_table import SpanCase, SpanCell, SpanRow, SpanTable
from framing.projects import span_tables
from framing.projects.span_asks import SpanAsk, ask_digest, ask_json, ask_reference, read_ask
from framing.projects.span_tables import GOVERNS, NO_SPAN, SpanSheet, length_text, span_basis, span_sheet

AT = datetime(2026, 11, 25, 14, 0, tzinfo=UTC)
ASK = SpanAsk(
    use="Offices",
    live_psf=50.0,
    partition_psf=15.0,
    dead_psf=10.0,
    layers=(),
    live_limit=480,
    total_limit=240,
    spans="single",
    spacings_in=(12.0, 16.0),
    method=Method.ASD,
    point_load=False,
    depths_in=(),
    units="imperial",
)
LIVELY, STIFFENED = "expect a lively floor", "bearing stiffeners are a must"


def by_hand(*rows: tuple[str, tuple[SpanCell, ...]]) -> SpanTable:
    case = SpanCase(dead_psf=10.0, live_psf=50.0, spacings_in=(12.0, 16.0))
    known = load_catalogue()
    return SpanTable(case, tuple(SpanRow(known.profile(name), cells) for name, cells in rows), ("A note.",))


def shown(monkeypatch: pytest.MonkeyPatch, table: SpanTable, **asked: Any) -> SpanSheet:
    monkeypatch.setattr(span_tables, "engine_table", lambda *_given: table)
    return span_sheet(replace(ASK, **asked), Practice(), AT)


def test_every_word_of_the_engine_has_a_letter_of_its_own() -> None:
    assert set(GOVERNS) == set(ENGINE_WORDS)
    letters = [entry.letter for entry in GOVERNS.values()]
    assert len(set(letters)) == len(letters)


def test_spans_letters_and_groups(monkeypatch: pytest.MonkeyPatch) -> None:
    table = by_hand(
        ("800S162-54", (SpanCell(199.0, "live deflection"), SpanCell(181.0, "distortional"))),
        ("1000S162-54", (SpanCell(240.0, "longest piece"), SpanCell(0.0, "outside AISI S100 B4.1", "why"))),
    )
    sheet = shown(monkeypatch, table)
    assert [group.depth for group in sheet.groups] == ["8 in", "10 in"]
    first, second = sheet.rows
    assert [cell.text for cell in first.cells] == ["16'-7\"", "15'-1\""]
    assert [cell.governs.letter for cell in first.cells if cell.governs] == ["L", "D"]
    assert second.cells[1].text == NO_SPAN
    assert second.cells[1].governs is None
    assert [entry.letter for entry in sheet.key] == ["C", "D", "L"]
    assert sheet.notes == ("A note.",)
    assert sheet.spans_found


def test_a_remark_of_a_whole_row_stands_at_the_profile(monkeypatch: pytest.MonkeyPatch) -> None:
    both = f"{LIVELY}; {STIFFENED}"
    table = by_hand(("800S162-54", (SpanCell(199.0, "shear", both), SpanCell(181.0, "shear", STIFFENED))))
    sheet = shown(monkeypatch, table)
    assert dict(sheet.remarks) == {"*": LIVELY, "†": STIFFENED}
    (row,) = sheet.rows
    assert (row.signs, [cell.signs for cell in row.cells]) == ("†", ["*", ""])


def test_a_table_without_any_span_knows_it(monkeypatch: pytest.MonkeyPatch) -> None:
    none = SpanCell(0.0, "outside AISI S100 B4.1", "h/t")
    assert not shown(monkeypatch, by_hand(("800S162-54", (none, none)))).spans_found


@pytest.mark.parametrize(
    ("span_in", "units", "text"),
    [
        (199.0, "imperial", "16'-7\""),
        (11.0, "imperial", '11"'),
        (240.0, "imperial", "20'-0\""),
        (3.0, "metric", "76"),  # 76.2
        (199.0, "metric", "5054"),  # 5054.6: never up
    ],
)
def test_spans_are_never_rounded_up(span_in: float, units: str, text: str) -> None:
    assert length_text(span_in, units) == text


def test_the_facts_say_loads_limits_and_method() -> None:
    sheet = span_sheet(replace(ASK, layers=("Plywood", "Tile"), point_load=True), Practice(), AT)
    assert dict(sheet.facts) == {
        "Use": "Offices",
        "Live load": "50 psf + 15 psf partitions",
        "Dead load": "10 psf (Plywood, Tile)",
        "Deflection": "live L/480, total L/240, 1 kN at midspan",
        "Joists": "one span",
        "Strength by": "AISI S100, ASD",
    }
    assert sheet.cares == ()
    two = span_sheet(replace(ASK, use="", spans="two", partition_psf=0.0), Practice(), AT)
    assert dict(two.facts)["Use"] == "Own live load"
    assert dict(two.facts)["Joists"] == "two equal spans, in one piece"
    assert two.spacings == ("12 in", "16 in")
    assert span_sheet(replace(ASK, units="metric"), Practice(), AT).spacings == ("305 mm", "406 mm")


def test_limits_under_the_codes_are_said() -> None:
    cares = span_sheet(replace(ASK, live_limit=240, total_limit=180), Practice(), AT).cares
    assert [care.split(":")[0] for care in cares] == ["Live load at L/240", "Total load at L/180"]


def test_the_table_is_the_engines_for_the_asked_depths() -> None:
    sheet = span_sheet(replace(ASK, depths_in=(10.0,)), Practice(), AT)
    assert {row.profile.depth_in for row in sheet.rows} == {10.0}
    weights = [row.profile.weight_plf for row in sheet.rows]
    assert weights == sorted(weights)
    assert len(weights) == sum(profile.depth_in == 10.0 for profile in load_catalogue().profiles)
    heavier = span_sheet(replace(ASK, depths_in=(10.0,), live_psf=100.0), Practice(), AT)
    for light, heavy in zip(sheet.rows, heavier.rows, strict=True):
        assert all(b.span_in < a.span_in for a, b in zip(light.cells, heavy.cells, strict=True))


def test_what_the_engine_takes_no_number_for_is_its_refusal() -> None:
    with pytest.raises(LoadRefused, match="dead load"):
        span_sheet(replace(ASK, dead_psf=0.0), Practice(), AT)


def test_equal_asks_have_one_digest_and_any_difference_another() -> None:
    basis = span_basis(Practice())
    digest = ask_digest(ASK, basis)
    assert read_ask(ask_json(ASK)) == ASK
    assert ask_digest(read_ask(ask_json(ASK)), basis) == digest
    others = {
        ask_digest(replace(ASK, units="metric"), basis),
        ask_digest(ASK, span_basis(Practice(version=2))),
        ask_digest(ASK, span_basis(Practice(longest_piece_16=5000))),
        ask_digest(ASK, replace(basis, engine_version="0")),
        ask_digest(ASK, replace(basis, catalogue_version="0")),
    }
    assert len(others | {digest}) == 6
    assert ask_reference("3f9a1c2e" + "0" * 56) == "3F9A-1C2E"


def test_the_drawn_c_has_the_depth_of_its_group() -> None:
    (group,) = span_sheet(replace(ASK, depths_in=(8.0,)), Practice(), AT).groups
    assert group.outline == "M1.8 0.7V0.1H.1V7.9H1.8V7.3"
    assert group.glyph_mm == ("3", "12")
