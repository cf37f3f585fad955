"""How long a quote's paper takes: at first, as a revision with one floor changed, and set by another typesetter."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import count
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import process_time

import pypdf
import pytest

from framing.common import sections, side_by_side
from framing.common.section_store import SectionStore
from framing.engine.catalogue import load_catalogue
from framing.engine.floor import FloorPlan
from framing.engine.pipeline import design_package
from framing.engine.practice import Practice
from quotes.documents import QuoteHeader, QuotePaper, quote_paper_of_package, render_quote
from quotes.pricing import price_package
from quotes.selectors import DEMO_PLACE, DEMO_ZONE, demo_price_table
from tests.bench.quote_typst import compiled, source_of
from tests.engine.layout.builders import document, plan_of

pytestmark = pytest.mark.bench
Measure = Callable[..., float]
ROOT = Path(__file__).resolve().parents[2]
AT = datetime(2026, 11, 25, 14, tzinfo=UTC)
FIRST_MOST_S = 3.0
REVISION_MOST = 0.5
MEMORY_MOST_MB = 300.0
HOW_TO_LOWER = (
    "Lower with long schedules set straight as lines of text instead of cells that each are boxes; with diagrams and"
    " drawings drawn on the page by the engine's result instead of read back from SVG; with more cores."
)
_turns = count()


def floor(name: str, low_in: int = 156) -> FloorPlan:
    """200 ft of 149 joists, 100 of them of a length of their own: 100 marks."""
    outline = [[0, 0], [2400, 0], [2400, low_in + 84], [800, low_in], [0, low_in]]
    return plan_of(document(outline, name=f"{name} floor", level=name[0]))


def quote(revision: int, second_in: int = 156) -> QuotePaper:
    """Three floors of 149 joists and 100 marks each, with their calculation."""
    practice = Practice()
    plans = (floor("Ground"), floor("Upper", second_in), floor("Top"))
    result = design_package(plans, load_catalogue(), practice)
    priced = price_package(
        result,
        demo_price_table(),
        tier="",
        freight_zone=DEMO_ZONE,
        tax_place=DEMO_PLACE,
        discount_share=Decimal("0.02"),
        practice=practice,
    )
    header = QuoteHeader(
        number="Q-2026-0042",
        revision=revision,
        issued_at=AT,
        printed_at=AT,
        valid_until=AT + timedelta(days=30),
        builder="Hollin Homes",
        contact="Rae Winter",
        project="Marsh Lane 12",
        site="14 Marsh Lane, Alder Falls, OH 44000",
        currency="USD",
        lead_time_days=21,
        terms="Half with the order, the rest before the truck leaves.",
        prepared_by="Dana Vole",
    )
    return quote_paper_of_package(result, priced, header, practice)


@pytest.fixture(scope="module")
def papers() -> tuple[QuotePaper, QuotePaper]:
    """Revision 1, and revision 2 with one of its three floors two feet deeper."""
    first, second = quote(1), quote(2, 180)
    rows = sum(len(shown.schedule) for shown in first.floors)
    assert rows == 300
    assert min(len(result.members) for result in first.results) == 149
    return first, second


def fresh(folder: Path) -> SectionStore:
    return SectionStore(folder / str(next(_turns)))


def busiest_s(paper: QuotePaper, store: SectionStore) -> float:
    """Seconds that the busiest process works: with a core for each, no more time goes by on the clock."""
    begun = os.times()
    made = render_quote(paper, store)
    ended = os.times()
    assert made.pages >= 10
    own = ended.user + ended.system - begun.user - begun.system
    beside = ended.children_user + ended.children_system - begun.children_user - begun.children_system
    return max(own, beside / max(1, min(side_by_side.cores(), side_by_side.MOST_PROCESSES) - 1))


def test_first_render_and_a_revision(
    papers: tuple[QuotePaper, QuotePaper], tmp_path: Path, clock: Measure
) -> None:
    """Warm: the PDF library is loaded and its fonts are unpacked. The first finds an empty store, the revision all
    that did not change. Both are judged by their busiest process, turn and turn about."""
    first, second = papers
    known = fresh(tmp_path)
    render_quote(first, known)
    render_quote(second, fresh(tmp_path))
    at_first: list[float] = []
    revised: list[float] = []
    store = [known]

    def refill() -> None:
        store[0] = _copied(known, fresh(tmp_path))

    def run() -> None:
        at_first.append(busiest_s(first, fresh(tmp_path)))

    def revise() -> None:
        revised.append(busiest_s(second, store[0]))

    for _ in range(3):
        clock("quote of three floors, first render", run, rounds=2)
        clock("its revision, one floor of three changed", revise, before=refill, rounds=2)
    whole, part = median(at_first), median(revised)
    print(f"\nbusiest process: first {whole:.2f} s, revision {part:.2f} s, {part / whole:.2f} of it")  # noqa: T201
    assert whole <= FIRST_MOST_S
    assert part / whole <= REVISION_MOST


def _copied(source: SectionStore, target: SectionStore) -> SectionStore:
    target.folder.mkdir()
    for path in source.folder.iterdir():
        (target.folder / path.name).write_bytes(path.read_bytes())
    return target


def test_against_another_typesetter(
    papers: tuple[QuotePaper, QuotePaper],
    tmp_path: Path,
    measure: Measure,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A yardstick without a bar: native code sets the same content several times as fast."""
    pytest.importorskip("typst")
    first, _ = papers
    folder = tmp_path / "typst"
    folder.mkdir()

    def other() -> bytes:
        return compiled(source_of(first, folder))

    text = "".join(page.extract_text() for page in pypdf.PdfReader(_kept(tmp_path, other())).pages)
    for words in ("GJ100", "TJ57", f"{first.total:,.2f}", "Fire and sound ratings"):
        assert words in text
    ratio = measure("first render", lambda: render_quote(first, fresh(tmp_path)), "the same by typst", other)
    told = ", ".join(f"{name} {share:.0%}" for name, share in shares_of(first, monkeypatch).items())
    print(f"\nfirst render: {ratio:.1f} times the yardstick; of its work: {told}")  # noqa: T201
    print(HOW_TO_LOWER)  # noqa: T201


