"""How each capacity comes about, as lines of the calculation sheet (R17): one ply, formula, numbers, clauses."""

from __future__ import annotations

from framing.engine.result import Value, Working
from framing.engine.sizing.working_rows import (
    available_rows,
    bending_yield,
    effective_rows,
    hole_rows,
    section_values,
)
from framing.engine.strength.crippling import TABLE, LoadCase
from framing.engine.strength.factors import BENDING, DISTORTIONAL, SHEAR
from framing.engine.strength.profile import LB_PER_KIP, ProfileStrength
from framing.engine.strength.shear import BUCKLING_COEFFICIENT, flat_beside_hole_in, hole_factor

__all__ = [
    "crippling_working",
    "distortional_working",
    "hole_working",
    "lateral_working",
    "local_working",
    "net_shear_working",
    "section_values",
    "shear_working",
]

_APPENDIX_2 = "AISI S100-16 Appendix 2, 2.3.3.3"
_F2_CLAUSE, _F3_CLAUSE, _F4_CLAUSE = "AISI S100-16 F2.1", "AISI S100-16 F3.1", "AISI S100-16 F4.1"
_G2_CLAUSE, _G3_CLAUSE, _G5_CLAUSE = "AISI S100-16 G2.1", "AISI S100-16 G3", "AISI S100-16 G5"
_CASE_WORDS = {
    LoadCase.END_ONE_FLANGE: "at an end, on one flange",
    LoadCase.INTERIOR_ONE_FLANGE: "inside, on one flange",
    LoadCase.END_TWO_FLANGE: "at an end, on both flanges",
    LoadCase.INTERIOR_TWO_FLANGE: "inside, on both flanges",
}


def local_working(strength: ProfileStrength) -> Working:
    """F3 with the compression flange braced: Fn is the yield stress."""
    return Working(
        "Bending, yield and local buckling",
        _F3_CLAUSE,
        "Mnl = Se Fn, Fn = Fy",
        (
            bending_yield(strength),
            *effective_rows(strength.local.effective),
            Value("Nominal strength", "Mnl", strength.nominal_local_kipin, "kip-in", _F3_CLAUSE),
            *available_rows("moment", "M", strength.local_moment_kipin, "kip-in", BENDING, strength.method),
        ),
    )


def hole_working(strength: ProfileStrength) -> Working:
    """F3 beside a web hole; without numbers, the reason in the formula's place, where the clause gives none."""
    title, clause = "Bending at a web hole", f"{_F3_CLAUSE}, Appendix 1, 1.1.3"
    found = strength.hole_moment_kipin
    if found is None:
        return Working(title, clause, strength.hole_moment_reason, ())
    return Working(
        title,
        clause,
        "Mnl = Se Fn; from dh / h = 0.38 on, the compressed web beside the hole is an unstiffened element",
        (
            *hole_rows(strength),
            Value("Nominal strength", "Mnl", found / BENDING.share(strength.method), "kip-in", _F3_CLAUSE),
            *available_rows("moment", "M", found, "kip-in", BENDING, strength.method),
        ),
    )


