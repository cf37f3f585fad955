"""Papers of a version: what makes a new one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.common.errors import NotThere
from framing.projects.selectors import floor_version
from framing.projects.versions import CALCULATION_PAPER, DRAWINGS_PAPER, current_basis, version_named
from tests.factories import projects as make

pytestmark = pytest.mark.django_db


def test_a_raised_edition_makes_another_paper_and_other_work() -> None:
    basis = current_basis(floor_version(make.floor()))
    later = replace(DRAWINGS_PAPER, edition="2")
    assert later.stored_kind(basis) != DRAWINGS_PAPER.stored_kind(basis)
    assert later.work_key(basis) != DRAWINGS_PAPER.work_key(basis)
    assert len(later.stored_kind(basis)) <= 40


def test_papers_of_one_version_do_not_share_a_kind_or_work() -> None:
    basis = current_basis(floor_version(make.floor()))
    assert CALCULATION_PAPER.stored_kind(basis) != DRAWINGS_PAPER.stored_kind(basis)
    assert CALCULATION_PAPER.work != DRAWINGS_PAPER.work


@pytest.mark.parametrize("text", ["0", "2", "-1", "one", "1.0", "1" * 9, "\u0661"])
def test_a_version_that_is_not_there_is_not_found(text: str) -> None:
    floor = make.floor()
    assert version_named("1", floor) == version_named("", floor)
    with pytest.raises(NotThere):
        version_named(text, floor)
