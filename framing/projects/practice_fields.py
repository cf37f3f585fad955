"""Every value of a practice set: its rule, plain words, unit and limits, in one table.

The page, the form, the API and the services all read this table. Limits keep a value inside what a shop or a code
can mean, so that a slip of the keyboard never reaches a floor; they are the project's own choice, except where a
note names a source. Lengths are sixteenths of an inch here and feet-inches-sixteenths for people (R50).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from framing.engine.practice import Practice
from framing.engine.units import SIXTEENTHS_PER_INCH, format_length

DEFAULTS: Final = Practice()


class Kind(StrEnum):
    """How a value is typed, stored and shown."""

    LENGTH = "length"  # whole sixteenths
    INCHES = "inches"  # inches as a float, typed as a length
    WHOLE = "whole"
    NUMBER = "number"
    LIMIT = "limit"  # n of L/n, 0 for none
    SWITCH = "switch"
    METHOD = "method"
    STICKS = "sticks"  # whole feet, several
    CAPS = "caps"  # (depth in 1/100 in, most) pairs


@dataclass(frozen=True, slots=True)
class PracticeField:
    """One value. `least` and `most` are in the stored unit and both allowed; lists hold them for each entry."""

    name: str
    rule: str
    words: str
    kind: Kind
    least: float = 0
    most: float = 0
    unit: str = ""
    note: str = ""

    @property
    def default(self) -> Any:
        """The rule's own default."""
        return getattr(DEFAULTS, self.name)

    @property
    def limits(self) -> str:
        """What may be typed, in words; empty for switches and lists to choose from."""
        if self.kind in (Kind.SWITCH, Kind.METHOD):
            return ""
        if self.kind is Kind.LIMIT:
            return f"L/{self.least:g} to L/{self.most:g}, or 0 for no limit"
        if self.kind is Kind.STICKS:
            return f"1 to {STICKS_MOST} lengths of {self.least:g} to {self.most:g} ft"
        if self.kind is Kind.CAPS:
            return f"{self.least:g} to {self.most:g} pieces for each depth"
        low, high = (show_number(self, value) for value in (self.least, self.most))
        return f"{low} to {high}{self.unit_words}"

    @property
    def unit_words(self) -> str:
        """The unit with a space before it, empty where the value shows its own."""
        return f" {self.unit}" if self.unit else ""


@dataclass(frozen=True, slots=True)
class PracticeGroup:
    """Values that are read together on the page and in the form."""

    title: str
    fields: tuple[PracticeField, ...]


STICKS_MOST: Final = 6
CAPS_MOST: Final = 12
DEPTH_LEAST, DEPTH_MOST = 200, 2400  # 1/100 in


def _length(
    name: str, rule: str, words: str, least_in: float, most_in: float, note: str = ""
) -> PracticeField:
    least, most = round(least_in * SIXTEENTHS_PER_INCH), round(most_in * SIXTEENTHS_PER_INCH)
    return PracticeField(name, rule, words, Kind.LENGTH, least, most, note=note)


def _switch(name: str, rule: str, words: str, note: str = "") -> PracticeField:
    return PracticeField(name, rule, words, Kind.SWITCH, note=note)


_F, _WHOLE, _NUMBER = PracticeField, Kind.WHOLE, Kind.NUMBER

