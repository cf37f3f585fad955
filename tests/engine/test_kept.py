"""What the pipeline keeps between runs: the same answers as without, and nothing worked out twice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from decimal import Decimal
from typing import Any

import pytest

from framing.engine import design_floor, design_package, load_catalogue, pipeline
from framing.engine.errors import FloorRefused
from framing.engine.floor import FloorPlan, StandingLoad
from framing.engine.geometry import Point
from framing.engine.kept import Kept
from framing.engine.practice import Practice
from framing.engine.result import FloorResult, PackageResult
from quotes.pricing import FreightRow, PriceRow, PriceTable, price_package
from tests.engine.layout.builders import rectangle, sample

CATALOGUE, PRACTICE = load_catalogue(), Practice()
SAMPLES = ("house", "townhouse", "corridor")
WORK = ("check_floor", "layout_floor", "check_members", "fit_out", "bill_of_materials")


@pytest.fixture(autouse=True)
def nothing_kept() -> None:
    forget()


def forget() -> None:
    pipeline._FLOORS.cache_clear()
    pipeline._PACKAGES.cache_clear()


def floor_of(plan: FloorPlan, practice: Practice = PRACTICE) -> FloorResult:
    return design_floor(plan, CATALOGUE, practice)


def package_of(*plans: FloorPlan, practice: Practice = PRACTICE) -> PackageResult:
    return design_package(plans, CATALOGUE, practice)


def as_without(answer: Callable[..., Any], *plans: FloorPlan, practice: Practice = PRACTICE) -> str:
    """What is answered where nothing is kept, to the letter."""
    forget()
    told = repr(answer(*plans, practice=practice))
    forget()
    return told


@pytest.fixture
def no_work(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """From the call on these steps of the pipeline may not be taken."""

    def refused(*steps: str) -> None:
        for step in steps:

            def refuse(*_: object, step: str = step, **__: object) -> None:
                pytest.fail(f"{step} was asked")

            monkeypatch.setattr(pipeline, step, refuse)

    return refused


def test_the_same_floor_again_is_not_worked_out_again(no_work: Callable[..., None]) -> None:
    wanted = as_without(floor_of, sample("house"))
    first = floor_of(sample("house"))
    no_work(*WORK)
    again = floor_of(sample("house"))
    assert repr(again) == repr(first) == wanted
    assert again.placed is first.placed


@pytest.mark.parametrize("name", SAMPLES)
def test_another_name_level_or_count_is_marked_anew_and_nothing_more(
    name: str, no_work: Callable[..., None]
) -> None:
    plans = [
        replace(sample(name), name=f"Floor {level}", level=level, repeat=repeat)
        for level, repeat in (("3", 1), ("", 2), ("B1", 1))
    ]
    wanted = [as_without(floor_of, plan) for plan in plans]
    floor_of(replace(sample(name), level="7"))
    no_work(*WORK)
    told = [floor_of(plan) for plan in plans]
    assert [repr(floor) for floor in told] == wanted
    for floor, plan in zip(told, plans, strict=True):
        assert floor.plan == plan
        assert {member.mark[: len(plan.level) + 1] for member in floor.members} >= {f"{plan.level}J"}


def test_joined_openings_of_another_level_are_told_as_without(no_work: Callable[..., None]) -> None:
    halves = [
        {
            "id": f"S{half}",
            "name": f"Stair {half}",
            "corner": [f"{6 + 2 * half}'", "6'"],
            "size": ["2'", "4'"],
        }
        for half in (1, 2)
    ]
    plans = [replace(rectangle("20'", "16'", openings=halves), level=level) for level in ("1", "2")]
    wanted = [as_without(floor_of, plan) for plan in plans]
    floor_of(plans[0])
    no_work(*WORK)
    told = [floor_of(plan) for plan in plans]
    assert [repr(floor) for floor in told] == wanted
    assert [len(floor.plan.openings) for floor in told] == [1, 1]


def test_equal_storeys_of_a_package_are_designed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    storeys = [replace(sample("house"), name=f"Level {n}", level=str(n)) for n in (1, 2, 3)]
    wanted = as_without(package_of, *storeys)
    asked = []
    fit_out = pipeline.fit_out
    monkeypatch.setattr(pipeline, "fit_out", lambda *a: asked.append(1) or fit_out(*a))
    assert repr(package_of(*storeys)) == wanted
    assert len(asked) == 1


def test_a_changed_price_asks_nothing_of_the_engine(no_work: Callable[..., None]) -> None:
    plans = [sample("house"), sample("townhouse")]
    before = priced(package_of(*plans), Decimal(100))
    no_work(*WORK, "bundle_package", "load_trucks")
    after = priced(package_of(*plans), Decimal(200))
    # Quantities have four decimals: 100 times each is 100 more to the cent. The truck is not dearer.
    goods = [line for line in before.lines if line.group != "freight"]
    assert after.goods - before.goods == 100 * sum(line.quantity for line in goods)
    assert [line.quantity for line in after.lines] == [line.quantity for line in before.lines]


def priced(package: PackageResult, price: Decimal) -> Any:
    units = {line.code: line.sold_by for floor in package.floors for line in floor.bill}
    units |= {"cutting": "piece", "punching": "hole"}
    table = PriceTable(
        name="Test",
        version=1,
        currency="USD",
        rows={
            code: PriceRow(code, code, unit, "material", price, Decimal(1)) for code, unit in units.items()
        },
        surcharge_per_lb=Decimal(0),
        tiers={},
        freight={"A": FreightRow(Decimal(500), Decimal(400))},
        taxes={("Town", kind): Decimal(0) for kind in ("material", "freight")},
    )
    return price_package(
        package, table, tier="", freight_zone="A", tax_place="Town", discount_share=Decimal(0)
    )


def test_values_that_floors_do_not_heed_bundle_and_load_anew(no_work: Callable[..., None]) -> None:
    plan = replace(sample("house"), repeat=3)
    changed = Practice(name="Ours", version=4, truck_payload_lb=9_000.0, bundle_least=6, lift_limit_lb=400.0)
    wanted = as_without(package_of, plan, practice=changed)
    first = package_of(plan)
    no_work(*WORK)
    second = package_of(plan, practice=changed)
    assert repr(second) == wanted
    assert (second.practice_name, second.practice_version) == ("Ours", 4)
    assert second.floors[0].placed is first.floors[0].placed
    assert len(second.loads) > len(first.loads)
    assert max(bundle.weight_lb for bundle in first.bundles) > 400 >= max(b.weight_lb for b in second.bundles)


def test_another_version_of_the_same_values_is_named(no_work: Callable[..., None]) -> None:
    renamed = Practice(name="Ours", version=4)
    wanted = as_without(package_of, sample("house"), practice=renamed)
    package_of(sample("house"))
    no_work(*WORK)
    assert repr(package_of(sample("house"), practice=renamed)) == wanted


def test_values_that_floors_heed_design_anew() -> None:
    plan, changed = sample("house"), Practice(rim_thickness_16=24)
    wanted = as_without(package_of, plan, practice=changed)
    first, second = package_of(plan), package_of(plan, practice=changed)
    assert repr(second) == wanted
    # The board is 3/8 in thicker; a joist of either line meets it with one end, a header with none.
    shorter = {
        a.length_16 - b.length_16
        for a, b in zip(first.floors[0].pieces, second.floors[0].pieces, strict=True)
    }
    assert shorter == {0, 6}


def test_another_point_load_designs_anew() -> None:
    bare = rectangle("20'", "16'", profile="1000S162-54")
    light = replace(bare, point_loads=(StandingLoad("Q1", "Post", Point(768, 1536), 0.0, 300.0),))
    heavy = replace(bare, point_loads=(replace(light.point_loads[0], live_lb=900.0),))
    aside = replace(bare, point_loads=(replace(light.point_loads[0], at=Point(1024, 1536)),))
    wanted = [as_without(floor_of, plan) for plan in (bare, light, heavy, aside)]
    assert len(set(wanted)) == 4
    assert [repr(floor_of(plan)) for plan in (bare, light, heavy, aside)] == wanted


def test_another_catalogue_designs_anew() -> None:
    plan = sample("house")
    first = floor_of(plan)
    fewer = tuple(p for p in CATALOGUE.profiles if p.designator != first.bays[0].profile)
    second = design_floor(plan, replace(CATALOGUE, profiles=fewer), PRACTICE)
    assert second.bays[0].profile != first.bays[0].profile


@pytest.mark.parametrize("name", SAMPLES)
def test_no_floor_heeds_the_values_that_bundles_and_loads_have_for_themselves(name: str) -> None:
    class Watched(Practice):
        """Refuses the values that floors are said not to heed."""

        def __getattribute__(self, asked: str) -> object:
            assert asked not in pipeline._BUNDLING, f"a floor heeds {asked}"
            return super().__getattribute__(asked)

        __hash__, __eq__ = object.__hash__, object.__eq__  # the written ones ask for every value

    plan = sample(name)
    assert pipeline._design(plan, CATALOGUE, Watched()) == pipeline._design(plan, CATALOGUE, PRACTICE)
    assert set(pipeline._BUNDLING) < {field.name for field in fields(Practice)}


def test_equal_numbers_that_read_apart_are_kept_apart() -> None:
    plan = sample("house")
    bays = [replace(plan.bays[0], load_case=replace(plan.load_case, live_psf=live)) for live in (40, 40.0)]
    whole, broken = (replace(plan, bays=(bay,)) for bay in bays)
    assert whole == broken
    wanted = [as_without(floor_of, plan) for plan in (whole, broken)]
    told = [repr(floor_of(plan)) for plan in (whole, broken)]
    assert told == wanted
    assert told[0] != told[1]  # the bay laid out tells its load as it was given


def test_a_refusal_is_not_kept() -> None:
    plan = rectangle(16, "12'")
    for _ in range(2):
        with pytest.raises(FloorRefused, match="too narrow"):
            floor_of(plan)


def test_the_longest_unused_answer_goes_when_there_is_no_more_room() -> None:
    kept: Kept[str] = Kept(10)
    made: list[str] = []

    def get(word: str) -> str:
        return kept.get(word, lambda: made.append(word) or word, len)

    for word in ("four", "five", "four", "six"):  # 4 + 4, then 3 more: five goes, four was used since
        assert get(word) == word
    assert made == ["four", "five", "six"]
    get("four")
    assert made == ["four", "five", "six"]
    get("five")
    assert made == ["four", "five", "six", "five"]
    # What is larger than the room is answered and not kept.
    for _ in range(2):
        assert get("eleven signs") == "eleven signs"
    assert made[-2:] == ["eleven signs", "eleven signs"]


def test_an_answer_that_another_thread_worked_out_meanwhile_counts_once() -> None:
    kept: Kept[str] = Kept(10)

    def slow() -> str:
        kept.get("key", lambda: "12345", len)
        return "12345"

    assert kept.get("key", slow, len) == "12345"
    made: list[str] = []
    kept.get("other", lambda: made.append("other") or "other", len)  # 5 and 5: both stay
    for key in ("key", "other"):
        kept.get(key, lambda: pytest.fail("not kept"), len)
