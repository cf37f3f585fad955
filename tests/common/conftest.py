"""The demo company, once a module."""

from collections.abc import Iterator

import pytest
from pytest_django import DjangoDbBlocker

from tests.common.demo import demo_company


@pytest.fixture(scope="module")
def demo(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[None]:
    """The demo company for this module, rolled back afterwards."""
    with demo_company(django_db_blocker, tmp_path_factory):
        yield
