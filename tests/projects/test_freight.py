"""Which zone a site lies in: named, by distance, by postal code or state."""

from __future__ import annotations

from decimal import Decimal

import pytest

from framing.projects.freight import FreightZone, distance_mi, zone_of

ZONES = (
    FreightZone("near", from_mi=Decimal(0), to_mi=Decimal(60)),
    FreightZone("middle", from_mi=Decimal(60), to_mi=Decimal(150)),
    FreightZone("lakes", regions=("OH", "Fallow"), postal=("440",)),
    FreightZone("shore", postal=("44", "4401 2")),
    FreightZone("named"),
)


@pytest.mark.parametrize(
    ("asked", "zone"),
    [
        ("named", "named"),
        ("near", "near"),
        ("0 mi", "near"),
        ("59.99 mi", "near"),
        ("60 mi", "middle"),
        # 96.56 km / 1.609344 = 59.9996 mi; 96.57 km = 60.0058 mi
        ("96.56 km", "near"),
        ("96.57KM", "middle"),
        ("150 mi", None),
        ("60", None),
        ("moon", None),
        ("", None),
    ],
)
def test_a_name_or_a_distance(asked: str, zone: str | None) -> None:
    assert zone_of(asked, "OH", "44000", ZONES) == zone


@pytest.mark.parametrize(
    ("region", "postal", "zone"),
    [
        ("OH", "44000", "lakes"),  # 440 is longer than 44
        ("OH", "44-012", "shore"),  # 44012 longer still
        ("OH", "44999", "shore"),
        ("oh", "99999", "lakes"),  # no code begins so: the state
        (" Fallow ", "", "lakes"),
        ("PA", "16000", None),
    ],
)
def test_by_place_the_longest_beginning_of_the_code_wins_then_the_state(
    region: str, postal: str, zone: str | None
) -> None:
    assert zone_of("by place", region, postal, ZONES) == zone


@pytest.mark.parametrize("text", ["-5 mi", "5", "1e3 mi", "5 miles away", "٥ mi", "123456 mi"])  # noqa: RUF001
def test_what_is_no_distance(text: str) -> None:
    assert distance_mi(text) is None
