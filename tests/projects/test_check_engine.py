"""The command that holds the engine against printed tables: output, exit codes, refusals."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

SECTIONS = "section,Fy_ksi,Ix_in4\n1000S162-54,33,{}\n"
SPANS = (
    "section,Fy_ksi,span_type,dead_psf,live_psf,spacing_in,LL_limit,TL_limit,span_in\n"
    "800S162-97,33,single,10,40,12,L/480,L/240,{}\n"
)


def _run(*args: str) -> str:
    out = StringIO()
    call_command("check_engine", *args, stdout=out)
    return out.getvalue()


def _file(folder: Path, name: str, text: str) -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_the_shipped_tables_agree() -> None:
    told: dict[str, Any] = json.loads(_run("--json"))
    assert {name: kind["agrees"] for name, kind in told.items()} == {
        "sections": True,
        "spans": True,
        "spans_derived": True,
    }
    assert (told["sections"]["rows"], told["spans"]["rows"]) == (77, 155)
    column = told["sections"]["columns"]["Mad_kipin"]
    assert abs(column["worst_percent"]) <= column["tolerance_percent"] == 1.0
    assert column["outside"] == []


def test_tables_for_people() -> None:
    out = _run()
    assert "published/section_properties.csv: 77 rows" in out
    assert out.count("\n  agrees") == 3
    assert "DOES NOT AGREE" not in out


def test_only_the_files_that_are_given(tmp_path: Path) -> None:
    sections = _file(tmp_path, "sections.csv", SECTIONS.format("9.95"))
    spans = _file(tmp_path, "spans.csv", SPANS.format("240"))
    assert list(json.loads(_run("--sections", sections, "--json"))) == ["sections"]
    assert list(json.loads(_run("--spans", spans, "--json"))) == ["spans"]
    both = json.loads(_run("--sections", sections, "--spans", spans, "--json"))
    assert [kind["file"] for kind in both.values()] == [sections, spans]


def test_a_row_outside_without_a_reason_ends_with_1(tmp_path: Path) -> None:
    sections = _file(tmp_path, "sections.csv", SECTIONS.format("10.2"))
    out = StringIO()
    with pytest.raises(CommandError, match=r"does not agree with .*sections\.csv") as failed:
        call_command("check_engine", "--sections", sections, stdout=out)
    assert failed.value.returncode == 1
    assert "NOT EXPLAINED" in out.getvalue()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "there are no rows"),
        ("section,Fy_ksi,Ix_in4\n1000S162-54,33,tall\n", "row 2, column Ix_in4: tall is not a number"),
        ("section,Ix_in4\n1000S162-54,9.95\n", "column Fy_ksi is missing"),
    ],
)
def test_a_bad_file_is_refused_by_name(tmp_path: Path, text: str, words: str) -> None:
    path = _file(tmp_path, "mine.csv", text)
    with pytest.raises(CommandError, match=words) as refused:
        _run("--sections", path)
    assert refused.value.returncode == 2
    assert "mine.csv" in str(refused.value)


def test_a_file_that_is_not_there_or_not_text(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="No such file") as missing:
        _run("--spans", str(tmp_path / "none.csv"))
    assert missing.value.returncode == 2
    (tmp_path / "photo.csv").write_bytes(b"\xff\xd8\xff")
    with pytest.raises(CommandError, match="is not UTF-8 text"):
        _run("--spans", str(tmp_path / "photo.csv"))
