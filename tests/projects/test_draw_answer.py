"""The editor's answer: where everything is in plan inches, what fails, what it takes; broken documents of all kinds."""

from __future__ import annotations

import json
from random import Random
from typing import Any

import pytest

from framing.engine.errors import Problem
from framing.engine.practice import Practice
from framing.projects.draw_answer import draw_answer, draw_places, draw_problems, draw_shown
from framing.projects.preview import Preview, preview_document, preview_json
from tests.factories import projects as make
from tests.projects.draw_broken import broken

PRACTICE = Practice()
STAIR = {"id": "S1", "name": "Stair", "kind": "stair", "corner": ["8'", "2'"], "size": ["4'", "8'"]}


def drawn(**fields: Any) -> dict[str, Any]:
    return draw_answer(make.document(**fields), PRACTICE)


def turned(document: dict[str, Any]) -> dict[str, Any]:
    """The same floor with its corners typed clockwise from the same corner."""
    first, *rest = document["outline"]
    return document | {"outline": [first, *rest[::-1]]}


def test_a_rectangle_is_told_in_inches() -> None:
    answer = drawn()
    assert (answer["state"], answer["problems"], answer["passes"], answer["failing"]) == (
        "drawn",
        [],
        True,
        0,
    )
    floor = answer["drawn"]
    assert floor["outline"] == [[0, 0], [288, 0], [288, 168], [0, 168]]
    assert [(edge["index"], edge["kind"], edge["width"]) for edge in floor["edges"]] == [
        (0, "platform", 5.5),
        (1, "parallel", 5.5),
        (2, "platform", 5.5),
        (3, "parallel", 5.5),
    ]
    assert floor["bays"] == [
        {"id": "A", "direction": "y", "start": "low", "ring": [[0, 0], [288, 0], [288, 168], [0, 168]]}
    ]
    joists = answer["members"]
    assert [joist["line"] for joist in joists[:2]] == [[16, 1.5, 16, 166.5], [32, 1.5, 32, 166.5]]
    assert len(joists) == 17
    assert {(joist["kind"], joist["mark"], joist["plies"], joist["bay"]) for joist in joists} == {
        ("joist", "1J01", 1, "A")
    }
    # Holes on a grid of 24 in; the last one before the far bearing is 22 1/2 in from the end.
    assert joists[0]["holes"] == [[16, y] for y in (24, 48, 72, 96, 120, 144)]
    assert answer["counts"][0] == {"code": "joist", "words": "Joists and tails", "quantity": 17}


def test_figures_are_those_of_the_preview() -> None:
    document = make.document(openings=[STAIR])
    answer, known = draw_answer(document, PRACTICE), preview_json(preview_document(document, PRACTICE))
    for name in ("counts", "weight_lb", "checks", "options", "passes"):
        assert answer[name] == known[name], name
    assert answer["price"] is None


def test_corners_and_edges_typed_clockwise_keep_their_numbers() -> None:
    document = turned(make.document()) | {"edges": [{"edge": 1, "kind": "balloon", "width": '3 1/2"'}]}
    floor = draw_answer(document, PRACTICE)["drawn"]
    assert floor["outline"] == [[0, 0], [0, 168], [288, 168], [288, 0]]
    # Edge 1 of the document is the top; edges 0 and 2 run along the joists.
    assert [(edge["index"], edge["kind"], edge["width"]) for edge in floor["edges"]] == [
        (0, "parallel", 5.5),
        (1, "balloon", 3.5),
        (2, "parallel", 5.5),
        (3, "platform", 5.5),
    ]


def test_what_stands_on_and_in_the_floor() -> None:
    wall = {"id": "W1", "kind": "wall", "from": ["0", "7'"], "to": ["24'", "7'"]}
    document = make.document(
        supports=[wall], openings=[STAIR | {"corner": ["8'", "1'"], "size": ["4'", "5'"]}]
    )
    document["partitions"] = [{"id": "P1", "from": ["2'", "1'"], "to": ["2'", "5'"], "bearing": False}]
    floor = draw_answer(document, PRACTICE)["drawn"]
    assert floor["supports"] == [{"id": "W1", "kind": "wall", "from": [0, 84], "to": [288, 84], "width": 3.5}]
    assert floor["openings"] == [
        {"id": "S1", "name": "Stair", "kind": "stair", "low": [96, 12], "high": [144, 72]}
    ]
    assert floor["partitions"] == [{"id": "P1", "from": [24, 12], "to": [24, 60], "bearing": False}]


