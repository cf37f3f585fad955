"""Two drawings of one floor made one: worked by hand, and properties over made-up changes."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from framing.projects.draw_merge import merge, told_differences

WALL = {"id": "W1", "kind": "wall", "from": ["0", "5'"], "to": ["20'", "5'"]}
BASE: dict[str, Any] = {
    "name": "F",
    "outline": [["0", "0"], ["20'", "0"], ["20'", "10'"], ["0", "10'"]],
    "supports": [WALL],
    "openings": [],
    "edges": [],
}
MINE = BASE | {"name": "Mine", "supports": [WALL | {"kind": "beam"}]}
THEIRS = BASE | {"name": "Theirs", "edges": [{"edge": 0, "kind": "free"}], "openings": [{"id": "O1"}]}


def test_what_one_changed_is_taken_and_what_both_did_is_told() -> None:
    merged = merge(BASE, MINE, THEIRS)
    assert merged.clashes == (("name", "Name"),)
    assert merged.document["name"] == "Mine"
    assert merged.document["supports"] == [WALL | {"kind": "beam"}]
    assert merged.document["edges"] == THEIRS["edges"]
    assert merged.document["openings"] == [{"id": "O1"}]
    assert merge(BASE, MINE, THEIRS, {"name": "theirs"}).document["name"] == "Theirs"


def test_what_one_took_away_is_gone() -> None:
    mine = BASE | {"supports": []}
    assert merge(BASE, mine, THEIRS).document["supports"] == []
    assert merge(BASE, THEIRS, mine).document["supports"] == []
    both = merge(BASE, mine, BASE | {"supports": [WALL | {"kind": "beam"}]})
    assert both.clashes == (("supports|W1", "Bearing W1"),)
    assert both.document["supports"] == []


def test_a_whole_field_that_one_took_away_is_gone() -> None:
    base = BASE | {"load_case": {"live_psf": 40}}
    assert "load_case" not in merge(base, base, BASE).document


def test_mine_stay_in_my_order_and_theirs_come_after() -> None:
    base = BASE | {"openings": [{"id": "O1"}, {"id": "O2"}]}
    mine = BASE | {"openings": [{"id": "O2"}, {"id": "O1"}]}
    theirs = BASE | {"openings": [{"id": "O3"}, {"id": "O1"}, {"id": "O2"}]}
    assert [one["id"] for one in merge(base, mine, theirs).document["openings"]] == ["O2", "O1", "O3"]


def test_fixed_plies_go_by_their_member_and_walls_by_their_number() -> None:
    plies = {"of": "O1", "part": "header_low", "plies": 3}
    theirs = BASE | {
        "overrides": {"plies": [plies]},
        "edges": [{"edge": 3, "kind": "free"}, {"edge": 0, "width": "6"}],
    }
    merged = merge(BASE, BASE | {"overrides": {"other": 1}}, theirs)
    assert merged.document["overrides"] == {"other": 1, "plies": [plies]}
    assert [edge["edge"] for edge in merged.document["edges"]] == [0, 3]
    assert "Fixed plies of O1 header low added" in told_differences(BASE, theirs)
    short = merge(BASE, BASE | {"outline": BASE["outline"][:3]}, theirs)
    assert [edge["edge"] for edge in short.document["edges"]] == [0], "the fourth wall is no more"


def test_differences_in_words() -> None:
    after = THEIRS | {"name": "G", "supports": []}
    words = ("Name changed", "Wall 1 added", "Bearing W1 taken away", "Opening O1 added")
    assert sorted(told_differences(BASE, after)) == sorted(words)


@pytest.mark.parametrize(
    "broken", [{}, {"outline": 3, "openings": "x", "overrides": []}, {"edges": [1, {"edge": "a"}]}]
)
def test_documents_that_are_broken_are_merged_too(broken: dict[str, Any]) -> None:
    assert merge(broken, broken, BASE).document["outline"] == BASE["outline"]
    assert merge(BASE, broken, BASE).clashes == ()


VALUES = st.sampled_from([None, True, 0, 1, 1.0, "a", ["0", "1'"], {"k": 1}])
IDS = st.lists(st.sampled_from(["A", "B", "C"]), unique=True, max_size=3)


@st.composite
def documents(draw: st.DrawFn) -> dict[str, Any]:
    openings = [{"id": name, "name": draw(VALUES)} for name in draw(IDS)]
    supports = [{"id": name, "width": draw(VALUES)} for name in draw(IDS)]
    return BASE | {"name": draw(VALUES), "openings": openings, "supports": supports}


@given(documents(), documents(), documents())
def test_of_one_change_all_is_taken_and_clashes_are_the_same_from_both_sides(
    base: dict[str, Any], mine: dict[str, Any], theirs: dict[str, Any]
) -> None:
    assert told_differences(mine, mine) == ()
    for merged in (merge(base, mine, base), merge(base, base, mine), merge(base, mine, mine)):
        assert merged.clashes == ()
        assert told_differences(merged.document, mine) == ()
    here, there = merge(base, mine, theirs), merge(base, theirs, mine)
    assert {path for path, _ in here.clashes} == {path for path, _ in there.clashes}
    chosen = dict.fromkeys((path for path, _ in here.clashes), "theirs")
    assert told_differences(merge(base, mine, theirs, chosen).document, there.document) == ()
