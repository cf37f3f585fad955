"""What a member must carry, worked by hand: combinations, patterns, regions, places, holes, refusals."""

from __future__ import annotations

from math import inf, nan

import pytest

from framing.engine.errors import LoadRefused
from framing.engine.loads import LineLoad, PointLoad
from framing.engine.method import Method
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.demand import Demand, LoadPlace, analyse

L = 100.0


def two_spans(dead: float = 0.0, live: float = 1.0, **more: tuple[float, ...]) -> BeamModel:
    return BeamModel((0.0, L, 2 * L), (LineLoad(0.0, 2 * L, dead, live),), **more)


def overhang(dead: float, live: float) -> BeamModel:
    return BeamModel((0.0, L), (LineLoad(0.0, 140.0, dead, live),), high_in=140.0)


@pytest.mark.parametrize(
    ("method", "dead", "live", "total"),
    [
        (Method.ASD, 1.0, 2.0, 3.0),
        (Method.LRFD, 1.0, 2.0, 1.2 + 3.2),
        (Method.LRFD, 1.0, 0.1, 1.4),
        (Method.LSD, 1.0, 2.0, 1.25 + 3.0),
        (Method.LSD, 1.0, 0.05, 1.4),
    ],
)
def test_strength_is_factored_by_the_method_and_service_is_not(
    method: Method, dead: float, live: float, total: float
) -> None:
    demand = analyse(BeamModel((0.0, L), (LineLoad(0.0, L, dead, live),)), method)
    assert demand.moment_lb_in == pytest.approx(total * L**2 / 8)
    assert demand.positive_moment_lb_in == pytest.approx(total * L**2 / 8)
    assert demand.shear_lb == pytest.approx(total * L / 2)
    assert demand.strength_reactions_lb == pytest.approx((total * L / 2,) * 2)
    assert demand.total_sags == pytest.approx((5 * (dead + live) * L**4 / 384,))
    assert demand.live_sag == (pytest.approx(5 * live * L**4 / 384), L)
    assert demand.reactions_lb[0] == pytest.approx((dead * L / 2, live * L / 2))
    assert (demand.negative, demand.uplift_lb, demand.stepped) == ((), (0.0, 0.0), False)


def test_an_overhang_loads_and_lifts() -> None:
    # a = 40: dead alone R = w (L2 - a2) / 2L = 42, 98 per lb/in; live on the overhang -8, 48; on the span 50, 50
    demand = analyse(overhang(0.1, 1.0))
    assert demand.strength_reactions_lb == pytest.approx((4.2 + 50, 9.8 + 98))
    assert demand.uplift_lb == pytest.approx((8 - 4.2, 0.0))
    assert demand.reactions_lb[0] == pytest.approx((4.2, 50.0))
    # moment over the support with the overhang full, in the span with the overhang empty
    assert demand.moment_lb_in == pytest.approx(54.2**2 / (2 * 1.1))
    assert min(s.moment_at(L) for s in demand.strength) == pytest.approx(-1.1 * 40**2 / 2)
    assert demand.limit_spans_in == (L, 80.0)
    assert demand.stepped
    # the tip goes down most with live load on the overhang alone: turn w a2 / 2 x L / 3, times a, and w a4 / 8;
    # dead load alone lifts it by 280,000 per lb/in
    down = 40**3 * L / 6 + 40**4 / 8
    assert demand.live_sags == pytest.approx((5 * L**4 / 384, down))
    assert demand.total_sags[1] == pytest.approx(down - 28_000)
    assert demand.live_sag == (pytest.approx(down), 80.0)
    assert demand.total_sag == (pytest.approx(down - 28_000), 80.0)


def test_a_tip_that_only_rises_has_no_deflection_of_its_own() -> None:
    demand = analyse(BeamModel((0.0, L), (LineLoad(0.0, L, 0.0, 1.0),), high_in=140.0))
    assert demand.live_sags == (pytest.approx(5 * L**4 / 384), 0.0)


@pytest.mark.parametrize(("method", "dead", "live"), [(Method.LRFD, 0.9, 1.6), (Method.LSD, 0.9, 1.5)])
def test_uplift_counts_on_less_dead_load(method: Method, dead: float, live: float) -> None:
    assert analyse(overhang(0.1, 1.0), method).uplift_lb[0] == pytest.approx(live * 8 - dead * 4.2)


def test_an_overhang_at_the_low_end_mirrors_one_at_the_high_end() -> None:
    high = analyse(overhang(0.1, 1.0))
    low = analyse(BeamModel((40.0, 140.0), (LineLoad(0.0, 140.0, 0.1, 1.0),), low_in=0.0))
    assert low.limit_spans_in == (80.0, L)
    assert low.total_sags == pytest.approx(high.total_sags[::-1])
    assert low.uplift_lb == pytest.approx(high.uplift_lb[::-1])
    assert low.places[0].edge_in == 40.0
    assert sizes(low) == [pytest.approx(one) for one in sizes(high)]


