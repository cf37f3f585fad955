"""The OpenAPI document: the committed file is current, and whoever is signed in may read it."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.test import Client
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiYamlRenderer
from drf_spectacular.validation import validate_schema

import framing.api
from framing.common.models import Role
from tests.factories import people

COMMITTED = Path(framing.api.__file__).parent / "openapi.yaml"


def test_the_committed_file_is_what_the_code_says() -> None:
    schema = SchemaGenerator().get_schema(request=None, public=True)
    validate_schema(schema)
    text = OpenApiYamlRenderer().render(schema, renderer_context={}).decode()
    assert COMMITTED.read_text() == text, "run: ./run manage spectacular --file framing/api/openapi.yaml"


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role.values)
def test_staff_may_read_the_schema(role: str) -> None:
    client = Client()
    client.force_login(people.user(role))
    answer = client.get("/api/v1/schema/")
    assert answer.status_code == 200
    assert b"/api/v1/preview" in answer.content
    assert client.get("/api/v1/schema/", headers={"accept": "application/yaml"}).content.decode() == (
        COMMITTED.read_text()
    )
