"""R11, R12: marks shared by equal pieces, numbered in install order."""

from __future__ import annotations

import re

import pytest

from framing.engine.layout import list_pieces
from tests.engine.layout.builders import lay, sample


@pytest.mark.parametrize("name", ["house", "townhouse", "corridor"])
def test_pieces_share_a_mark_just_when_they_are_equal(name: str) -> None:
    layout = lay(sample(name))
    makes = {(m.kind, m.profile, m.length_16, m.holes_16): m.mark for m in layout.members}
    assert len(set(makes.values())) == len(makes)
    for member in layout.members:
        assert member.mark == makes[(member.kind, member.profile, member.length_16, member.holes_16)]


@pytest.mark.parametrize("name", ["house", "townhouse", "corridor"])
def test_marks_are_level_kind_number_and_rise_in_sequence(name: str) -> None:
    plan = sample(name)
    layout = lay(plan)
    seen: dict[str, int] = {}
    for member in layout.members:
        match = re.fullmatch(rf"{plan.level}([JTHBK])(\d\d)", member.mark)
        assert match
        assert match[1] == member.kind
        number = int(match[2])
        assert number <= seen.get(match[1], 0) + 1
        seen[match[1]] = max(number, seen.get(match[1], 0))


def test_one_line_is_whole_before_the_next() -> None:
    lines = [member.line for member in lay(sample("corridor")).members]
    assert lines == sorted(lines)
    assert set(lines) == {0, 1, 2}


def test_pieces_are_the_plies_of_members_in_sequence() -> None:
    plan = sample("corridor")
    layout = lay(plan)
    pieces = list_pieces(plan, [layout])
    expected = [f"{m.id}/{ply}" for m in layout.members for ply in range(1, m.plies + 1)]
    assert [piece.id for piece in pieces] == expected
    assert [piece.sequence for piece in pieces] == list(range(1, len(pieces) + 1))