def test_an_opening_is_framed_and_its_members_are_told_apart() -> None:
    members = drawn(openings=[STAIR])["members"]
    kinds = {kind: sum(m["kind"] == kind for m in members) for kind in ("trimmer", "header", "joist")}
    assert (kinds["trimmer"], kinds["header"]) == (2, 2)
    header = next(m for m in members if m["kind"] == "header")
    assert header["line"][1] == header["line"][3], "a header runs across the joists"
    assert header["plies"] == 2
    assert header["width"] == 2 * members[0]["width"]


def test_joists_that_fail_are_told() -> None:
    document = make.document(depth="30'")
    document["bays"][0]["profile"] = "1000S162-54"
    answer = draw_answer(document, PRACTICE)
    failing = [member["id"] for member in answer["members"] if member["fails"]]
    assert (answer["state"], answer["passes"]) == ("drawn", False)
    assert answer["failing"] == len(failing) == 17


def test_bridging_and_blocks_lie_in_the_floor() -> None:
    answer = drawn()
    runs = [run for line in answer["bridging"] for run in line["runs"]]
    assert runs
    assert all(y1 == y2 and 0 < y1 < 168 for _, y1, _, y2 in runs), "bridging crosses the joists"
    assert answer["blocks"]
    for x1, y1, x2, y2 in answer["blocks"]:
        assert 0 <= min(x1, x2) <= max(x1, x2) <= 288
        assert 0 <= min(y1, y2) <= max(y1, y2) <= 168


def test_lengths_are_exact_to_the_sixteenth() -> None:
    answer = drawn(depth="14' 0 3/16\"")
    assert answer["drawn"]["outline"][2] == [288, 168.1875]
    assert answer["members"][0]["line"] == [16, 1.5, 16, 166.6875]


@pytest.mark.parametrize(
    ("document", "place", "spot"),
    [
        # a corner
        (
            make.document() | {"outline": [["0", "0"], ["9'", "9'"], ["9'", "0"], ["0", "9'"]]},
            "outline",
            True,
        ),
        # an opening outside, found by the engine
        (make.document(openings=[STAIR | {"corner": ["40'", "2'"]}]), "openings.0", True),
        # a profile that nobody has lies nowhere
        (make.document(profile="9999S999-99"), "", False),
    ],
)
def test_a_floor_that_cannot_be_built_is_drawn_as_far_as_it_goes(
    document: dict[str, Any], place: str, spot: bool
) -> None:
    answer = draw_answer(document, PRACTICE)
    problem = answer["problems"][0]
    assert answer["state"] == "refused"
    assert len(answer["drawn"]["outline"]) == 4
    assert (answer["members"], answer["bill"], answer["options"], answer["passes"]) == ([], [], [], None)
    assert problem["place"].startswith(place)
    assert problem["message"]
    assert (problem["x"] is not None, problem["y"] is not None) == (spot, spot)


PLACED = {
    "outline.1": (288, 0),
    "edges.0.width": (288, 84),
    "supports.0.from": (144, 84),
    "openings.0.size.1": (120, 42),
    "partitions.0": (24, 36),
    "bays.0.spacing": (144, 84),
    "A.J1": (16, 42.65625),  # from 1 1/2 in at the rim to 3/16 in short of the wall's centre, butted
    "outline": (None, None),
    "openings.7": (None, None),
    "load_case.live_psf": (None, None),
    "name": (None, None),
}


