"""Production refuses what is only fit for a demo."""

import os
import subprocess
import sys

import pytest

GOOD = {
    "SECRET_KEY": "s" * 60,
    "LINK_KEY": "l" * 60,
    "SPANYARD_HOSTS": "joists.example.com",
    "DATABASE_URL": "postgres://u:p@db/x",
    "REDIS_URL": "redis://broker/0",
}


def load_production(changes: dict[str, str]) -> subprocess.CompletedProcess[str]:
    """Import the production settings in a fresh interpreter; an empty value in `changes` unsets the name."""
    given = {name: value for name, value in {**GOOD, **changes}.items() if value}
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    code = "from framing.config.settings import prod; print(prod.DEBUG, prod.SESSION_COOKIE_NAME)"
    return subprocess.run(
        [sys.executable, "-c", code], env={**kept, **given}, capture_output=True, text=True, check=False
    )


def test_good_settings_load() -> None:
    done = load_production({})
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == ["False", "__Host-session"]


@pytest.mark.parametrize(
    ("changes", "complaint"),
    [
        ({"SECRET_KEY": ""}, "SECRET_KEY must be a secret of your own"),
        ({"SECRET_KEY": "short"}, "SECRET_KEY must be a secret of your own"),
        ({"LINK_KEY": ""}, "LINK_KEY must be a secret of your own"),
        ({"LINK_KEY": GOOD["SECRET_KEY"]}, "must differ"),
        ({"SPANYARD_DEBUG": "on"}, "SPANYARD_DEBUG must be off"),
        ({"DEBUG": "1"}, "SPANYARD_DEBUG must be off"),
        ({"SPANYARD_HOSTS": ""}, "SPANYARD_HOSTS must name"),
        ({"SPANYARD_HOSTS": "*"}, "SPANYARD_HOSTS must name"),
        ({"DATABASE_URL": ""}, "DATABASE_URL must be set"),
        ({"REDIS_URL": ""}, "REDIS_URL must be set"),
    ],
)
def test_unfit_settings_are_refused(changes: dict[str, str], complaint: str) -> None:
    done = load_production(changes)
    assert done.returncode != 0
    assert "ImproperlyConfigured" in done.stderr
    assert complaint in done.stderr
