"""Made-up floor documents of the whole shape: mostly plausible, often a little or badly wrong.

Places come from a few lines that parts share, so that corners meet, edges touch and walls stand on borders; now and
then one is moved by a sixteenth, by a foot or out of the world.
"""

from __future__ import annotations

import copy
from typing import Any

from hypothesis import strategies as st

Draw = st.DrawFn
LINES = (0, 60, 96, 120, 144, 192, 240, 288, 300, 480)
"""Inches at which most things are drawn."""
NO_LENGTHS = ("edge", "plies", "live_psf", "psf", "dead_lb", "live_lb")
STRANGE = (0.0625, -0.0625, 1, -1, 7.3, -12, 1e-9, -600, 5_999, 11_999, 12_000, -12_000)


@st.composite
def places(draw: Draw) -> float:
    """One coordinate in inches."""
    place = draw(st.sampled_from(LINES))
    if draw(st.integers(0, 11)) == 0:
        return place + draw(st.sampled_from(STRANGE) | st.floats(-500, 500).map(lambda x: round(x, 3)))
    return place


POINTS = st.tuples(places(), places()).map(list)


@st.composite
def outlines(draw: Draw) -> list[list[float]]:
    """A rectangle, an L, a T, a trapezoid, a triangle, or any corners in any order."""
    x = sorted(draw(st.lists(places(), min_size=3, max_size=3)))
    y = sorted(draw(st.lists(places(), min_size=3, max_size=3)))
    shapes = [
        [[x[0], y[0]], [x[2], y[0]], [x[2], y[2]], [x[0], y[2]]],
        [[x[0], y[0]], [x[2], y[0]], [x[2], y[1]], [x[1], y[1]], [x[1], y[2]], [x[0], y[2]]],
        [[x[0], y[0]], [x[2], y[0]], [x[2], y[1]], [x[0], y[2]]],
        [[x[0], y[0]], [x[2], y[0]], [x[1], y[2]]],
        draw(st.lists(POINTS, min_size=3, max_size=9)),
    ]
    ring = draw(st.sampled_from(shapes))
    if draw(st.integers(0, 7)) == 0:
        ring.insert(draw(st.integers(0, len(ring))), draw(st.sampled_from(ring) | POINTS))
    return ring[::-1] if draw(st.booleans()) else ring


@st.composite
def point_loads(draw: Draw, spots: st.SearchStrategy[list[Any]]) -> dict[str, Any]:
    weights = {
        "dead_lb": draw(st.sampled_from((0, 0.5, 120))),
        "live_lb": draw(st.sampled_from((0, 300, 1e5))),
    }
    return {"id": draw(st.sampled_from(("Q0", "Q1"))), "at": draw(spots), **weights}


@st.composite
def load_cases(draw: Draw) -> dict[str, Any]:
    live = draw(st.sampled_from((0, 29.9, 30, 40, 125, 1000)))
    return {"occupancy": "Rooms", "live_psf": live, "layers": [{"name": "All", "psf": 10}]}


@st.composite
def bay_lists(draw: Draw, outline: list[list[float]]) -> list[dict[str, Any]]:
    """One bay, a floor halved across x or y, or bays drawn anywhere."""
    count = draw(st.integers(1, 4))
    low, high = (
        [min(p[0] for p in outline), min(p[1] for p in outline)],
        [max(p[0] for p in outline), max(p[1] for p in outline)],
    )
    rings: list[Any] = [None]
    if count > 1:
        at, upright = draw(places()), draw(st.booleans())
        one = [low, [at, low[1]], [at, high[1]], [low[0], high[1]]]
        two = [[at, low[1]], [high[0], low[1]], high, [at, high[1]]]
        if not upright:
            one = [low, [high[0], low[1]], [high[0], at], [low[0], at]]
            two = [[low[0], at], [high[0], at], high, [low[0], high[1]]]
        rings = [one, two] if count < 4 else draw(st.lists(st.none() | outlines(), min_size=2, max_size=4))
    bays = []
    for index, ring in enumerate(rings):
        bay: dict[str, Any] = {"id": "ABCD"[index], "outline": ring}
        bay["direction"] = draw(st.sampled_from("xy"))
        bay["start"] = draw(st.sampled_from(("low", "high")))
        bay["spacing"] = draw(st.sampled_from(("12", "16", "16", "19.2", "24", "18")))
        bay["offset"] = draw(st.none() | st.sampled_from((0, 3, 16, 17)))
        bay["plies"] = draw(st.sampled_from((1, 1, 1, 2, 3)))
        bay["load_case"] = draw(st.none() | load_cases())
        bay["profile"] = draw(st.none() | st.just("1000S162-54"))
        bays.append(bay)
    return bays