@pytest.mark.parametrize("place", PLACED)
def test_what_has_no_spot_of_its_own_gets_that_of_its_place(
    place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    wall = {"id": "W1", "kind": "wall", "from": ["0", "7'"], "to": ["24'", "7'"], "joint": "butt"}
    document = make.document(
        supports=[wall], openings=[STAIR | {"corner": ["8'", "1'"], "size": ["4'", "5'"]}]
    )
    document["partitions"] = [{"id": "P1", "from": ["2'", "1'"], "to": ["2'", "5'"], "bearing": False}]
    document["edges"] = [{"edge": 1, "width": '5 1/2"'}]
    monkeypatch.setattr(Preview, "warnings", (Problem(place, "A warning without a spot."),))
    (warning,) = draw_answer(document, PRACTICE)["warnings"]
    assert (warning["x"], warning["y"]) == PLACED[place]


@pytest.mark.parametrize("document", [None, [], 7, "text", "{}", {}, {"format": "spanyard.floor"}])
def test_what_is_no_floor_document_is_answered_too(document: Any) -> None:
    answer = draw_answer(document, PRACTICE)
    assert (answer["state"], answer["drawn"], answer["members"]) == ("unread", None, [])
    assert answer["problems"]
    assert draw_places(document, "strap", PRACTICE) == []
    assert draw_problems(document, PRACTICE) == answer["problems"]


def test_places_of_a_bill_line() -> None:
    document = make.document()
    bill = {line["code"]: line for line in draw_answer(document, PRACTICE)["bill"]}
    clips = next(code for code in bill if code.startswith("bearing_clip"))
    places = draw_places(document, clips, PRACTICE)
    assert len(places) == bill[clips]["exact"] == 34
    assert {place["at"][0] for place in places} == set(range(16, 288, 16))
    joists = draw_places(document, next(iter(bill)), PRACTICE)
    assert joists[0] == {"id": "A.J1", "at": [16, 1.5], "to": [16, 166.5]}
    assert len(joists) == 17


def test_sticks_lie_where_their_boards_lie() -> None:
    document = make.document()
    codes = [line["code"] for line in draw_answer(document, PRACTICE)["bill"]]
    sticks = next(code for code in codes if code.startswith("rim_stick"))
    ends = [(place["at"], place["to"]) for place in draw_places(document, sticks, PRACTICE)]
    assert ends
    for at, to in ends:
        assert to is not None
        on_side = [at[i] == to[i] and at[i] in (0, 288, 168) for i in (0, 1)]
        near = [abs(at[i] - side) < 2 and abs(to[i] - side) < 2 for i in (0, 1) for side in (0, 168, 288)]
        assert any(on_side) or any(near), (at, to)


def test_every_line_of_the_bill_has_places_and_no_other_code_has() -> None:
    document = make.document(openings=[STAIR])
    for line in draw_answer(document, PRACTICE)["bill"]:
        assert draw_places(document, line["code"], PRACTICE), line["code"]
    assert draw_places(document, "golden_screw", PRACTICE) == []
    assert draw_places(make.document(profile="9999S999-99"), "strap", PRACTICE) == []


def test_a_saved_document_is_shown_without_figures() -> None:
    shown = draw_shown(make.document(), PRACTICE)
    assert set(shown) == {"state", "problems", "drawn", "members", "bridging", "blocks"}


def test_a_floor_of_six_hundred_joists_stays_small() -> None:
    width = "400'"
    wall = {"id": "W1", "kind": "wall", "from": ["0", "16'"], "to": [width, "16'"], "joint": "lap"}
    answer = draw_answer(make.document(width=width, depth="32'", supports=[wall]), PRACTICE)
    assert len(answer["members"]) > 590
    assert len(json.dumps(answer, separators=(",", ":"))) < 200_000


def test_broken_documents_are_answered_in_words() -> None:
    """Some hundred documents, each broken in another way: always an answer that JSON and UTF-8 can carry."""
    chance = Random(20261128)  # noqa: S311  # the same documents every time
    wall = {"id": "W1", "kind": "wall", "from": ["0", "7'"], "to": ["24'", "7'"], "joint": "lap"}
    whole = make.document(supports=[wall], openings=[STAIR | {"corner": ["8'", "1'"], "size": ["4'", "5'"]}])
    whole["partitions"] = [
        {"id": "P1", "from": ["2'", "1'"], "to": ["2'", "5'"], "bearing": True, "load_plf": 50}
    ]
    states: dict[str, int] = {}
    for _ in range(400):
        answer = draw_answer(broken(whole, chance), PRACTICE)
        json.dumps(answer, allow_nan=False).encode()
        states[answer["state"]] = states.get(answer["state"], 0) + 1
        assert bool(answer["problems"]) == (answer["state"] != "drawn")
        assert (answer["drawn"] is None) == (answer["state"] == "unread")
        assert bool(answer["members"]) == (answer["state"] == "drawn")
    assert min(states.get(state, 0) for state in ("unread", "refused", "drawn")) >= 10, states


@pytest.mark.parametrize("direction", ["x", "y"])
@pytest.mark.parametrize("start", ["low", "high"])
def test_holes_lie_on_their_members_at_their_distance_from_the_printed_end(
    direction: str, start: str
) -> None:
    """However the bay lies: headers run the other way, and stations may count from the far side."""
    document = make.document(width="26'", depth="20'", openings=[STAIR], direction=direction, start=start)
    result = preview_document(document, PRACTICE).result
    assert result is not None
    by_id = {member.id: member for member in result.members}
    drawn_members = draw_answer(document, PRACTICE)["members"]
    assert {m["kind"] for m in drawn_members if m["holes"]} >= {"joist", "trimmer"}
    for member in drawn_members:
        x1, y1, x2, y2 = member["line"]
        away = [abs(x - x1) + abs(y - y1) for x, y in member["holes"]]
        assert away == [hole_16 / 16 for hole_16 in by_id[member["id"]].holes_16]
        for x, y in member["holes"]:
            assert min(x1, x2) <= x <= max(x1, x2)
            assert min(y1, y2) <= y <= max(y1, y2)