def sizes(demand: Demand) -> list[tuple[float, float, float]]:
    """Moment, unbraced length and Cb of the regions, rising."""
    return sorted(
        (round(r.moment_lb_in, 6), round(r.unbraced_in, 6), round(r.cb, 6)) for r in demand.negative
    )


def test_bottom_flange_beside_an_inner_support() -> None:
    # both spans full: M = -1250 over the support, 0 at L/4; one span: straight from -625 to the far end
    near, far = analyse(two_spans()).negative
    at = [1250 - 62.5 * x + x**2 / 2 for x in (6.25, 12.5, 18.75)]
    cb = 12.5 * 1250 / (2.5 * 1250 + 3 * at[0] + 4 * at[1] + 3 * at[2])
    assert (near.moment_lb_in, near.unbraced_in, near.cb, near.at_in) == pytest.approx((1250, 25, cb, L))
    assert (far.moment_lb_in, far.unbraced_in, far.cb, far.at_in) == pytest.approx((625, 100, 5 / 3, L))


def test_braces_shorten_what_is_not_held() -> None:
    found = analyse(two_spans(braces_in=(50.0, 150.0, 999.0))).negative
    # one span full, the other straight from -625 to 0: -312.5 at the brace
    cb = 12.5 * 625 / (2.5 * 625 + 3 * 546.875 + 4 * 468.75 + 3 * 390.625)
    assert [(r.moment_lb_in, r.unbraced_in, r.cb) for r in found] == [
        pytest.approx((1250, 25, found[0].cb)),
        pytest.approx((625, 50, cb)),
    ]


def test_the_bottom_flange_of_an_overhang_is_open_to_its_tip() -> None:
    load = LineLoad(L, 140.0, 1.0, 0.0)
    # the span's moment is straight from 0 to -800 over the support; its half beyond the brace is the milder one
    free = analyse(BeamModel((0.0, L), (load,), high_in=140.0, braces_in=(50.0,)))
    assert sizes(free) == [(800.0, 40.0, 1.0), (800.0, 50.0, 1.25)]
    held = analyse(BeamModel((0.0, L), (load,), high_in=140.0, braces_in=(120.0,)))
    # and the outer half of the overhang, 200 over 20 in, is never the worse one
    assert sizes(held) == [(800.0, 20.0, 1.0), (800.0, 100.0, round(5 / 3, 6))]


def test_a_middle_span_can_be_bent_up_all_along() -> None:
    # side spans loaded: both inner supports at -w L2 / 20, even between them, so Cb = 1 over the whole span
    model = BeamModel((0.0, L, 2 * L, 3 * L), (LineLoad(0.0, L, 0.0, 1.0), LineLoad(2 * L, 3 * L, 0.0, 1.0)))
    whole = [r for r in analyse(model).negative if r.unbraced_in == pytest.approx(L)]
    assert (whole[-1].moment_lb_in, whole[-1].cb) == pytest.approx((500.0, 1.0))


def test_forces_on_the_web_at_supports_and_loads() -> None:
    points = (PointLoad(30.0, 10.0, 90.0, "header"), PointLoad(60.0, 0.0, 0.0), PointLoad(-5.0, 1.0, 1.0))
    places = analyse(BeamModel((0.0, L), (), points)).places
    assert places == (
        LoadPlace(0.0, pytest.approx(70.0), 0.0, "support", 0, 0.0, 5.0),
        LoadPlace(L, pytest.approx(30.0), pytest.approx(0.0, abs=1e-9), "support", 1, 0.0, 40.0),
        LoadPlace(30.0, pytest.approx(100.0), pytest.approx(2100.0), "load", 0, 30.0, 30.0),
    )


def test_an_inner_support_keeps_its_pairs_of_force_and_moment() -> None:
    full = analyse(two_spans()).places
    assert [(p.force_lb, p.moment_lb_in, p.opposed_in) for p in full if p.index == 1] == [
        pytest.approx((125.0, 1250.0, inf))
    ]
    # a force right over the support adds to it with the part it ends, the low span
    model = BeamModel((0.0, L, 2 * L), (LineLoad(L, 2 * L, 0.0, 1.0),), (PointLoad(L, 0.0, 7.0),))
    inner = [p for p in analyse(model).places if p.kind == "support" and p.index == 1]
    assert [(p.force_lb, p.moment_lb_in, p.opposed_in) for p in inner] == [pytest.approx((69.5, 625.0, 0.0))]
    (load,) = [p for p in analyse(model, Method.LRFD).places if p.kind == "load"]
    assert (load.force_lb, load.moment_lb_in) == pytest.approx((1.6 * 7, 1.6 * 625))


def test_a_load_and_the_moment_under_it_come_from_one_pattern() -> None:
    # P in span 1; live load of span 2 lowers the moment under it, so its pattern leaves span 2 empty
    model = BeamModel((0.0, L, 2 * L), (LineLoad(L, 2 * L, 0.0, 1.0),), (PointLoad(50.0, 0.0, 100.0),))
    (load,) = [p for p in analyse(model).places if p.kind == "load"]
    assert (load.force_lb, load.moment_lb_in) == pytest.approx((100.0, 100 * 13 / 64 * L))