@st.composite
def lines(draw: Draw) -> dict[str, Any]:
    """A line along x or y, or from anywhere to anywhere."""
    start, end = draw(POINTS), draw(POINTS)
    way = draw(st.integers(0, 5))
    if way < 3:
        end[1] = start[1]
    elif way < 5:
        end[0] = start[0]
    return {"from": start, "to": end}


HEAD = {"format": "spanyard.floor", "version": 1, "name": "Drawn", "units": "imperial"}


@st.composite
def wild_documents(draw: Draw) -> dict[str, Any]:
    """Parts drawn without regard to each other; most can't be built."""
    outline = draw(outlines())
    edge_kinds = st.sampled_from((None, "platform", "balloon", "free", "parallel"))
    edges = [
        {
            "edge": index,
            "kind": draw(edge_kinds),
            "width": draw(st.none() | st.sampled_from((0, 1.5, 3.5, 900))),
        }
        for index in range(len(outline))
        if draw(st.integers(0, 3)) == 0
    ]
    supports = [
        {
            "id": f"W{index}",
            "kind": kind,
            "joint": draw(st.sampled_from(("lap", "butt", "through"))),
            "width": None if kind == "flush_beam" else draw(st.none() | st.sampled_from((0, 3.5, 11))),
            **draw(lines()),
        }
        for index, kind in enumerate(
            draw(st.lists(st.sampled_from(("wall", "wall", "beam", "flush_beam")), max_size=4))
        )
    ]
    openings = [
        {
            "id": f"O{index}",
            "kind": draw(st.sampled_from(("stair", "shaft"))),
            "corner": draw(POINTS),
            "size": [abs(draw(places())), abs(draw(places()))],
        }
        for index in range(draw(st.integers(0, 3)))
    ]
    partitions = [
        {"id": f"P{index}", "bearing": draw(st.booleans()), "load_plf": 50, **draw(lines())}
        for index in range(draw(st.integers(0, 2)))
    ]
    loads = draw(st.lists(point_loads(POINTS), max_size=2, unique_by=lambda load: load["id"]))
    parts = ("trimmer_low", "header_high", "joist", "beam")
    plies = [
        {"of": draw(st.sampled_from(("O0", "W0", "P0"))), "part": draw(st.sampled_from(parts)), "plies": 3}
        for _ in range(draw(st.sampled_from((0, 0, 0, 1))))
    ]
    return {
        **HEAD,
        "units": draw(st.sampled_from(("imperial", "imperial", "metric"))),
        "outline": outline,
        "edges": edges,
        "supports": supports,
        "openings": openings,
        "bays": draw(bay_lists(outline)),
        "partitions": partitions,
        "point_loads": loads,
        "load_case": draw(load_cases()),
        "overrides": {"plies": plies},
    }


