"""A made-up floor written as a floor document, every length to the last digit."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from framing.engine.floor import Bay, FloorPlan, Opening, Partition, StandingLoad, Support, SupportKind
from framing.engine.geometry import Point


def document(plan: FloorPlan, units: str) -> dict[str, Any]:
    """A floor as a document in those units, every length written to the last digit."""
    write = _Writer(Fraction(1, 16) if units == "imperial" else Fraction(254, 160))
    case = plan.load_case
    return {
        "format": "spanyard.floor",
        "version": 1,
        "name": plan.name,
        "units": units,
        "outline": [write.pair(p) for p in plan.outline],
        "edges": [
            {"edge": e.index, "kind": e.kind.value, "width": write.length(e.width_16)} for e in plan.edges
        ],
        "supports": [write.support(s) for s in plan.supports],
        "openings": [write.opening(o) for o in plan.openings],
        "partitions": [write.partition(p) for p in plan.partitions],
        "point_loads": [write.point_load(load) for load in plan.point_loads],
        "bays": [write.bay(b) for b in plan.bays],
        "load_case": {
            "occupancy": case.occupancy,
            "live_psf": case.live_psf,
            "layers": [{"name": layer.name, "psf": layer.load_psf} for layer in case.layers],
        },
    }


@dataclass(frozen=True)
class _Writer:
    """Writes in one unit, `per_16` of which are a sixteenth of an inch."""

    per_16: Fraction

    def length(self, value: int | Fraction) -> str:
        exact = value * self.per_16
        return format(Decimal(exact.numerator) / Decimal(exact.denominator), "f")

    def pair(self, point: Point) -> list[str]:
        return [self.length(point.x_16), self.length(point.y_16)]

    def support(self, support: Support) -> dict[str, Any]:
        flush = support.kind is SupportKind.FLUSH_BEAM
        return {
            "id": support.id,
            "kind": support.kind.value,
            "from": self.pair(support.start),
            "to": self.pair(support.end),
            "joint": support.joint.value,
            "width": None if flush else self.length(support.width_16),
        }

    def opening(self, opening: Opening) -> dict[str, Any]:
        return {
            "id": opening.id,
            "name": opening.name,
            "kind": opening.kind.value,
            "corner": self.pair(opening.rect.low),
            "size": [self.length(opening.rect.width_16), self.length(opening.rect.height_16)],
        }

    def partition(self, partition: Partition) -> dict[str, Any]:
        return {
            "id": partition.id,
            "from": self.pair(partition.start),
            "to": self.pair(partition.end),
            "bearing": partition.bearing,
            "load_plf": partition.load_plf,
        }

    def point_load(self, load: StandingLoad) -> dict[str, Any]:
        at, weights = self.pair(load.at), {"dead_lb": load.dead_lb, "live_lb": load.live_lb}
        return {"id": load.id, "name": load.name, "at": at, **weights}

    def bay(self, bay: Bay) -> dict[str, Any]:
        return {
            "id": bay.id,
            "direction": bay.axis,
            "start": bay.start,
            "spacing": self.length(bay.spacing_16),
            "offset": self.length(bay.offset_16),
            "profile": bay.profile,
            "plies": bay.plies,
            "outline": [self.pair(p) for p in bay.ring] or None,
        }