def test_holes_see_the_shear_at_their_edges_and_the_moment_within() -> None:
    demand = analyse(BeamModel((0.0, L), (LineLoad(0.0, L, 0.0, 1.0),)))
    assert demand.hole_figures((), 4.0) is None
    assert demand.hole_figures((20.0,), 4.0) == pytest.approx((32.0, 22 * 78 / 2))
    # over the middle the moment peaks between the edges
    assert demand.hole_figures((51.0,), 4.0) == pytest.approx((3.0, 1250.0))
    both = demand.hole_figures((20.0, 51.0), 4.0)
    assert both is not None
    assert both[0] == pytest.approx(32.0)
    assert demand.moment_at_lb_in(25.0) == pytest.approx(25 * 75 / 2)


def test_meetings_are_of_the_factored_loads() -> None:
    asd, lrfd = analyse(two_spans()), analyse(two_spans(), Method.LRFD)
    assert asd.meetings == (pytest.approx((1250.0, 62.5)),)
    assert lrfd.meetings == (pytest.approx((2000.0, 100.0)),)
    assert lrfd.total_sags == asd.total_sags


def test_tapered_loads_keep_dead_and_live_apart() -> None:
    demand = analyse(BeamModel((0.0, L), (LineLoad(0.0, L, 0.0, 2.0, dead_end_lb_in=3.0),)))
    assert demand.reactions_lb == (pytest.approx((50.0, 100.0)), pytest.approx((100.0, 100.0)))
    falling = analyse(BeamModel((0.0, L), (LineLoad(0.0, L, 2.0, 3.0, live_end_lb_in=0.0),)))
    assert falling.reactions_lb == (pytest.approx((100.0, 100.0)), pytest.approx((100.0, 50.0)))


def test_loads_past_a_bearing_go_into_it() -> None:
    model = BeamModel((0.0, L), (LineLoad(-9.0, 109.0, 0.0, 1.0),), (PointLoad(105.0, 1.0, 1.0),))
    assert analyse(model).strength_reactions_lb == pytest.approx((50.0, 50.0))
    assert analyse(
        BeamModel(model.supports_in, model.lines, high_in=L)
    ).strength_reactions_lb == pytest.approx((50, 50))


def demand_of(**fields: object) -> Demand:
    whole: dict[str, object] = {"supports_in": (0.0, L), "lines": (), **fields}
    return analyse(BeamModel(**whole))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"supports_in": (0.0,)}, "has 1 supports; at least 2"),
        ({"supports_in": (0.0, 50.0, 50.0)}, "Span 2 is 0 in long"),
        ({"supports_in": (0.0, -50.0)}, "Span 1 is -50 in long"),
        ({"supports_in": (0.0, nan)}, "Support 2 has nan"),
        ({"low_in": 5.0}, "overhang at the low end is -5 in"),
        ({"high_in": 95.0}, "overhang at the high end is -5 in"),
        ({"high_in": inf}, "End of the member 1 has inf"),
        ({"braces_in": (inf,)}, "Brace of the bottom flange 1 has inf"),
        ({"lines": (LineLoad(0.0, L, 1.0, 1.0), LineLoad(0.0, L, -1.0, 1.0))}, "Line load 2 has -1"),
        ({"lines": (LineLoad(0.0, L, 1.0, 1.0, live_end_lb_in=-2.0),)}, "Line load 1 has -2"),
        ({"lines": (LineLoad(0.0, L, 1.0, 1.0, dead_end_lb_in=nan),)}, "Line load 1 has nan"),
        ({"lines": (LineLoad(60.0, 50.0, 1.0, 1.0),)}, "from 60 to 50 in"),
        (
            {"lines": (LineLoad(0.0, 130.0, 1.0, 1.0),), "high_in": 120.0},
            "reaches 130 in; the member ends at 120",
        ),
        ({"points": (PointLoad(50.0, 1.0, -3.0),)}, "Point load 1 has -3"),
        ({"points": (PointLoad(50.0, inf, 0.0),)}, "Point load 1 has inf"),
        (
            {"points": (PointLoad(-30.0, 1.0, 0.0),), "low_in": -20.0},
            "reaches -30 in; the member starts at -20",
        ),
    ],
)
def test_what_no_member_can_be_is_refused(fields: dict[str, object], says: str) -> None:
    with pytest.raises(LoadRefused, match=says):
        demand_of(**fields)


def test_a_member_without_loads_asks_for_nothing() -> None:
    demand = demand_of(supports_in=(0.0, L, 2 * L))
    assert (demand.moment_lb_in, demand.shear_lb, demand.negative, demand.places) == (0.0, 0.0, (), ())
    assert demand.live_sags == (0.0, 0.0)
