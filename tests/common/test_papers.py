"""Half a file is never seen; a stored paper is stored once and checked when read (B4)."""

from pathlib import Path
from typing import Any

import pytest
from django.db import connection, transaction
from django.db.utils import DatabaseError
from pytest_django.fixtures import Settings

from framing.common.models import Role, StoredPaper, User
from framing.common.papers import PaperDamaged, paper_bytes, paper_response, paper_store, write_bytes

pytestmark = pytest.mark.django_db


@pytest.fixture
def store(settings: Settings, tmp_path: Path) -> Path:
    settings.PAPERS_DIR = tmp_path
    return tmp_path


@pytest.fixture
def subject() -> User:
    return User.objects.create_user("ada@example.test", "a long password", name="Ada", role=Role.SELLER)


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.rglob("*") if path.is_file())


def test_a_paper_is_stored_once(store: Path, subject: User) -> None:
    first = paper_store("quote", subject, data=b"%PDF-one", pages=1, file_name="q.pdf")
    second = paper_store("quote", subject, data=b"%PDF-two", pages=2, file_name="q.pdf")
    assert first == second
    assert StoredPaper.objects.count() == 1
    assert paper_bytes(second) == b"%PDF-one"
    assert files(store) == [f"{first.sha256}.pdf"]


@pytest.mark.parametrize("call", ["os.fsync", "pathlib.Path.replace"])
def test_a_write_that_fails_leaves_no_file(store: Path, monkeypatch: pytest.MonkeyPatch, call: str) -> None:
    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(call, full)
    with pytest.raises(OSError, match="No space"):
        write_bytes(b"%PDF-one")
    assert files(store) == []


def test_an_altered_or_missing_file_is_named_and_not_served(store: Path, subject: User) -> None:
    paper = paper_store("quote", subject, data=b"%PDF-one", pages=1, file_name="q.pdf")
    path = store / paper.sha256[:2] / f"{paper.sha256}.pdf"
    path.write_bytes(b"%PDF-0ne")
    with pytest.raises(PaperDamaged, match=r"q\.pdf was altered"):
        paper_bytes(paper)
    path.unlink()
    with pytest.raises(PaperDamaged, match=r"q\.pdf is missing"):
        paper_bytes(paper)


def test_a_paper_is_served_as_a_download(store: Path, subject: User) -> None:
    response = paper_response(paper_store("quote", subject, data=b"%PDF-one", pages=1, file_name="q.pdf"))
    assert response["Content-Disposition"] == 'attachment; filename="q.pdf"'
    assert response["Cache-Control"] == "private, no-store"


@pytest.mark.parametrize(
    "statement", ["UPDATE common_storedpaper SET pages = 9", "DELETE FROM common_storedpaper"]
)
def test_plain_sql_cannot_alter_a_stored_paper(store: Path, subject: User, statement: str) -> None:
    paper_store("quote", subject, data=b"%PDF-one", pages=1, file_name="q.pdf")
    with pytest.raises(DatabaseError, match="Cannot"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
