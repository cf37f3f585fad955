"""Habits of the source that a reader can rely on."""

import re
import subprocess
from pathlib import Path

import pytest
from django.core.management import call_command

CHECKOUT = Path(__file__).resolve().parents[2]
LINES, TEST_LINES = 500, 700

# Where ready-made markup is let through, and why it is safe.
UNESCAPED = {
    "framing/common/templatetags/drawings.py": "our own drawings, every element and attribute checked first",
    "templates/account/email/password_reset_key_message.txt": "plain text, its one value our address",
    "templates/emails/letter.txt": "the plain text of a mail, which nothing reads as markup",
}

LEFT_TO_THE_SWEEP = re.compile(r"\bcountdown\s*=|\beta\s*=|\.retry\(|\bautoretry_for\b|\bretry_backoff\b")
LET_THROUGH = re.compile(r"\bmark_safe\b|\|\s*safe\b|\bSafeString\b|autoescape\s+off|\bsafeseq\b")


def sources(*suffixes: str) -> list[Path]:
    """Return the project's own files with one of `suffixes`, tracked or new, without ignored ones."""
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.run(command, cwd=CHECKOUT, capture_output=True, text=True, check=True).stdout
    paths = [CHECKOUT / name for name in sorted(listed.split("\0")) if name.endswith(suffixes)]
    return [path for path in paths if path.is_file()]


def test_the_plan_editor_stays_small() -> None:
    """All its scripts, as they are served and before compression, the lazily loaded ones too."""
    folder = CHECKOUT / "framing/projects/static/projects/js/draw"
    sizes = [path.stat().st_size for path in folder.glob("*.js")]
    assert len(sizes) > 20
    assert sum(sizes) <= 120_000


def test_files_stay_small() -> None:
    over = []
    for path in sources(".py"):
        limit = TEST_LINES if path.is_relative_to(CHECKOUT / "tests") else LINES
        count = path.read_text().count("\n")
        if "migrations" not in path.parts and count > limit:
            over.append(f"{path.relative_to(CHECKOUT)}: {count} lines, at most {limit}")
    assert over == []


def test_markup_is_let_through_only_where_listed() -> None:
    found = {
        str(path.relative_to(CHECKOUT))
        for path in sources(".py", ".html", ".svg", ".txt")
        if not path.is_relative_to(CHECKOUT / "tests") and LET_THROUGH.search(path.read_text())
    }
    assert found - UNESCAPED.keys() == set()
    assert UNESCAPED.keys() - found == set(), "listed, but no longer needed"


def test_timed_work_is_left_to_the_sweep() -> None:
    """The broker may repeat delayed messages, so nothing asks for a countdown, an ETA or a retry."""
    found = [
        f"{path.relative_to(CHECKOUT)}:{number}"
        for path in sources(".py")
        if not path.is_relative_to(CHECKOUT / "tests")
        for number, line in enumerate(path.read_text().splitlines(), 1)
        if LEFT_TO_THE_SWEEP.search(line)
    ]
    assert found == []


@pytest.mark.django_db
def test_migrations_are_in_sync() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_the_lock_names_no_host() -> None:
    text = (CHECKOUT / "requirements.lock").read_text()
    assert "://" not in text
    assert "--hash=sha256:" in text
    assert "\n# --- test ---\n" in text