GROUPS: Final = (
    PracticeGroup(
        "Walls and rim",
        (
            _length("outside_bearing_16", "R2", "Width of an outside wall", 2.5, 24),
            _length("inside_bearing_16", "R2", "Width of an inside bearing", 1.5, 24),
            _length("near_rim_16", "R3", "Nearest joist line to a parallel rim", 0, 12),
            _length("rim_thickness_16", "R4", "Thickness of the rim board", 0.5, 4),
            _length("end_clearance_16", "R4", "Clearance at a joist's end", 0, 1),
        ),
    ),
    PracticeGroup(
        "Joists and openings",
        (
            _length("lap_past_centre_16", "R5", "Lap past the center of a bearing", 1.5, 24),
            _length("butt_gap_16", "R5", "Gap from the center where joists butt", 0, 1),
            _length("longest_piece_16", "R5", "Longest piece that line and truck take", 120, 720),
            _length("site_tolerance_16", "R6", "Tolerance of clips on site", 0, 3),
            _length("opening_stand_off_16", "R7", "Framing stands back from an opening", 0.5, 4),
            _F("plies_default", "R7", "Plies of trimmers and headers, at first", _WHOLE, 1, 3, "plies"),
            _F("plies_most", "R7", "Plies at most", _WHOLE, 1, 3, "plies"),
            _length("hole_pitch_16", "R10", "Pitch of service holes", 12, 96),
            _length(
                "hole_clear_16",
                "R10",
                "Hole's edge clear of bearings",
                10,
                48,
                "10 in at least by IRC R505.2.6.1.",
            ),
            _switch(
                "slender_web_holes",
                "R10",
                "Holes in webs over h/t 200",
                "IRC allows them; S100 has no number.",
            ),
        ),
    ),
    PracticeGroup(
        "Strength",
        (
            _F("method", "R15", "Method of design", Kind.METHOD),
            _F(
                "sheathing_turn_kip",
                "R15",
                "Sheathing's hold on the turning flange",
                _NUMBER,
                0,
                5,
                "kip-in per rad and in",
                "0 counts on none.",
            ),
            _F("load_plate_in", "R15", "Length a wall across stands on", Kind.INCHES, 1.5, 12),
            _F(
                "spread_wall_plf",
                "R15",
                "Wall that still spreads through sheathing",
                _NUMBER,
                0,
                500,
                "lb per ft",
            ),
        ),
    ),
    PracticeGroup(
        "Deflection and vibration",
        (
            _F("live_deflection", "R16", "Deflection under live load", Kind.LIMIT, 120, 1000),
            _F("total_deflection", "R16", "Deflection under total load", Kind.LIMIT, 120, 1000),
            _switch("vibration_point_load", "R16", "Ask for stiffness under 1 kN at midspan"),
            _switch("vibration_walking", "R16", "Ask for comfort under walking", "AISC Design Guide 11."),
            _switch("vibration_unit_impulse", "R16", "Ask for response to an impulse", "EN 1995-1-1 7.3.3."),
            _F("point_load_share", "R16", "Share of a point load on the joist under it", _NUMBER, 0.05, 1),
            _F("walking_live_psf", "R16", "People and furniture there at any time", _NUMBER, 0, 40, "psf"),
            _F("walking_damping", "R16", "Damping under walking", _NUMBER, 0.005, 0.2, "of critical"),
            _F(
                "walking_acceleration_percent", "R16", "Acceleration at most", _NUMBER, 0.1, 5, "% of gravity"
            ),
            _F("impulse_damping", "R16", "Damping after an impulse", _NUMBER, 0.005, 0.2, "of critical"),
            _F("impulse_a_mm_per_kn", "R16", "Deflection limit a", _NUMBER, 0.5, 2, "mm per kN"),
            _F(
                "sheathing_stiffness_lb_in2_per_ft",
                "R16",
                "Sheathing's stiffness across the joists",
                _NUMBER,
                10_000,
                5_000_000,
                "lb-in² per ft",
            ),
        ),
    ),
    PracticeGroup(
        "Built-up members and bearings",
        (
            _F("bearing_nails", "R21", "Bearing nails for each ply", _WHOLE, 1, 6, "nails"),
            _length("ply_clip_end_16", "R22", "First ply clip from the end", 6, 12),
            _length("ply_clip_most_16", "R22", "Ply clips apart at most", 12, 48),
            _length("ply_clip_avoid_16", "R22", "Ply clip clear of a carried member", 0, 6),
            _F("ply_clip_screws", "R22", "Screws of a ply clip", _WHOLE, 2, 12, "screws"),
        ),
    ),
    PracticeGroup(
        "Bridging, blocks and strap",
        (
            _length("bridging_most_16", "R24, R25", "Bridging lines and blocks apart at most", 48, 120),
            _length("block_least_16", "R25, R26", "Narrowest space that takes a block", 1, 12),
            _F("block_screws_per_end", "R25", "Screws at each end of a block", _WHOLE, 1, 8, "screws"),
            _length("ladder_most_16", "R26", "Ladder blocks apart at most", 12, 96),
            _F("ladder_nails", "R26", "Nails of a ladder block", _WHOLE, 2, 12, "nails"),
            _length("strap_turn_up_16", "R27", "Strap turned up the rim", 0, 24),
            _F("strap_end_nails", "R27", "Nails at a strap's end", _WHOLE, 1, 8, "nails"),
        ),
    ),
    PracticeGroup(
        "Boards, panels and fasteners",
        (
            _F("rim_sticks_ft", "R28", "Lengths rim board is bought in", Kind.STICKS, 8, 40, "ft"),
            _length("rim_rest_least_16", "R28", "Shortest rest of a rim", 0, 96),
            _length("backing_gap_16", "R29", "Web backing shorter than the web by", 0, 1),
            _length("panel_short_16", "R30", "Panel's short side", 24, 96),
            _length("panel_long_16", "R30", "Panel's long side", 48, 192),
            _length("edge_nail_16", "R30", "Nails apart at panel edges", 2, 12),
            _length("field_nail_16", "R30", "Nails apart at other joists", 2, 24),
            _length("tube_bead_16", "R30", "Bead that a tube of adhesive gives", 60, 6000),
            _F("fastener_allowance_percent", "R31", "Allowance on fasteners", _WHOLE, 0, 50, "%"),
        ),
    ),
    PracticeGroup(
        "Bundles and trucks",
        (
            _length("bundle_from_16", "R32", "Shortest piece that is bundled", 12, 240),
            _F("bundle_least", "R32", "Pieces of a bundle at least", _WHOLE, 1, 20, "pieces"),
            _F("bundle_most_by_depth", "R32", "Pieces of a bundle at most, by depth", Kind.CAPS, 1, 40),
            _F("lift_limit_lb", "R33", "Lift limit", _NUMBER, 200, 20_000, "lb"),
            _length("bundle_spread_16", "R33", "Lengths of one bundle apart at most", 0, 240),
            _F("truck_payload_lb", "R47", "Payload of a truck", _NUMBER, 1_000, 100_000, "lb"),
            _F("truck_deck_ft", "R47", "Deck of a truck", _WHOLE, 8, 60, "ft"),
        ),
    ),
    PracticeGroup(
        "Orders",
        (
            _F(
                "deposit_percent",
                "R44",
                "Deposit before release",
                _WHOLE,
                0,
                100,
                "% of the accepted total",
                "0 asks for none.",
            ),
        ),
    ),
    PracticeGroup(
        "Warnings",
        (
            _F("unusual_span_over_depth", "R51", "Unusual from this span over depth", _NUMBER, 10, 40),
            _F("unusual_live_psf", "R51", "Unusual below this live load", _NUMBER, 0, 100, "psf"),
        ),
    ),
)
FIELDS: Final = {field.name: field for group in GROUPS for field in group.fields}


