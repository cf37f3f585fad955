"""No log holds a link's secret (C4)."""

import logging
from datetime import timedelta
from io import StringIO
from types import SimpleNamespace

import pytest
from django.test import Client
from gunicorn.config import Config

from framing.config.weblog import MaskedLogger, SecretFilter, mask_secrets

SECRET = "q3kPz_0h-secret-secret-secret-secret-secret42"


@pytest.mark.parametrize(
    "line",
    [
        f"GET /l/{SECRET}/ HTTP/1.1",
        f'"GET /l/{SECRET} HTTP/1.1" 302',
        f"Method Not Allowed (POST): /l/{SECRET}/",
        f"http://127.0.0.1:8000/l/{SECRET}/?from=mail",
    ],
)
def test_the_secret_of_a_link_address_is_masked(line: str) -> None:
    assert SECRET not in mask_secrets(line)
    assert "/l/..." in mask_secrets(line)


def test_other_addresses_stay_as_they_are() -> None:
    line = "GET /orders/deliveries/ac9f16726d35bf535afe/ HTTP/1.1"
    assert mask_secrets(line) == line


def test_the_access_log_of_the_web_server_is_masked() -> None:
    address = f"/l/{SECRET}/"
    environ = {
        "REQUEST_METHOD": "GET",
        "RAW_URI": address,
        "PATH_INFO": address,
        "SERVER_PROTOCOL": "HTTP/1.1",
    }
    response = SimpleNamespace(status="302 Found", headers=[], sent=0)
    request = SimpleNamespace(headers=[])
    atoms = MaskedLogger(Config()).atoms(response, request, environ, timedelta(seconds=1))
    assert "/l/..." in atoms["r"]
    assert SECRET not in " ".join(str(value) for value in atoms.values())


@pytest.mark.django_db
def test_what_the_application_logs_is_masked(monkeypatch: pytest.MonkeyPatch) -> None:
    said = StringIO()
    for handler in logging.getLogger().handlers:
        if any(isinstance(kind, SecretFilter) for kind in handler.filters):
            monkeypatch.setattr(handler, "stream", said)
    Client().post(f"/l/{SECRET}/")
    Client().get(f"/l/{SECRET}/")
    assert SECRET not in said.getvalue()
    assert said.getvalue().count("/l/...") == 2
