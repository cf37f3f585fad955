"""What is laid out again of a quote's paper, and what is taken from the store (R40, R43)."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from framing.common import sections, side_by_side
from framing.common.section_store import SectionStore
from framing.common.sections import LaidOut, Section, Told, lay_out
from framing.drawing.svg import text_width
from framing.engine.practice import Practice
from quotes.documents import QuotePaper, quote_paper_of_package, render_quote
from quotes.documents.parts import body_sections
from quotes.documents.strips import filled, lift, sheet_parts
from tests.documents.reading import words
from tests.documents.test_quote_paper import HEADER, priced
from tests.factories.packages import floor, package

NAMES = ("Ground floor", "Upper floor", "Attic")


def paper(*repeats: int, header=HEADER) -> QuotePaper:
    floors = [floor(name, repeat=repeat) for name, repeat in zip(NAMES, repeats or (1, 1, 1), strict=True)]
    result = package(*floors)
    return quote_paper_of_package(result, priced(result), header, Practice())


@pytest.fixture
def rendered(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Names of the sections that were laid out, in one process."""
    names: list[str] = []
    plain = sections._rendered

    def noted(section: Section) -> bytes:
        names.append(section.name)
        return plain(section)

    monkeypatch.setattr(sections, "_rendered", noted)
    monkeypatch.setattr(side_by_side, "cores", lambda: 1)
    return names


def test_a_revision_lays_out_only_what_changed(tmp_path: Path, rendered: list[str]) -> None:
    store = SectionStore(tmp_path)
    first = render_quote(paper(), store)
    assert len(rendered) == 4 + 3 * 3  # letter, scope, materials, price with terms; three of each floor
    rendered.clear()
    assert render_quote(paper(), store).data == first.data
    assert rendered == []
    second = render_quote(paper(1, 2, 1, header=replace(HEADER, revision=4)), store)
    of_floors = sorted(name for name in rendered if name.startswith("floor"))
    assert of_floors == ["floor-2-annex", "floor-2-drawing", "floor-2-schedule"]
    assert {"letter", "scope", "price"} <= set(rendered)
    for number, text in enumerate(words(second.data), start=1):
        assert "evision 4" in text or "Revision Q-2026-0042 4" in text, text
        assert "evision 3" not in text
        assert f"{number} of {second.pages}" in text


def test_a_new_revision_of_equal_floors_lays_out_no_floor(tmp_path: Path, rendered: list[str]) -> None:
    store = SectionStore(tmp_path)
    render_quote(paper(), store)
    rendered.clear()
    later = replace(HEADER, revision=4, printed_at=HEADER.printed_at.replace(day=27))
    again = render_quote(paper(header=later), store)
    assert sorted(rendered) == ["letter", "price"]
    drawing = words(again.data)[2]
    assert "R4" in drawing
    assert "11/27/2026" in drawing


@pytest.mark.parametrize(
    "change",
    [
        lambda one: replace(one, header=replace(one.header, project="Marsh Lane 13")),
        lambda one: replace(one, company=replace(one.company, name="Another Supply")),
        lambda one: replace(one, company=replace(one.company, paper_size="a4")),
    ],
    ids=["project", "company", "size"],
)
def test_what_stands_in_a_drawing_makes_it_another(change: Callable[[QuotePaper], QuotePaper]) -> None:
    one = paper()
    keys = [{section.name: section.key for section in body_sections(shown)} for shown in (one, change(one))]
    assert keys[0]["floor-1-drawing"] != keys[1]["floor-1-drawing"]


def test_keys_tell_everything_apart_that_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    section = body_sections(paper())[0]
    same = body_sections(paper())[0]
    assert section.key == same.key
    assert replace(section, inputs=({**section.inputs[0], "bundles": 99},)).key != section.key
    assert replace(section, template="pdf/other.html").key != section.key
    assert replace(section, name="other").key != section.key
    before = section.key
    monkeypatch.setattr(sections, "edition", lambda: "another release")
    assert section.key != before


def test_the_edition_follows_templates_fonts_and_code(tmp_path: Path, settings) -> None:
    for folder in ("templates/pdf", "framing", "quotes", "orders"):
        (tmp_path / folder).mkdir(parents=True)
    settings.BASE_DIR = tmp_path
    found = set()
    for name in ("templates/pdf/a.html", "framing/a.py", "framing/a.woff2", "templates/pdf/a.css"):
        for text in ("one", "two"):
            (tmp_path / name).write_text(text)
            sections.edition.cache_clear()
            found.add(sections.edition())
    sections.edition.cache_clear()
    assert len(found) == 8


def test_a_told_value_is_known_by_its_words_and_given_as_it_is() -> None:
    one, other = Told(package()), Told(package(floor(repeat=2)))
    assert repr(one) == repr(Told(package()))
    assert repr(one) != repr(other)
    section = Section("a", "pdf/x.html", lambda value: {"value": value}, (one,))
    assert section.context()["value"] is one.value


