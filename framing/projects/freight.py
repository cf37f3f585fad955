"""Which freight zone a site lies in (R38): named, by distance from the yard, or by postal code or state. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

BY_PLACE: Final = "by place"
KM_PER_MI: Final = Decimal("1.609344")
_DISTANCE: Final = re.compile(r"(\d{1,5}(?:\.\d{1,2})?)\s*(mi|miles|km)", re.IGNORECASE | re.ASCII)


@dataclass(frozen=True, slots=True)
class FreightZone:
    """A zone of the price book: its regions, beginnings of postal codes, or band of miles (from, not with, to)."""

    name: str
    regions: tuple[str, ...] = ()
    postal: tuple[str, ...] = ()
    from_mi: Decimal | None = None
    to_mi: Decimal | None = None

    @property
    def has_band(self) -> bool:
        return self.from_mi is not None and self.to_mi is not None

    @property
    def has_places(self) -> bool:
        return bool(self.regions or self.postal)


def plain_postal(text: str) -> str:
    """A postal code without spaces and hyphens, in capitals."""
    return re.sub(r"[\s-]", "", text).upper()


def distance_mi(text: str) -> Decimal | None:
    """Miles typed as “85 mi” or “137 km”; None for anything else."""
    read = _DISTANCE.fullmatch(text.strip())
    if read is None:
        return None
    number = Decimal(read[1])
    return number / KM_PER_MI if read[2].lower() == "km" else number


def zone_of(asked: str, region: str, postal_code: str, zones: Iterable[FreightZone]) -> str | None:
    """The zone's name for what a site says: a zone's name, a distance, or BY_PLACE; None where none fits.

    The longest beginning of the postal code wins over shorter ones, and every one over the region.
    """
    known = tuple(zones)
    if any(zone.name == asked for zone in known):
        return asked
    miles = distance_mi(asked)
    if miles is not None:
        return next((z.name for z in known if _reaches(z, miles)), None)
    return _by_place(region, postal_code, known) if asked.strip().lower() == BY_PLACE else None


def _reaches(zone: FreightZone, miles: Decimal) -> bool:
    return zone.from_mi is not None and zone.to_mi is not None and zone.from_mi <= miles < zone.to_mi


def _by_place(region: str, postal_code: str, zones: tuple[FreightZone, ...]) -> str | None:
    code, place = plain_postal(postal_code), region.strip().casefold()
    fits = [
        (len(start), zone.name)
        for zone in zones
        for start in map(plain_postal, zone.postal)
        if code.startswith(start)
    ]
    if fits:
        return max(fits)[1]
    return next((z.name for z in zones if place in {name.casefold() for name in z.regions}), None)