def shares_of(paper: QuotePaper, monkeypatch: pytest.MonkeyPatch) -> dict[str, float]:
    """What part of the work of one process goes to which kind of section, largest first."""
    spent: dict[str, float] = {}
    plain = sections._rendered

    def timed(section: sections.Section) -> bytes:
        start = process_time()
        data = plain(section)
        kind = section.name.rsplit("-", 1)[-1]
        spent[kind] = spent.get(kind, 0.0) + process_time() - start
        return data

    monkeypatch.setattr(sections, "_rendered", timed)
    monkeypatch.setattr(side_by_side, "cores", lambda: 1)
    start = process_time()
    with TemporaryDirectory() as folder:
        render_quote(paper, SectionStore(Path(folder)))
    spent["binding and frames"] = process_time() - start - sum(spent.values())
    whole = sum(spent.values())
    return {name: spent[name] / whole for name in sorted(spent, key=lambda name: -spent[name])}


def _kept(folder: Path, data: bytes) -> Path:
    path = folder / "other.pdf"
    path.write_bytes(data)
    return path


MEMORY = """
import resource, sys, tempfile
from pathlib import Path
import django
django.setup()
from framing.common import side_by_side
from framing.common.section_store import SectionStore
from quotes.documents import render_quote
from tests.bench.test_quote_paper import quote
paper = quote(1)
with tempfile.TemporaryDirectory() as folder:
    for turn in range(5):
        render_quote(paper, SectionStore(Path(folder) / str(turn)))
for whose in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN):
    print(resource.getrusage(whose).ru_maxrss / 1024)
"""


def test_memory_of_a_worker() -> None:
    """Peak of a fresh process that renders the quote five times, and of the largest of its helpers."""
    environment = os.environ | {"DJANGO_SETTINGS_MODULE": "framing.config.settings.test"}
    command = [sys.executable, "-c", MEMORY]
    done = subprocess.run(command, cwd=ROOT, env=environment, check=True, capture_output=True, text=True)
    own, helper = (float(line) for line in done.stdout.split())
    print(f"\nquote's paper: a worker's peak {own:.0f} MB, its helper's {helper:.0f} MB")  # noqa: T201
    assert max(own, helper) <= MEMORY_MOST_MB
