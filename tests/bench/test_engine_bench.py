"""How long the engine's steps take, each against a plainer piece of work on the same input."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from functools import partial

import pytest

from framing.engine import design_floor, design_package, load_catalogue
from framing.engine.bundling.costs import Limits, Unit
from framing.engine.bundling.cut import cut
from framing.engine.bundling.plan import plan_bundles
from framing.engine.fitout import cutting, fit_out
from framing.engine.floor import FloorPlan
from framing.engine.layout import assign_marks, layout_floor
from framing.engine.members import BayLayout
from framing.engine.practice import Practice
from framing.engine.sizing import check_members, options
from tests.bench.floors import forget
from tests.engine.layout.builders import sample

pytestmark = pytest.mark.bench
Measure = Callable[..., float]
CATALOGUE, PRACTICE = load_catalogue(), Practice()
SAMPLES = ("house", "townhouse", "corridor")


def lay(plan: FloorPlan, profile: str) -> tuple[BayLayout, ...]:
    profiles = {bay.id: CATALOGUE.profile(profile) for bay in plan.bays}
    return assign_marks(plan, layout_floor(plan, profiles, PRACTICE), profiles, PRACTICE)


@pytest.mark.parametrize("name", SAMPLES)
def test_floor_against_its_bare_layout(name: str, measure: Measure) -> None:
    plan = sample(name)
    first = design_floor(plan, CATALOGUE, PRACTICE)
    run = partial(design_floor, plan, CATALOGUE, PRACTICE)
    bare = partial(lay, plan, first.bays[0].profile)
    words = f"{name}, {len(first.pieces)} pieces"
    measure(words, run, "bare layout", bare, before=forget)
    measure(f"{words}, same floor again", run, "bare layout", bare)
    assert run() == first


@pytest.mark.parametrize("name", SAMPLES)
def test_steps_against_the_bare_layout(name: str, measure: Measure) -> None:
    plan = sample(name)
    designed = design_floor(plan, CATALOGUE, PRACTICE)
    bays = designed.bays
    bare = partial(lay, plan, bays[0].profile)
    steps: dict[str, Callable[[], object]] = {
        "fit-out": partial(fit_out, plan, bays, CATALOGUE, PRACTICE),
        "checks": partial(check_members, plan, bays, CATALOGUE, PRACTICE),
        "options": lambda: [options(plan, bay, CATALOGUE, PRACTICE) for bay in bays],
    }
    for step, run in steps.items():
        measure(f"{name}, {step}", run, "bare layout", bare, before=forget)
    assert check_members(plan, bays, CATALOGUE, PRACTICE) == designed.checks


def test_package_against_its_floor(measure: Measure) -> None:
    plan = sample("corridor")
    run = partial(design_package, [plan], CATALOGUE, PRACTICE)
    floor = partial(design_floor, plan, CATALOGUE, PRACTICE)
    measure(f"corridor, package of {plan.repeat} storeys", run, "one storey designed", floor, before=forget)
    assert run().floors == (floor(),)


@pytest.mark.parametrize("count", [40, 200, 400, 1000])
def test_bundles_against_the_plain_cut(count: int, measure: Measure) -> None:
    limits = Limits(8, 13, 200_000, 768)
    units = mixed(count)
    run, plain = partial(plan_bundles, units, limits), partial(cut, units, limits)
    measure(f"bundles of {count} mixed pieces", run, "plain cut of the install order", plain)
    plans = [run(), run()]
    assert plans[0] == plans[1]
    assert sorted(unit for bundle in plans[0] for unit in bundle) == units


def mixed(count: int) -> list[Unit]:
    """Pieces of one profile, four after the other of one of ten lengths, 2.3 lb per foot."""
    lengths = [800 + 600 * (pow(3, i // 4, 101) % 10) for i in range(count)]
    return [Unit(place, length, length * 230 // 192) for place, length in enumerate(lengths)]


@pytest.mark.parametrize("name", SAMPLES)
def test_sticks_against_three_integer_programmes(name: str, measure: Measure) -> None:
    placed = design_floor(sample(name), CATALOGUE, PRACTICE).placed
    lengths = [thing.quantity for thing in placed if thing.item.value == "rim_board"]
    stocks = [feet * 192 for feet in PRACTICE.rim_sticks_ft]
    demand_of = Counter(lengths)
    sizes = sorted(demand_of, reverse=True)
    counts = tuple(demand_of[size] for size in sizes)
    patterns = cutting._patterns(sizes, counts, stocks, cutting.PATTERNS_MOST)
    assert patterns is not None
    three = partial(cutting._programmes, patterns, counts, stocks[-1])
    run = partial(cutting.cut_from, lengths, stocks)
    measure(
        f"{name}, sticks for {len(lengths)} boards", run, "three integer programmes", three, before=forget
    )
    assert sum(stick.stock_16 for stick in run().sticks) == sum(
        pattern.stock_16 * times for pattern, times in zip(patterns, three(), strict=True)
    )
