"""The manifest (R48) and bundle tags (R36): each bundle and carton once, cautions, no price, same bytes."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pypdf
import pytest
from django.core.management import CommandError, call_command

from framing.common.cautions import SITE_CAUTIONS
from framing.common.documents import RenderedPaper
from framing.engine.result import PackageResult, TruckLoad
from orders.documents import manifest_of_package, manifest_render, qr_address, tags_render
from orders.manifest_facts import CartonLine, Manifest, load_rows, manifest_of
from orders.models import Delivery
from orders.selectors import accepted_package, content_words
from tests.factories import orders, packages

PLANS = Path(__file__).resolve().parents[1] / "plans"
AT = datetime(2026, 11, 4, 12, tzinfo=UTC)


def words(paper: RenderedPaper) -> str:
    """All text of a PDF with single spaces."""
    pages = pypdf.PdfReader(io.BytesIO(paper.data)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def manifests(delivery: Delivery) -> list[Manifest]:
    """A manifest for each truck of a delivery."""
    return [manifest_of(load) for load in load_rows().filter(delivery=delivery).order_by("number")]


@pytest.mark.django_db
def test_the_manifests_of_a_delivery_tell_everything_of_its_loads() -> None:
    delivery = orders.planned()
    trucks = manifests(delivery)
    order = delivery.order
    assert [b.number for t in trucks for b in t.bundles] == [b.number for b in order.bundles.all()]
    assert [c.number for t in trucks for c in t.cartons] == [c.number for c in order.cartons.all()]
    assert sum(t.pieces for t in trucks) == order.pieces.exclude(bundle=None).count()
    text = words(manifest_render(trucks))
    for fact in (
        f"{delivery.number}-1",
        "Draft",
        order.number,
        "Crane at the east gate.",
        "Rae Winter",
        "Receipt of this truck",
    ):
        assert fact in text
    for bundle in order.bundles.all():
        assert bundle.zone in text
    for caution in SITE_CAUTIONS:
        assert " ".join(caution.split()) in text
    assert "$" not in text
    assert str(order.revision.total) not in text


@pytest.mark.django_db
def test_the_same_delivery_gives_the_same_bytes() -> None:
    delivery = orders.planned()
    first, second = (manifest_render(manifests(delivery)) for _ in range(2))
    assert first.data == second.data


@pytest.mark.django_db
def test_rows_and_snapshot_give_the_same_trucks() -> None:
    delivery = orders.planned()
    by_rows = manifests(delivery)
    by_snapshot = manifest_of_package(accepted_package(delivery.order), name="Sample", issued_at=AT)
    assert [(t.load, [(b.number, b.marks, b.length_16, b.place) for b in t.bundles]) for t in by_rows] == [
        (t.load, [(b.number, b.marks, b.length_16, b.place) for b in t.bundles]) for t in by_snapshot
    ]
    assert [[c.contents for c in t.cartons] for t in by_rows] == [
        [c.contents for c in t.cartons] for t in by_snapshot
    ]


@pytest.mark.django_db
def test_a_tag_for_each_bundle_with_its_lift_points() -> None:
    order = orders.released()
    made = tags_render(order, issued_at=AT)
    assert made.pages == order.bundles.count() == 2
    # 14'-0" - 2 x (1 1/8 + 3/8) = 13'-9"; a fifth of 165 in = 33 in from each end (R4, R36)
    assert "2'-9\"" in words(made)


def test_lift_points_stand_a_fifth_of_the_length_from_both_ends() -> None:
    trucks = manifest_of_package(packages.package(), name="Sample", issued_at=AT)
    bundle = trucks[0].bundles[0]
    assert bundle.length_16 == 9 * 192 + 9 * 16
    assert bundle.lift_16 == (9 * 192 + 9 * 16) // 5


def test_each_truck_has_its_own_receipt() -> None:
    package = packages.package(trucks=2)
    paper = manifest_of_package(package, name="Sample", issued_at=AT)
    text = words(manifest_render(paper))
    assert text.count("Receipt of this truck") == 2


@pytest.mark.parametrize(("count", "pages"), [(5, 1), (14, 2)])
def test_what_is_signed_stands_with_cautions_and_with_what_came(count: int, pages: int) -> None:
    """No sheet holds the cautions alone: they go with the signature and the last rows; few bundles are one sheet."""
    sample = manifest_of_package(packages.package(), name="Sample", issued_at=AT)[0]
    bundles = tuple(replace(sample.bundles[0], number=n, off=n) for n in range(1, count + 1))
    carton = CartonLine("", "", 1, "First floor: Fasteners", ("Wood screw: 4 boxes",), 88.0, count + 1)
    made = manifest_render([replace(sample, bundles=bundles, cartons=(carton,))])
    sheets = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made.data)).pages]
    assert len(sheets) == pages
    (last,) = (sheet for sheet in sheets if "Cautions" in sheet)
    for words_ in ("Signature", "Receipt of this truck", "First floor: Fasteners"):
        assert words_ in last


def test_nothing_to_load_makes_an_empty_manifest() -> None:
    base = packages.package()
    bare = PackageResult(
        base.engine_version, base.catalogue_version, base.practice_name, base.practice_version,
        base.floors, (), (), (TruckLoad(1, (), (), 0.0),), (),
    )  # fmt: skip
    assert manifest_render(manifest_of_package(bare, name="Bare", issued_at=AT)).pages >= 1


def test_contents_in_words() -> None:
    entries = [("Ply clip", 1200, "piece"), ("Bridging strap", 70, "ft"), ("Wood screw", 1, "box"),
               ("Wood screw", 2, "box"), ("Panel", 4, "sheet")]  # fmt: skip
    assert content_words(entries) == [
        "Ply clip: 1,200", "Bridging strap: 70 ft", "Wood screw: 1 box", "Wood screw: 2 boxes",
        "Panel: 4 sheets",
    ]  # fmt: skip


def test_a_code_is_a_picture_without_an_address_in_it() -> None:
    assert qr_address("0" * 20).startswith("data:image/svg+xml")


# --- the command that needs no database (no test below may use one: pytest-django refuses the connection) ---


def test_a_floor_document_becomes_papers_take_off_drawing_and_result(tmp_path: Path, capsys: Any) -> None:
    call_command("quote_floor", str(PLANS / "house.json"), out=tmp_path / "new" / "out", date=AT.date())
    files = sorted(path.name for path in (tmp_path / "new" / "out").iterdir())
    assert files == [
        "house-first-floor-cuts.csv", "house-first-floor-manifest.pdf", "house-first-floor-materials.csv",
        "house-first-floor-plan.dxf", "house-first-floor-quote.pdf", "house-first-floor-result.json",
        "house-first-floor-schedule.csv", "house-first-floor-takeoff.xlsx",
    ]  # fmt: skip
    stored = json.loads((tmp_path / "new" / "out" / files[5]).read_text())
    assert (stored["format"], stored["version"]) == ("spanyard.result", 1)
    bundled = sum(len(bundle["pieces"]) for bundle in stored["package"]["bundles"])
    said = capsys.readouterr().out
    assert f"{len(stored['package']['bundles'])} bundles" in said
    assert "total $" in said
    text = words(RenderedPaper((tmp_path / "new" / "out" / files[1]).read_bytes(), 0))
    assert f"{bundled} pieces" in text


def test_a_second_run_gives_the_same_files(tmp_path: Path) -> None:
    for _ in range(2):
        call_command("quote_floor", str(PLANS / "townhouse.json"), out=tmp_path, date=AT.date())
        papers = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
        again = tmp_path / "again"
        call_command("quote_floor", str(PLANS / "townhouse.json"), out=again, date=AT.date())
        assert {path.name: path.read_bytes() for path in again.iterdir()} == papers
        for path in again.iterdir():
            path.unlink()
        again.rmdir()


@pytest.mark.parametrize("plan", sorted((PLANS / "bad").glob("*.json")), ids=lambda path: path.stem)
def test_a_bad_floor_is_refused_in_words_and_leaves_nothing(plan: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    with pytest.raises(CommandError) as refusal:
        call_command("quote_floor", str(plan), out=out)
    assert refusal.value.returncode == 2
    assert len(str(refusal.value)) > 20
    assert not out.exists()


def test_a_file_that_is_too_big_is_refused_before_it_is_read(tmp_path: Path) -> None:
    big = tmp_path / "big.json"
    with big.open("wb") as file:
        file.truncate(50_000_000)
    with pytest.raises(CommandError, match="50,000,000 bytes") as refusal:
        call_command("quote_floor", str(big), out=tmp_path / "out")
    assert refusal.value.returncode == 2


@pytest.mark.parametrize("name", ["missing.json", ""])
def test_a_file_that_is_not_there_is_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="cannot be read") as refusal:
        call_command("quote_floor", str(tmp_path / name), out=tmp_path / "out")
    assert refusal.value.returncode == 2


def test_a_folder_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(CommandError) as refusal:
        call_command("quote_floor", str(PLANS / "house.json"), out=tmp_path / "file" / "out")
    assert refusal.value.returncode == 2
