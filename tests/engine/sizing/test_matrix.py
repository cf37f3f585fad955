"""Arrays against one member at a time: the same checks, the same numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from framing.engine.catalogue import load_catalogue
from framing.engine.loads import LineLoad, PointLoad
from framing.engine.method import Method
from framing.engine.practice import Practice
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.demand import analyse
from framing.engine.sizing.figures import figures
from framing.engine.sizing.matrix import CHECKS, Row, loads_of, ratios, worst
from framing.engine.sizing.seats import Seat, Seats
from framing.engine.sizing.strengths import strength_of

PROFILES = load_catalogue().profiles
PLATE, WALL = Seat(3.5, fastened=False), Seat(3.5, fastened=True)


def single(span_in: float, plies: int = 1, method: Method = Method.ASD) -> Row:
    line = LineLoad(0.0, span_in, 1.1, 4.4)
    return Row(analyse(BeamModel((0.0, span_in), (line,)), method), plies, Seats((None, None)))


def pressed(at_in: float, method: Method = Method.ASD) -> Row:
    """A wall across, with holes near it."""
    model = BeamModel(
        (0.0, 200.0), (LineLoad(0.0, 200.0, 1.1, 4.4),), (PointLoad(at_in, 100.0, 300.0, "P1"),)
    )
    return Row(analyse(model, method), 1, Seats((None, None), (PLATE,)), (at_in - 22.0, at_in + 12.0))


def through(method: Method = Method.ASD) -> Row:
    line = LineLoad(0.0, 380.0, 1.1, 4.4)
    model = BeamModel((0.0, 180.0, 380.0), (line,), braces_in=(90.0, 280.0))
    return Row(analyse(model, method), 2, Seats((None, WALL, None)), (60.0, 196.0))


@pytest.mark.parametrize("method", Method)
def test_arrays_say_what_one_member_at_a_time_says(method: Method) -> None:
    practice = Practice(method=method)
    rows = [single(150.0, 1, method), single(222.0, 3, method), through(method)]
    rows += [pressed(at_in, method) for at_in in (5.0, 14.0, 80.0, 190.0)]
    strengths = [strength_of(profile, practice) for profile in PROFILES]
    found = ratios(loads_of(rows), strengths, practice)
    scales = np.array([[0.75, 1.0, 2.0]] * len(rows))
    top = worst(found, scales)
    for column, strength in enumerate(strengths):
        for place, scale in enumerate(scales[0]):
            plain = [
                max(
                    figure.ratio
                    for figure in figures(
                        row.demand,
                        strength,
                        row.plies,
                        practice,
                        row.seats,
                        scale=scale,
                        holes_in=row.holes_in,
                    )
                )
                for row in rows
            ]
            assert top.ratio[column, place] == pytest.approx(max(plain), rel=1e-9)
            assert plain[top.member[column, place]] == max(plain)


def test_each_check_stands_in_its_own_layer() -> None:
    practice = Practice()
    rows = [through(), pressed(80.0), through()]
    strengths = [strength_of(profile, practice) for profile in PROFILES]
    found = ratios(loads_of(rows), strengths, practice)
    assert found.loaded.shape == (len(CHECKS), 3, len(PROFILES))
    for member, row in enumerate(rows):
        for column, strength in enumerate(strengths):
            plain = {
                figure.name: figure.ratio
                for figure in figures(
                    row.demand, strength, row.plies, practice, row.seats, holes_in=row.holes_in
                )
            }
            for layer, name in enumerate(CHECKS):
                assert found.loaded[layer, member, column] == pytest.approx(plain.get(name, 0.0), rel=1e-9)


def test_a_web_too_slender_for_bare_bearings_is_no_matter_of_load() -> None:
    practice = Practice()
    thin = [strength_of(p, practice) for p in PROFILES if p.shape.web_flat_in / p.design_thickness_in > 200]
    top = worst(ratios(loads_of([through()]), thin, practice), np.array([[0.001]]))
    assert thin
    assert (top.check == -1).all()
    assert top.ratio[:, 0] == pytest.approx([s.web_slenderness / 200 for s in thin])


def test_bends_too_round_for_crippling_are_no_matter_of_load() -> None:
    practice = Practice()
    profile = load_catalogue().profile("1000S162-54")
    round_bends = replace(profile, inside_radius_in=0.20)  # R/t 3.5, over 3 where both flanges are pressed
    strength = strength_of(round_bends, practice)
    row = pressed(8.0)
    top = worst(ratios(loads_of([row]), [strength], practice), np.array([[1e-6]]))
    plain = max(figures(row.demand, strength, 1, practice, row.seats, scale=1e-6), key=lambda f: f.ratio)
    assert (plain.name, plain.clause) == ("Web crippling", "AISI S100 G5")
    assert top.ratio[0, 0] == pytest.approx(plain.ratio)


def test_even_load_on_single_spans_by_closed_form() -> None:
    spans = np.array([120.0, 181.0, 240.0])
    found = loads_of([single(span, method=Method.LRFD) for span in spans.tolist()])
    factored, live, all_ = 1.2 * 1.1 + 1.6 * 4.4, 4.4, 5.5
    assert found.moment_lb_in == pytest.approx(factored * spans**2 / 8, rel=1e-12)
    assert found.shear_lb == pytest.approx(factored * spans / 2, rel=1e-12)
    assert found.live_sag == pytest.approx(5 * live * spans**3 / 384, rel=1e-12)
    assert found.total_sag == pytest.approx(5 * all_ * spans**3 / 384, rel=1e-12)


def test_blocks_of_members_give_one_answer() -> None:
    practice = Practice()
    strengths = [strength_of(profile, practice) for profile in PROFILES[:3]]
    loads = loads_of([single(100.0)] * 2499 + [single(250.0)])
    top = worst(ratios(loads, strengths, practice), np.ones((2500, 1)))
    assert (top.member == 2499).all()