@st.composite
def sound_documents(draw: Draw) -> dict[str, Any]:
    """Floors that can be built, or nearly: an outline, one or two bays with a bearing between, walls across."""
    wide, deep = draw(st.sampled_from((144, 240, 300))), draw(st.sampled_from((120, 168, 240, 288)))
    slant, step = draw(st.sampled_from((0, 0, 13.5, 40, 60))), draw(st.booleans())
    outline: list[list[float]] = [[0, 0], [wide, 0], [wide, deep - slant], [0, deep]]
    if step:
        outline[2:3] = [[wide, deep / 2], [wide / 2, deep / 2], [wide / 2, deep - slant]]
    at = draw(st.sampled_from((60, 84, 96)))
    way = draw(st.sampled_from("yyx"))
    across = {"from": [0, at], "to": [wide, at]} if way == "y" else {"from": [at, 0], "to": [at, deep - 60]}
    kind = draw(st.sampled_from(("wall", "beam", "flush_beam")))
    supports = [
        {"id": "W0", "kind": kind, "joint": draw(st.sampled_from(("lap", "butt", "through"))), **across}
    ]
    bays: list[dict[str, Any]] = [{"id": "A", "direction": way, "plies": draw(st.sampled_from((1, 1, 2)))}]
    shape = draw(st.integers(0, 2))
    if shape == 1:  # parted on the bearing
        other = draw(st.sampled_from("xy"))
        bays[0]["outline"] = [[-9, -9], [wide + 9, -9], [wide + 9, at], [-9, at]]
        bays.append({"id": "B", "direction": other, "load_case": draw(st.none() | load_cases())})
        bays[1]["outline"] = [[-9, at], [wide + 9, at], [wide + 9, deep + 9], [-9, deep + 9]]
    elif shape == 2:  # parted along the joists
        bays[0]["outline"] = [[0, 0], [at, 0], [at, deep], [0, deep]]
        bays.append({"id": "B", "direction": way, "spacing": draw(st.sampled_from(("12", "24")))})
        bays[1]["outline"] = [[at, 0], [wide, 0], [wide, deep], [at, deep]]
    size = st.sampled_from((20, 36, 48))
    openings = [
        {
            "id": f"O{index}",
            "corner": [x, draw(st.sampled_from((4, 24, 100)))],
            "size": [draw(size), draw(size)],
        }
        for index, x in enumerate(draw(st.lists(st.sampled_from((0, 6, 40, 76, 130)), max_size=2)))
    ]
    spots = st.tuples(st.integers(0, wide), st.integers(0, deep)).map(list)
    edge = 0 if way == "y" else 3
    edges = [{"edge": edge, "kind": draw(st.sampled_from(("free", "balloon", None)))}] if not step else []
    partitions = [
        {"id": "P0", "bearing": draw(st.booleans()), "load_plf": 100, "from": [30, 100], "to": [70, 110]}
    ]
    return {
        **HEAD,
        "outline": outline,
        "edges": edges,
        "supports": supports,
        "openings": openings,
        "bays": bays,
        "partitions": partitions[: draw(st.integers(0, 1))],
        "point_loads": draw(st.lists(point_loads(spots), max_size=2, unique_by=lambda load: load["id"])),
        "load_case": draw(load_cases()),
    }


def _numbers(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Paths of all coordinates and sizes in a document."""
    if isinstance(value, dict):
        return [found for key, inner in value.items() for found in _numbers(inner, (*path, key))]
    if isinstance(value, list):
        return [found for index, inner in enumerate(value) for found in _numbers(inner, (*path, index))]
    known = isinstance(value, int | float) and not isinstance(value, bool)
    return [path] if known and len(path) > 2 else []


@st.composite
def documents(draw: Draw) -> dict[str, Any]:
    """A whole document that the reader takes: sound, sound but for a place or two, or wild."""
    way = draw(st.integers(0, 3))
    if way == 0:
        return draw(wild_documents())
    document = copy.deepcopy(draw(sound_documents()))
    paths = [path for path in _numbers(document) if path[-1] not in NO_LENGTHS]
    for path in draw(st.lists(st.sampled_from(paths), max_size=way - 1)):
        inside = document
        for step in path[:-1]:
            inside = inside[step]
        inside[path[-1]] = (
            draw(places()) if draw(st.booleans()) else inside[path[-1]] + draw(st.sampled_from(STRANGE))
        )
    return document
