"""The company's values for the trade's rules: one frozen practice set, named and versioned.

Every field's default is the rule's default; a company replaces them per practice set and a quote records which it used.
"""

from __future__ import annotations

from dataclasses import dataclass

from framing.engine.method import Method


@dataclass(frozen=True, slots=True)
class Practice:
    """Values of the rules. Lengths in sixteenths (`_16`), else the unit is in the name."""

    name: str = "Standard"
    version: int = 1
    # R2
    outside_bearing_16: int = 88
    inside_bearing_16: int = 56
    # R3, R4, R5, R7
    near_rim_16: int = 48
    rim_thickness_16: int = 18
    end_clearance_16: int = 6
    lap_past_centre_16: int = 96
    butt_gap_16: int = 3
    longest_piece_16: int = 40 * 12 * 16
    opening_stand_off_16: int = 18
    site_tolerance_16: int = 16
    plies_default: int = 2
    plies_most: int = 3
    # R10
    hole_pitch_16: int = 384
    hole_clear_16: int = 160
    slender_web_holes: bool = (
        True  # in webs over h/t 200: IRC R505.2.6.1 lets them, AISI S100 G3 has no number
    )
    # R15
    method: Method = Method.ASD
    sheathing_turn_kip: float = (
        0.0  # rotational stiffness on the flange, kip-in per rad and in; 0 counts on none
    )
    load_plate_in: float = 3.5  # length on which a wall across the joists stands on each
    spread_wall_plf: float = (
        100.0  # a wall that bears nothing and weighs no more spreads through the sheathing
    )
    # R16
    live_deflection: int = 480
    total_deflection: int = 240
    vibration_point_load: bool = False  # 1 kN at midspan
    vibration_walking: bool = False  # AISC Design Guide 11
    vibration_unit_impulse: bool = False  # EN 1995-1-1 7.3.3
    point_load_share: float = 0.5  # part of a point load that the joist under it takes; common practice
    walking_live_psf: float = 6.0  # people and furniture there at any time; AISC DG11, dwellings, from memory
    walking_damping: float = 0.03
    walking_acceleration_percent: float = 0.5
    impulse_damping: float = 0.01
    impulse_a_mm_per_kn: float = 1.0
    sheathing_stiffness_lb_in2_per_ft: float = 300_000.0  # EI across the joists, 23/32 in panel, from memory
    # R22
    ply_clip_end_16: int = 144
    ply_clip_most_16: int = 384
    ply_clip_avoid_16: int = 48
    ply_clip_screws: int = 4
    # R21, R24-R27
    bearing_nails: int = 2
    bridging_most_16: int = 1536
    block_least_16: int = 64
    block_screws_per_end: int = 2
    ladder_most_16: int = 768
    ladder_nails: int = 4
    strap_turn_up_16: int = 96
    strap_end_nails: int = 2
    # R28
    rim_sticks_ft: tuple[int, ...] = (12, 16, 20)
    rim_rest_least_16: int = 512
    # R29
    backing_gap_16: int = 2
    # R30
    panel_short_16: int = 768
    panel_long_16: int = 1536
    edge_nail_16: int = 96
    field_nail_16: int = 192
    tube_bead_16: int = 40 * 12 * 16
    # R31
    fastener_allowance_percent: int = 5
    # R32-R35
    bundle_least: int = 8
    bundle_most_by_depth: tuple[tuple[int, int], ...] = ((800, 15), (1000, 13), (1200, 11), (1400, 9))
    bundle_from_16: int = 4 * 12 * 16
    lift_limit_lb: float = 2000.0
    bundle_spread_16: int = 4 * 12 * 16
    # R44
    deposit_percent: int = 0  # of the accepted total, before release; 0 asks for none
    # R47
    truck_payload_lb: float = 48000.0
    truck_deck_ft: int = 48
    # R51
    unusual_span_over_depth: float = 24.0
    unusual_live_psf: float = 30.0
