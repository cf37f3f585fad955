"""The store of sections: whole or absent, bounded, and never a reason for a paper to fail."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from framing.common.bytestore import LEFT_BEHIND_S, stores_sweep
from framing.common.section_store import PART, SectionStore

ONE, TWO, THREE = ("1" * 64, "2" * 64, "3" * 64)


def used(store: SectionStore, key: str, at: float) -> None:
    os.utime(store.folder / f"{key}.section", (at, at))


def test_what_was_put_is_got_and_the_rest_is_not_there(tmp_path: Path) -> None:
    store = SectionStore(tmp_path / "sections")
    assert store.get(ONE) is None
    store.put(ONE, b"pages")
    assert store.get(ONE) == b"pages"
    assert store.get(TWO) is None
    assert [path.name for path in store.folder.iterdir()] == [f"{ONE}.section"]


@pytest.mark.parametrize("harm", ["cut", "changed", "emptied"])
def test_a_damaged_file_counts_as_absent(tmp_path: Path, harm: str) -> None:
    store = SectionStore(tmp_path)
    store.put(ONE, b"pages of a quote")
    path = tmp_path / f"{ONE}.section"
    whole = path.read_bytes()
    path.write_bytes({"cut": whole[:-1], "changed": whole[:-1] + b"!", "emptied": b""}[harm])
    assert store.get(ONE) is None
    store.put(ONE, b"pages of a quote")
    assert store.get(ONE) == b"pages of a quote"


def test_the_longest_unused_go_until_the_rest_fits(tmp_path: Path) -> None:
    store = SectionStore(tmp_path, most_bytes=2 * (32 + 10))
    for number, key in enumerate((ONE, TWO, THREE)):
        store.put(key, b"x" * 10)
        used(store, key, 1000.0 + number)
    assert store.get(ONE) == b"x" * 10  # reading counts as use, so the second is now the oldest
    assert store.trim() == [f"{TWO}.section"]
    assert store.trim() == []
    assert {path.name for path in tmp_path.iterdir()} == {f"{ONE}.section", f"{THREE}.section"}


def test_only_sections_are_ever_removed(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("kept")
    (tmp_path / f"{PART}abc").write_bytes(b"half")
    store = SectionStore(tmp_path, most_bytes=0)
    store.put(ONE, b"pages")
    assert store.trim() == [f"{ONE}.section"]
    assert sorted(path.name for path in tmp_path.iterdir()) == [f"{PART}abc", "notes.txt"]
    assert SectionStore(tmp_path / "nothing").trim() == []


def test_a_disk_that_takes_nothing_keeps_nothing_and_stops_nobody(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    store = SectionStore(tmp_path)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    store.put(ONE, b"pages")
    assert store.get(ONE) is None
    assert list(tmp_path.iterdir()) == []
    assert "not kept" in caplog.text


@pytest.mark.django_db
def test_the_sweep_of_papers_leaves_sections_and_takes_old_halves(tmp_path: Path, settings: object) -> None:
    from framing.common.clock import database_now

    settings.PAPERS_DIR = tmp_path  # type: ignore[attr-defined]
    store = SectionStore(tmp_path / "sections")
    store.put(ONE, b"pages")
    half = store.folder / f"{PART}left"
    half.write_bytes(b"half")
    now = database_now()
    for path in (half, store.folder / f"{ONE}.section"):
        os.utime(path, (now.timestamp() - 2 * LEFT_BEHIND_S,) * 2)
    assert stores_sweep(now) == [half.name]
    assert store.get(ONE) == b"pages"
