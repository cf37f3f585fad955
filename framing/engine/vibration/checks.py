"""The three vibration methods as checks of one joist of a floor (R16, R17)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite

from framing.engine.errors import LoadRefused
from framing.engine.practice import Practice
from framing.engine.result import Check
from framing.engine.vibration import impulse, point_load, walking
from framing.engine.vibration.point_load import M_PER_IN, N_PER_LB, NM2_PER_LB_IN2

_KG_M2_PER_PSF = 4.88242763638305
_NM_PER_LB_IN = N_PER_LB * M_PER_IN  # of E x I per width: lb-in2 per inch to N m2 per metre
_MM_PER_M = 1000.0
_IN_PER_FT = 12.0

Inputs = tuple[tuple[str, str], ...]


def vibration_checks(
    span_in: float,
    spacing_in: float,
    stiffness_lb_in2: float,
    dead_psf: float,
    floor_width_in: float,
    practice: Practice,
) -> tuple[Check, ...]:
    """All three methods, always; `required` only where the practice set has the method on.

    Args:
        span_in: clear span of the joist, taken as simply supported.
        spacing_in: joist spacing.
        stiffness_lb_in2: E x I of one joist place (all its plies).
        dead_psf: permanent load, over 0.
        floor_width_in: width of the floor across the joists.
        practice: switches, limits, damping, and the stiffness of the sheathing across the joists.

    A floor outside what a method holds for (8 Hz, stiffer across than along) has a failing check that says so
    in place of the method's numbers. Raises LoadRefused for a value that is not a number over 0,
    OutsideSourceLimits for a practice set whose limit a is off figure 7.2.
    """
    floor = _Floor(
        _over_zero("span", span_in),
        _over_zero("spacing", spacing_in),
        _over_zero("joist stiffness", stiffness_lb_in2),
        _over_zero("dead load", dead_psf),
        _over_zero("floor width", floor_width_in),
        practice,
    )
    return (_point_load(floor), _walking(floor), *_impulse(floor))


@dataclass(frozen=True, slots=True)
class _Floor:
    """The floor as the methods see it; SI where the name says so."""

    span_in: float
    spacing_in: float
    stiffness_lb_in2: float
    dead_psf: float
    width_in: float
    practice: Practice

    @property
    def span_m(self) -> float:
        return self.span_in * M_PER_IN

    @property
    def width_m(self) -> float:
        return self.width_in * M_PER_IN

    @property
    def along_lb_in(self) -> float:
        return self.stiffness_lb_in2 / self.spacing_in

    @property
    def across_lb_in(self) -> float:
        across = self.practice.sheathing_stiffness_lb_in2_per_ft / _IN_PER_FT
        return _over_zero("stiffness of the sheathing", across)

    @property
    def mass_kg_m2(self) -> float:
        return self.dead_psf * _KG_M2_PER_PSF

    def inputs(self, *more: tuple[str, str]) -> Inputs:
        return (
            ("Span", f"{self.span_in:.2f} in"),
            ("Spacing", f"{self.spacing_in:g} in"),
            ("Stiffness E I of the joist", f"{self.stiffness_lb_in2 / 1000:,.0f} kip-in2"),
            *more,
        )

    def inputs_across(self, *more: tuple[str, str]) -> Inputs:
        return self.inputs(
            ("Stiffness E I across, per ft", f"{self.across_lb_in * _IN_PER_FT / 1000:,.0f} kip-in2"),
            ("Dead load", f"{self.dead_psf:g} psf"),
            ("Floor width", f"{self.width_in:.1f} in"),
            *more,
        )


def _over_zero(thing: str, value: float) -> float:
    if not (isfinite(value) and value > 0):
        raise LoadRefused(f"Vibration: the {thing} is {value:g}; it must be a number over 0.")
    return value


def _point_load(floor: _Floor) -> Check:
    share = _over_zero("share of a point load", floor.practice.point_load_share)
    stiffness_nm2 = floor.stiffness_lb_in2 * NM2_PER_LB_IN2
    return Check(
        "Vibration, 1 kN at midspan",
        point_load.point_load_deflection_mm(floor.span_m, stiffness_nm2, share),
        point_load.point_load_limit_mm(floor.span_m),
        "mm",
        point_load.CLAUSE,
        floor.inputs(("Share of the joist", f"{share:g}")),
        floor.practice.vibration_point_load,
    )


def _walking(floor: _Floor) -> Check:
    """Acceleration up to 9 Hz, stiffness above (AISC Design Guide 11)."""
    weight_psf = _over_zero("weight that moves", floor.dead_psf + floor.practice.walking_live_psf)
    line_lb_in = weight_psf * floor.spacing_in / _IN_PER_FT**2
    sag_in = walking.uniform_sag_in(line_lb_in, floor.span_in, floor.stiffness_lb_in2)
    frequency_hz = walking.panel_frequency_hz(sag_in)
    shown = (("Weight that moves", f"{weight_psf:g} psf"), ("Frequency", f"{frequency_hz:.2f} Hz"))
    if frequency_hz > walking.WALKING_MOST_HZ:
        return _stiff(floor, shown)
    return _accelerated(floor, weight_psf, frequency_hz, shown)


def _stiff(floor: _Floor, shown: Inputs) -> Check:
    share = _over_zero("share of a point load", floor.practice.point_load_share)
    return Check(
        "Vibration, walking: stiffness over 9 Hz",
        walking.LEAST_STIFFNESS_KIP_IN,
        walking.midspan_stiffness_kip_in(floor.span_in, floor.stiffness_lb_in2, share),
        "kip/in",
        walking.CLAUSE_STIFFNESS,
        floor.inputs(*shown, ("Share of the joist", f"{share:g}")),
        floor.practice.vibration_walking,
    )


def _accelerated(floor: _Floor, weight_psf: float, frequency_hz: float, shown: Inputs) -> Check:
    width_in = walking.effective_width_in(
        floor.span_in, floor.across_lb_in, floor.along_lb_in, floor.width_in
    )
    moving_lb = weight_psf / _IN_PER_FT**2 * width_in * floor.span_in
    damping = _over_zero("damping", floor.practice.walking_damping)
    more = (
        ("Effective width", f"{width_in:.1f} in"),
        ("Effective weight", f"{moving_lb:.0f} lb"),
        ("Damping", f"{damping:g}"),
    )
    return Check(
        "Vibration, walking: acceleration",
        walking.peak_acceleration_percent(frequency_hz, damping, moving_lb),
        _over_zero("acceleration limit", floor.practice.walking_acceleration_percent),
        "% g",
        walking.CLAUSE_WALKING,
        floor.inputs_across(*shown, *more),
        floor.practice.vibration_walking,
    )


def _impulse(floor: _Floor) -> Iterator[Check]:
    """Frequency, then flexibility and impulse where the clause holds (EN 1995-1-1 7.3.3)."""
    along_nm, across_nm = floor.along_lb_in * _NM_PER_LB_IN, floor.across_lb_in * _NM_PER_LB_IN
    frequency_hz = impulse.first_frequency_hz(floor.span_m, along_nm, floor.mass_kg_m2)
    shown = floor.inputs_across(("First frequency", f"{frequency_hz:.2f} Hz"))
    required = floor.practice.vibration_unit_impulse
    least_hz = impulse.LEAST_FREQUENCY_HZ
    special = (("At 8 Hz or less", "the clause asks for a special investigation"),)
    yield Check(
        "Vibration, first frequency", least_hz, frequency_hz, "Hz", impulse.CLAUSE, shown + special, required
    )
    if frequency_hz <= least_hz:
        return
    yield _flexibility(floor, across_nm, shown)
    if across_nm > along_nm:
        yield Check(
            "Vibration, impulse: stiffness across under stiffness along",
            across_nm,
            along_nm,
            "N m2/m",
            impulse.CLAUSE_MODES,
            shown,
            required,
        )
    elif frequency_hz < impulse.MODES_UP_TO_HZ:  # a stiffer floor has no mode that the clause counts
        yield _velocity(floor, frequency_hz, (along_nm, across_nm), shown)


def _flexibility(floor: _Floor, across_nm: float, shown: Inputs) -> Check:
    mm2_per_m2 = _MM_PER_M**2
    share = impulse.load_share(across_nm * mm2_per_m2, floor.spacing_in * M_PER_IN * _MM_PER_M)
    joist_nmm2 = floor.stiffness_lb_in2 * NM2_PER_LB_IN2 * mm2_per_m2
    return Check(
        "Vibration, deflection under 1 kN",
        impulse.point_load_sag_mm(floor.span_m * _MM_PER_M, joist_nmm2, share),
        _over_zero("limit a", floor.practice.impulse_a_mm_per_kn),
        "mm",
        f"{impulse.CLAUSE}; deflection by the UK annex",
        (*shown, ("Share of the joist (kdist)", f"{share:.3f}")),
        floor.practice.vibration_unit_impulse,
    )


def _velocity(floor: _Floor, frequency_hz: float, stiffness_nm: tuple[float, float], shown: Inputs) -> Check:
    damping = _over_zero("damping", floor.practice.impulse_damping)
    modes = impulse.modes_below_40_hz(frequency_hz, floor.width_m, floor.span_m, *stiffness_nm)
    b = impulse.b_of_figure(floor.practice.impulse_a_mm_per_kn)
    return Check(
        "Vibration, velocity from a unit impulse",
        impulse.impulse_velocity(modes, floor.mass_kg_m2, floor.width_m, floor.span_m),
        impulse.impulse_limit(frequency_hz, damping, b),
        "m/(N s2)",
        impulse.CLAUSE,
        (*shown, ("Modes up to 40 Hz", f"{modes:.2f}"), ("Damping", f"{damping:g}"), ("b", f"{b:g}")),
        floor.practice.vibration_unit_impulse,
    )