def test_pages_come_back_from_the_store_as_they_went() -> None:
    tags = [["P", 0, {}, [0, ["link", 0, 1]]]]
    one = LaidOut(b"%PDF", (True, False), ("<svg/>", ""), tags, [["A", [0, 1.5, 2.0], []]], {"a": [0, 1, 2]})
    assert LaidOut.unpacked(one.packed()) == one


def test_what_a_child_could_not_do_is_done_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The helpers' results are lost: the paper is whole all the same."""
    whole = render_quote(paper(), SectionStore(tmp_path / "a"))
    monkeypatch.setattr(sections, "run_all", lambda _: None)
    assert render_quote(paper(), SectionStore(tmp_path / "b")).data == whole.data


def test_a_store_that_keeps_nothing_gives_the_paper(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = render_quote(paper(), SectionStore(tmp_path / "a"))
    monkeypatch.setattr(SectionStore, "_write", _full)
    assert render_quote(paper(), SectionStore(tmp_path / "b")).data == whole.data


def _full(*_: object) -> None:
    raise OSError(28, "No space left on device")


def test_equal_sections_of_one_paper_are_laid_out_once(tmp_path: Path, rendered: list[str]) -> None:
    section = body_sections(paper())[0]
    one, two = lay_out([section, section], SectionStore(tmp_path))
    assert one == two
    assert rendered == ["scope"]


# --- the drawings' title strips ---


def test_date_revision_and_sheet_are_lifted_out_of_the_strip() -> None:
    sheet, overlay = sheet_parts(floor("Upper floor"), "Marsh Lane 12", "Larkmeadow")
    for words_ in ("00/00/0000", "R00", "8 of 9"):
        assert words_ not in sheet
    assert "Upper floor" in sheet
    shown = filled(overlay, {"date": "11/25/2026", "revision": "R3", "sheet": "3 of 19"})
    assert shown.count("<text") == 3
    for words_ in ("11/25/2026", "R3", "3 of 19"):
        assert f">{words_}</text>" in shown
    assert shown.startswith(sheet[: sheet.index(">")].split(" role")[0])


@pytest.mark.parametrize("sheet", ["3 of 19", "98 of 99", "128 of 129"])
def test_words_of_a_strip_fit_their_cell(sheet: str) -> None:
    """As wide as they are set, by the widths of the drawing's own letters; nothing is cut."""
    _, overlay = sheet_parts(floor("Upper floor"), "Marsh Lane 12", "Larkmeadow")
    shown = filled(overlay, {"date": "11/25/2026", "revision": "R128", "sheet": sheet})
    for words_, cell_mm in ((sheet, 22.0), ("R128", 18.0), ("11/25/2026", 24.0)):
        found = re.search(rf'font-size="([\d.]+)"[^>]*>{words_}</text>', shown)
        assert found is not None
        assert text_width(words_, float(found[1]), mono=False) <= cell_mm - 3.0 + 0.05


def test_a_drawing_has_the_shape_of_its_sheet() -> None:
    """Free parts of the wide sheets: 255.4 x 189.9 mm of Letter, 273 x 186 mm of A4."""
    found = {size: sheet_parts(floor(), "A", "B", size)[0] for size in ("letter", "a4")}
    assert 'viewBox="0 0 255 189.2"' in found["letter"]
    assert 'viewBox="0 0 272.5 185.4"' in found["a4"]


def test_a_floor_named_like_a_cell_keeps_its_name() -> None:
    sheet, _ = sheet_parts(floor("R00"), "00/00/0000", "")
    assert ">R00</text>" in sheet
    assert ">00/00/0000</text>" in sheet


@pytest.mark.parametrize("head", ["Date", "Revision", "Sheet"])
def test_a_strip_without_a_cell_is_refused(head: str) -> None:
    svg = "".join(
        f"<text>{name}</text>\n<text>{value}</text>\n"
        for name, value in (("Date", "00/00/0000"), ("Revision", "R00"), ("Sheet", "8 of 9"))
        if name != head
    )
    with pytest.raises(ValueError, match=f"no cell {head}"):
        lift(f"<svg>{svg}</svg>")


def test_words_over_a_drawing_are_words() -> None:
    _, overlay = lift(
        "<svg><text>Date</text>\n<text>00/00/0000</text>\n<text>Revision</text>\n<text>R00</text>\n"
        "<text>Sheet</text>\n<text>8 of 9</text>\n</svg>"
    )
    shown = filled(overlay, {"date": "<b>", "revision": "R&D", "sheet": "1 of 2"})
    assert "&lt;b&gt;" in shown
    assert "R&amp;D" in shown
