"""Profiles and span cases of the published tests."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

from framing.engine.catalogue import ITEM_TABLE, SCREW_TABLE, JoistProfile, build_catalogue
from framing.engine.loads import LineLoad
from framing.engine.practice import Practice
from framing.engine.result import Check
from framing.engine.sizing import check_profile
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.demand import analyse
from framing.engine.tables import data_text

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    """Rows of one of the published tables beside this file."""
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def published_profile(designator: str, yield_ksi: str) -> JoistProfile:
    """A row of the section table, read with the catalogue's own loader."""
    text = (HERE / f"sections_{yield_ksi}ksi.csv").read_text(encoding="utf-8")
    return build_catalogue(text, data_text(ITEM_TABLE), data_text(SCREW_TABLE)).profile(designator)


@dataclass(frozen=True, slots=True)
class SpanCase:
    """Equal spans of one joist under uniform load."""

    profile: JoistProfile
    spans: int
    spacing_in: float
    dead_psf: float
    live_psf: float
    live_limit: int

    def checks(self, span_in: float) -> tuple[Check, ...]:
        strip = self.spacing_in / 144
        supports = tuple(span_in * i for i in range(self.spans + 1))
        line = LineLoad(0.0, supports[-1], self.dead_psf * strip, self.live_psf * strip)
        practice = Practice(live_deflection=self.live_limit)
        return check_profile(analyse(BeamModel(supports, (line,))), self.profile, 1, practice)

    def longest_span_in(self, only: str = "") -> float:
        """Longest span on which all checks hold, or the checks whose name is `only`."""
        low, high = 12.0, 900.0
        while high - low > 0.005:
            middle = (low + high) / 2
            held = [check for check in self.checks(middle) if only in ("", check.name)]
            low, high = (middle, high) if all(check.passes for check in held) else (low, middle)
        return low
