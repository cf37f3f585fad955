"""Lines that the workings of the calculation sheet share, and the properties of one ply (R17)."""

from __future__ import annotations

from framing.engine.method import Factors, Method
from framing.engine.result import Value
from framing.engine.section.effective import Effective
from framing.engine.section.shape import ELASTIC_MODULUS_KSI, SHEAR_MODULUS_KSI
from framing.engine.strength.profile import ProfileStrength

_APPENDIX_1 = "AISI S100-16 Appendix 1"
_COLD_WORK = "AISI S100-16 A3.3.2"


def section_values(strength: ProfileStrength) -> tuple[Value, ...]:
    """Size, steel and properties of one ply."""
    return (*_sizes(strength), *_steel(strength), *_properties(strength))


def available_rows(
    thing: str, symbol: str, value: float, unit: str, factors: Factors, method: Method
) -> tuple[Value, Value]:
    """The factor and the strength with it, in the method's words."""
    if method is Method.ASD:
        return (
            Value("Safety factor", "Omega", factors.omega, "", "ASD"),
            Value(f"Allowable {thing}", f"{symbol[0]}a{symbol[1:]}", value, unit),
        )
    return (
        Value("Resistance factor", "phi", factors.share(method), "", method.value),
        Value(f"Design {thing}", f"phi {symbol[0]}n{symbol[1:]}", value, unit),
    )


def bending_yield(strength: ProfileStrength) -> Value:
    """Fy, or Fya where the cold work of forming counts, as F2, F3 and F4 take it."""
    if strength.cold_work:
        return Value("Yield stress with cold work", "Fy = Fya", strength.bending_yield_ksi, "ksi", _COLD_WORK)
    return Value("Yield stress", "Fy", strength.bending_yield_ksi, "ksi")


def effective_rows(found: Effective) -> tuple[Value, ...]:
    """The effective section at its stress, element by element."""
    return (
        Value("Stress in the outer fiber", "f", found.stress_ksi, "ksi"),
        Value("Slenderness of the flange", "lambda", found.flange_lambda, "", f"{_APPENDIX_1}, 1.3"),
        Value("Effective flat of the flange", "b", found.flange_in, "in", f"{_APPENDIX_1}, 1.3"),
        Value(
            "Stiffness of the lip over that wanted", "RI", found.stiffener_ratio, "", f"{_APPENDIX_1}, 1.3"
        ),
        Value("Effective flat of the lip", "ds", found.lip_in, "in", f"{_APPENDIX_1}, 1.3"),
        Value("Effective web at the flange", "b1", found.web_b1_in, "in", f"{_APPENDIX_1}, 1.1.2"),
        Value("Effective web at the neutral axis", "b2", found.web_b2_in, "in", f"{_APPENDIX_1}, 1.1.2"),
        Value("Neutral axis from the outer fiber", "y", found.neutral_axis_in, "in"),
        Value("Effective section modulus", "Se", found.modulus_in3, "in3", _APPENDIX_1),
    )


def hole_rows(strength: ProfileStrength) -> tuple[Value, ...]:
    """Size of the service hole."""
    depth = strength.hole.depth_in
    return (
        Value("Depth of the hole", "dh", depth, "in"),
        Value("Length of the hole", "Lh", strength.hole.length_in, "in"),
        Value("Depth of the hole over the web's flat", "dh/h", depth / strength.shape.web_flat_in, ""),
    )


def _sizes(strength: ProfileStrength) -> tuple[Value, ...]:
    shape = strength.shape
    return (
        Value("Depth, out to out", "D", shape.depth_in, "in"),
        Value("Flange, out to out", "B", shape.flange_in, "in"),
        Value("Lip, out to out", "d", shape.lip_in, "in"),
        Value("Design thickness", "t", shape.thickness_in, "in"),
        Value("Inside radius of the bends", "R", shape.radius_in, "in"),
        Value("Flat depth of the web", "h", shape.web_flat_in, "in"),
        Value("Flat width of the flange", "w", shape.flange_flat_in, "in"),
    )


def _steel(strength: ProfileStrength) -> tuple[Value, ...]:
    plain = (
        Value("Yield stress", "Fy", strength.steel.yield_ksi, "ksi"),
        Value("Tensile strength", "Fu", strength.steel.tensile_ksi, "ksi"),
        Value("Modulus of elasticity", "E", ELASTIC_MODULUS_KSI, "ksi", "AISI S100-16"),
        Value("Shear modulus", "G", SHEAR_MODULUS_KSI, "ksi", "AISI S100-16"),
    )
    return (*plain, bending_yield(strength)) if strength.cold_work else plain


def _properties(strength: ProfileStrength) -> tuple[Value, ...]:
    full, serviced = strength.gross, f"{_APPENDIX_1}, at the stress of the allowable moment"
    return (
        Value("Area", "A", full.area_in2, "in2"),
        Value("Weight, bare steel", "W", full.weight_plf, "lb/ft"),
        Value("Moment of inertia", "Ix", full.ix_in4, "in4"),
        Value("Section modulus", "Sf", full.sx_in3, "in3"),
        Value("Radius of gyration", "rx", full.rx_in, "in"),
        Value("Moment of inertia, weak axis", "Iy", full.iy_in4, "in4"),
        Value("Radius of gyration, weak axis", "ry", full.ry_in, "in"),
        Value("Torsion constant", "J", full.j_in4, "in4"),
        Value("Warping constant", "Cw", full.cw_in6, "in6"),
        Value("Shear center from the centroid", "xo", full.xo_in, "in"),
        Value(
            "Effective moment of inertia, for deflection",
            "Ixe",
            strength.effective_inertia_in4,
            "in4",
            serviced,
        ),
        Value("Effective section modulus at Fy", "Sxe", strength.section_modulus_in3, "in3", _APPENDIX_1),
        Value(
            "Longest unbraced length for full strength, Cb = 1",
            "Lu",
            strength.unbraced_in,
            "in",
            "AISI S100-16 F2.1",
        ),
    )