def distortional_working(strength: ProfileStrength) -> Working:
    """F4 with every step of the elastic buckling stress."""
    found, steps = strength.distortional, strength.distortional_buckling
    return Working(
        "Bending, distortional buckling",
        _F4_CLAUSE,
        "Fcrd = beta (kfe + kwe + kphi) / (kfg + kwg); Mnd = My for ld <= 0.673, "
        "else (1 - 0.22 (Mcrd / My)^0.5) (Mcrd / My)^0.5 My",
        (
            Value("Half-wave length", "Lcrd", steps.half_wave_in, "in", _APPENDIX_2),
            Value("Length taken", "L", steps.length_in, "in", _APPENDIX_2),
            Value("Rotational stiffness of the flange", "kfe", steps.flange_kip, "kip", _APPENDIX_2),
            Value("Rotational stiffness of the web", "kwe", steps.web_kip, "kip", _APPENDIX_2),
            Value(
                "Rotational stiffness of the sheathing", "kphi", steps.sheathing_kip, "kip", "practice set"
            ),
            Value("Geometric stiffness of the flange", "kfg", steps.flange_in2, "in2", _APPENDIX_2),
            Value("Geometric stiffness of the web", "kwg", steps.web_in2, "in2", _APPENDIX_2),
            Value("Moment gradient", "beta", steps.gradient, "", _APPENDIX_2),
            Value("Elastic distortional buckling stress", "Fcrd", steps.stress_ksi, "ksi", _APPENDIX_2),
            bending_yield(strength),
            Value("Yield moment, Sf Fy", "My", found.yield_kipin, "kip-in", _F4_CLAUSE),
            Value("Critical moment, Sf Fcrd", "Mcrd", found.critical_kipin, "kip-in", _F4_CLAUSE),
            Value("Slenderness, (My / Mcrd)^0.5", "ld", found.slenderness, "", _F4_CLAUSE),
            Value("Nominal strength", "Mnd", found.nominal_kipin, "kip-in", _F4_CLAUSE),
            *available_rows(
                "moment", "M", strength.distortional_moment_kipin, "kip-in", DISTORTIONAL, strength.method
            ),
        ),
    )


def lateral_working(strength: ProfileStrength, unbraced_in: float, cb: float) -> Working:
    """F2 with F3 at its stress, for a compression flange without braces on `unbraced_in` inches (above 0)."""
    found, section = strength.lateral(unbraced_in, cb), strength.gross
    local = strength.lateral_local(found.stress_ksi)
    available = strength.lateral_moment_kipin(unbraced_in, cb)
    return Working(
        "Bending, lateral-torsional buckling",
        f"{_F2_CLAUSE}, {_F3_CLAUSE}",
        "Fcre = Cb ro A / Sf (sey st)^0.5; Fn = Fy for Fcre >= 2.78 Fy, Fcre for Fcre <= 0.56 Fy, "
        "else 10/9 Fy (1 - 10 Fy / (36 Fcre)); Mnl = Se Fn",
        (
            Value("Unbraced length", "Ly = Lt", unbraced_in, "in"),
            Value("Moment gradient", "Cb", cb, "", "AISI S100-16 F2.1.1"),
            Value("Lateral buckling stress", "sey", found.lateral_ksi, "ksi", _F2_CLAUSE),
            Value("Torsional buckling stress", "st", found.twist_ksi, "ksi", _F2_CLAUSE),
            Value("Polar radius about the shear center", "ro", section.ro_in, "in"),
            bending_yield(strength),
            Value("Elastic buckling stress", "Fcre", found.elastic_ksi, "ksi", _F2_CLAUSE),
            Value("Nominal stress", "Fn", found.stress_ksi, "ksi", _F2_CLAUSE),
            Value("Global strength, Sf Fn", "Mne", section.sx_in3 * found.stress_ksi, "kip-in", _F2_CLAUSE),
            *effective_rows(local.effective),
            Value("Nominal strength", "Mnl", local.nominal_kipin, "kip-in", _F3_CLAUSE),
            *available_rows("moment", "M", available, "kip-in", BENDING, strength.method),
        ),
    )


