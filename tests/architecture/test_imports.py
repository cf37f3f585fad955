"""Who may import whom, and that the engine starts without the web framework."""

import subprocess
import sys
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]
FOREIGN = ("django", "rest_framework", "celery", "weasyprint", "redis", "psycopg")


def test_import_contracts_hold() -> None:
    command = [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"]
    done = subprocess.run(command, cwd=CHECKOUT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
    assert "0 broken" in done.stdout


@pytest.mark.parametrize("module", ["framing.engine", "framing.drawing"])
def test_pure_packages_load_no_framework(module: str) -> None:
    code = f"import sys, {module}; print(*sorted({{name.split('.')[0] for name in sys.modules}}))"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=CHECKOUT, capture_output=True, text=True, check=True
    )
    loaded = done.stdout.split()
    assert "framing" in loaded
    assert [name for name in FOREIGN if name in loaded] == []


def test_the_top_package_is_empty() -> None:
    assert (CHECKOUT / "framing" / "__init__.py").read_text() == ""
