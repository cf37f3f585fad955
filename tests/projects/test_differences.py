"""What differs between two documents, and in which words a place is named."""

from __future__ import annotations

import pytest

from framing.projects.differences import find_differences, place_words

BASE = {"name": "A", "outline": [["0", "0"], ["9'", "0"]], "bearing": False, "load": 40.0}


def test_equal_documents_differ_nowhere() -> None:
    assert find_differences(base=BASE, yours=BASE, theirs=dict(reversed(BASE.items()))) == ()


def test_who_moved_away_is_told() -> None:
    yours = BASE | {"name": "B", "load": 50}
    theirs = BASE | {"name": "C", "bearing": True}
    found = {
        d.place: (d.base, d.yours, d.theirs, d.by)
        for d in find_differences(base=BASE, yours=yours, theirs=theirs)
    }
    assert found == {
        "name": ("A", "B", "C", "both"),
        "bearing": ("no", "no", "yes", "they"),
        "load": ("40", "50", "40", "you"),
    }


def test_the_same_change_by_both_is_no_difference() -> None:
    changed = BASE | {"name": "B"}
    assert find_differences(base=BASE, yours=changed, theirs=changed) == ()


def test_rows_that_only_one_has_are_listed() -> None:
    yours = BASE | {"outline": [*BASE["outline"], ["9'", "8'"]]}  # type: ignore[misc]
    found = [(d.place, d.yours, d.theirs) for d in find_differences(base=BASE, yours=yours, theirs=BASE)]
    assert found == [("outline.2.0", "9'", "none"), ("outline.2.1", "8'", "none")]


def test_a_field_that_older_documents_lack_is_no_difference() -> None:
    old = {"bays": [{"id": "A"}]}
    new = {"bays": [{"id": "A", "plies": 1, "load_case": None}]}
    assert find_differences(base=old, yours=new, theirs=old) == ()
    double = {"bays": [{"id": "A", "plies": 2, "load_case": None}]}
    (found,) = find_differences(base=old, yours=double, theirs=old)
    assert (found.words, found.base, found.yours, found.theirs, found.by) == (
        "bay 1, plies",
        "1",
        "2",
        "1",
        "you",
    )
    # A list that older documents lack is the empty one.
    bare = {"bays": [{"id": "A"}]}
    assert find_differences(base=bare, yours=bare | {"point_loads": []}, theirs=bare) == ()
    # A bay that only one has shows all that it is.
    places = [d.place for d in find_differences(base={"bays": []}, yours=old, theirs={"bays": []})]
    assert places == ["bays.0.plies", "bays.0.id"]


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("name", "name"),
        ("outline.1.0", "corner 2, x"),
        ("openings.0.size.1", "opening 1, size, y"),
        ("supports.2.from.0", "bearing 3, from, x"),
        ("load_case.live_psf", "load case, live load"),
        ("load_case.layers.0.psf", "load case, layer 1, psf"),
        ("bays.0.spacing", "bay 1, spacing"),
        ("bays.1.outline.3.1", "bay 2, corner 4, y"),
        ("bays.1.load_case.layers.0.psf", "bay 2, load case, layer 1, psf"),
        ("point_loads.0.at.1", "point load 1, at, y"),
        ("point_loads.2.dead_lb", "point load 3, dead load"),
        ("overrides.plies.0.of", "overrides, fixed plies 1, of"),
    ],
)
def test_places_are_named_in_words(place: str, words: str) -> None:
    assert place_words(place) == words