def shear_working(strength: ProfileStrength) -> Working:
    """G2, web without holes."""
    found = strength.shear
    return Working(
        "Shear",
        _G2_CLAUSE,
        "Fcr = pi^2 E kv / (12 (1 - mu^2) (h/t)^2); Vn = Vy for lv <= 0.815, Vcr for lv > 1.227, "
        "else 0.815 (Vcr Vy)^0.5",
        (
            Value("Slenderness of the web", "h/t", found.web_slenderness, ""),
            Value("Shear buckling coefficient", "kv", BUCKLING_COEFFICIENT, "", "AISI S100-16 G2.3"),
            Value("Elastic buckling stress", "Fcr", found.critical_ksi, "ksi", "AISI S100-16 G2.3"),
            Value("Yield stress", "Fy", strength.steel.yield_ksi, "ksi"),
            Value("Yield shear, 0.6 h t Fy", "Vy", LB_PER_KIP * found.yield_kip, "lb", _G2_CLAUSE),
            Value(
                "Elastic buckling shear, h t Fcr", "Vcr", LB_PER_KIP * found.critical_kip, "lb", _G2_CLAUSE
            ),
            Value("Slenderness, (Vy / Vcr)^0.5", "lv", found.slenderness, "", _G2_CLAUSE),
            Value("Nominal strength", "Vn", LB_PER_KIP * found.nominal_kip, "lb", _G2_CLAUSE),
            *available_rows("shear", "V", strength.shear_lb, "lb", SHEAR, strength.method),
        ),
    )


def net_shear_working(strength: ProfileStrength) -> Working:
    """G3, web with the hole; without numbers, the reason in the formula's place, where the clause gives none."""
    title, found = "Shear at a web hole", strength.net_shear_lb
    if found is None:
        return Working(title, _G3_CLAUSE, strength.net_shear_reason, ())
    shape, hole = strength.shape, strength.hole
    beside = flat_beside_hole_in(shape, hole)
    words = "h / 2 - dh / 2.83" if hole.round else "h / 2 - dh / 2"
    return Working(
        title,
        _G3_CLAUSE,
        f"Vn' = qs Vn; c = {words}; qs = 1 for c/t >= 54, else c / (54 t)",
        (
            *hole_rows(strength),
            Value("Web beside the hole", "c", beside, "in", _G3_CLAUSE),
            Value("Slenderness beside the hole", "c/t", beside / shape.thickness_in, "", _G3_CLAUSE),
            Value("Part of the shear strength", "qs", hole_factor(shape, hole), "", _G3_CLAUSE),
            Value("Available shear without a hole", "Va", strength.shear_lb, "lb", _G2_CLAUSE),
            *available_rows("shear at the hole", "V'", found, "lb", SHEAR, strength.method),
        ),
    )


def crippling_working(
    strength: ProfileStrength, case: LoadCase, *, fastened: bool, bearing_in: float
) -> Working:
    """G5 for one bearing.

    Raises:
        LoadRefused, OutsideSourceLimits: see `strength.crippling.check_crippling_limits`.
    """
    row, shape = TABLE[case, fastened], strength.shape
    nominal = strength.nominal_crippling_lb(case, fastened=fastened, bearing_in=bearing_in)
    available = strength.crippling_lb(case, fastened=fastened, bearing_in=bearing_in)
    table = f"{_G5_CLAUSE}, Table G5-2, {'fastened' if fastened else 'not fastened'}"
    return Working(
        f"Web crippling {_CASE_WORDS[case]}",
        _G5_CLAUSE,
        "Pn = C t^2 Fy (1 - CR (R/t)^0.5) (1 + CN (N/t)^0.5) (1 - Ch (h/t)^0.5)",
        (
            Value("Length of the bearing", "N", bearing_in, "in"),
            Value("Coefficient", "C", row.c, "", table),
            Value("Coefficient of the radius", "CR", row.radius, "", table),
            Value("Coefficient of the bearing", "CN", row.bearing, "", table),
            Value("Coefficient of the web", "Ch", row.web, "", table),
            Value("Radius over thickness", "R/t", shape.radius_in / shape.thickness_in, ""),
            Value("Bearing over thickness", "N/t", bearing_in / shape.thickness_in, ""),
            Value("Slenderness of the web", "h/t", strength.web_slenderness, ""),
            Value("Yield stress", "Fy", strength.steel.yield_ksi, "ksi"),
            Value("Nominal strength", "Pn", nominal, "lb", _G5_CLAUSE),
            *available_rows("force", "P", available, "lb", row.factors, strength.method),
        ),
    )
