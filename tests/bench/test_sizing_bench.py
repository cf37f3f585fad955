"""How long sizing takes: sections against finite elements, the option matrix against a plain loop."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from framing.engine import design_floor, load_catalogue
from framing.engine.layout import assign_marks, layout_floor
from framing.engine.loads import LineLoad
from framing.engine.practice import Practice
from framing.engine.section import effective as effective_section
from framing.engine.section import gross as gross_section
from framing.engine.section.effective import effective
from framing.engine.section.gross import gross
from framing.engine.section.shape import Shape, shape_of
from framing.engine.sizing import options
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.demand import analyse
from framing.engine.sizing.figures import figures
from framing.engine.sizing.matrix import Row, loads_of, ratios, worst
from framing.engine.sizing.seats import Seats
from framing.engine.sizing.strengths import strength_of
from tests.bench.floors import forget
from tests.engine.layout.builders import rectangle

pytestmark = pytest.mark.bench
Measure = Callable[..., float]
PRACTICE = Practice()
PROFILES = load_catalogue().profiles[:20]
STRENGTHS = [strength_of(profile, PRACTICE) for profile in PROFILES]
SPACINGS_IN = np.array([12.0, 16.0, 19.2, 24.0])


def test_section_against_finite_elements(measure: Measure) -> None:
    library = pytest.importorskip("sectionproperties.pre.library.steel_sections")
    analysis = pytest.importorskip("sectionproperties.analysis.section")
    made = shape_of("1000S162-54")
    sections = [replace(made, depth_in=6.0 + step / 16) for step in range(100)]

    def ours() -> tuple[float, ...]:
        full, bent = gross(made), effective(made, 50.0)
        return full.area_in2, full.ix_in4, full.iy_in4, full.j_in4, full.cw_in6, bent.modulus_in3

    def hundred() -> list[float]:
        return [gross(one).cw_in6 + effective(one, 50.0).inertia_in4 for one in sections]

    def judge() -> tuple[float, ...]:
        return finite_elements(library, analysis, made)

    what = "100 sections, gross and effective"
    ratio = measure(what, hundred, "one section by finite elements", judge, before=forget_sections)
    assert ours()[:3] == pytest.approx(judge()[:3], rel=2e-3)
    assert ratio <= 100 / 1000


def forget_sections() -> None:
    gross_section.gross.cache_clear()
    effective_section.effective.cache_clear()


def finite_elements(library: object, analysis: object, made: Shape) -> tuple[float, ...]:
    """Area, inertias, torsion and warping of the section, two triangles or more across its wall."""
    geometry = library.cee_section(  # type: ignore[attr-defined]
        d=made.depth_in,
        b=made.flange_in,
        l=made.lip_in,
        t=made.thickness_in,
        r_out=made.radius_in + made.thickness_in,
        n_r=8,
    )
    geometry.create_mesh(mesh_sizes=[made.thickness_in**2])
    section = analysis.Section(geometry)  # type: ignore[attr-defined]
    section.calculate_geometric_properties()
    section.calculate_warping_properties()
    ixx, iyy, _ = section.get_ic()
    return section.get_area(), ixx, iyy, section.get_j(), section.get_gamma()


def joists(count: int) -> list[Row]:
    """Single joists of a skewed floor: no two spans alike."""
    spans = np.linspace(96.0, 240.0, count)
    return [
        Row(analyse(BeamModel((0.0, span), (LineLoad(0.0, span, 1.1, 4.4),))), 1, Seats((None, None)))
        for span in spans.tolist()
    ]


def test_option_matrix_against_a_plain_loop(measure: Measure) -> None:
    rows = joists(60)
    scales = np.broadcast_to(SPACINGS_IN / 16.0, (60, 4))

    def arrays() -> np.ndarray:
        return worst(ratios(loads_of(rows), STRENGTHS, PRACTICE), scales).ratio

    def loop() -> list[list[float]]:
        return [
            [
                max(
                    figure.ratio
                    for row in rows
                    for figure in figures(row.demand, strength, 1, PRACTICE, row.seats, scale=scale)
                )
                for scale in (SPACINGS_IN / 16.0).tolist()
            ]
            for strength in STRENGTHS
        ]

    ratio = measure("60 joists x 20 profiles x 4 spacings", arrays, "plain loop over the same checks", loop)
    assert np.abs(arrays() / np.array(loop()) - 1).max() <= 1e-9
    assert ratio <= 1 / 40


def test_options_of_a_house_of_sixty_joists(measure: Measure) -> None:
    """From a laid-out bay to the sorted options, tracing of loads included."""
    plan = rectangle("80'", "16'")
    bay = design_floor(plan, load_catalogue(), PRACTICE).bays[0]
    catalogue = replace(load_catalogue(), profiles=PROFILES)
    run = partial(options, plan, bay, catalogue, PRACTICE)
    whole = partial(design_floor, plan, catalogue, PRACTICE)
    measure("59 joists, options in full", run, "the floor designed", whole, before=forget)
    assert len(run()) == 80


def test_three_thousand_joists_against_the_layout(measure: Measure) -> None:
    """Four lines of lapped joists, from a laid-out bay to its sorted options, tracing of loads included."""
    walls = [lapped_wall(number) for number in (1, 2, 3)]
    plan = rectangle("1000'", "64'", supports=walls)
    steel = {bay.id: PROFILES[5] for bay in plan.bays}
    lay = partial(layout_floor, plan, steel, PRACTICE)
    (bay,) = assign_marks(plan, lay(), steel, PRACTICE)
    catalogue = replace(load_catalogue(), profiles=PROFILES)
    run = partial(options, plan, bay, catalogue, PRACTICE)
    measure(f"{len(bay.members):,} joists, options in full", run, "bare layout", lay, before=forget)
    forget()
    tracemalloc.start()
    assert len(run()) == 80
    peak_mb = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    print(f"\n3,000 joists: peak of {peak_mb:.0f} MB")  # noqa: T201
    assert peak_mb <= 300


def lapped_wall(number: int) -> dict[str, object]:
    """One of the inner walls, 16 ft apart."""
    at = f"{16 * number}'"
    return {"id": f"W{number}", "kind": "wall", "from": ["0'", at], "to": ["1000'", at], "joint": "lap"}