def show_number(field: PracticeField, value: float) -> str:
    """One number of a field as it is typed: a length in feet-inches-sixteenths, else plain digits."""
    if field.kind is Kind.LENGTH:
        return format_length(int(value), "imperial")
    if field.kind is Kind.INCHES:
        return inches_text(value)
    return f"{value:,.10g}" if abs(value) >= 1000 else f"{value:.10g}"


def inches_text(value_in: float) -> str:
    """Inches as a length where they are whole sixteenths, else as a decimal that reads back the same."""
    exact = value_in * SIXTEENTHS_PER_INCH
    return format_length(int(exact), "imperial") if exact == int(exact) else f'{value_in:.10g}"'


def typed_text(field: PracticeField, value: Any) -> str:
    """A value as the form's field holds it; reading it back gives the same value."""
    if field.kind is Kind.STICKS:
        return ", ".join(str(stick) for stick in value)
    if field.kind is Kind.CAPS:
        return ", ".join(f"{depth / 100:g} in {most}" for depth, most in value)
    if field.kind in (Kind.SWITCH, Kind.METHOD):
        return str(getattr(value, "value", value))
    return f"L/{value}" if field.kind is Kind.LIMIT and value else show_number(field, value).replace(",", "")


def show(field: PracticeField, value: Any) -> str:
    """A value for people, with its unit."""
    if field.kind is Kind.SWITCH:
        return "yes" if value else "no"
    if field.kind is Kind.LIMIT and not value:
        return "no limit"
    if field.kind in (Kind.WHOLE, Kind.NUMBER):
        return f"{show_number(field, value)}{field.unit_words}"
    return f"{typed_text(field, value)}{field.unit_words}"
