"""All strengths of one ply of a profile, with factors of a design method: made once a profile, then looked at."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from framing.engine.errors import OutsideSourceLimits
from framing.engine.method import Method
from framing.engine.section.cold_work import cold_work_yield_ksi
from framing.engine.section.effective import effective_inertia_in4
from framing.engine.section.gross import Gross, gross
from framing.engine.section.shape import Shape, Steel
from framing.engine.strength.crippling import TABLE, LoadCase, crippling_kip
from framing.engine.strength.distortional import (
    DistortionalBuckling,
    DistortionalStrength,
    distortional_buckling,
    distortional_strength,
)
from framing.engine.strength.factors import BENDING, DISTORTIONAL, SHEAR
from framing.engine.strength.flexure import (
    LateralTorsional,
    LocalMoment,
    lateral_torsional,
    local_moment,
    unbraced_in_lu,
)
from framing.engine.strength.shear import (
    Hole,
    Shear,
    check_hole_limits,
    check_shear_at_hole,
    check_web_slenderness,
    hole_factor,
    shear,
)

LB_PER_KIP = 1000.0


@dataclass(frozen=True, slots=True)
class ProfileStrength:
    """Available strengths of one ply (factors of `method` are in them) and the steps they came by.

    Attributes:
        bending_yield_ksi: Fya where the cold work of forming counts (A3.3.2), else Fy; for F2, F3 and F4.
        cold_work: whether it counts.
        effective_inertia_in4: for deflection; section_modulus_in3: Sxe at Fy.
        local_moment_kipin: F3 braced; distortional_moment_kipin: F4.
        hole_moment_kipin: F3 at the hole; None where the hole is outside the clause, as `hole_moment_reason` says.
        shear_lb: G2; net_shear_lb: G3; None where the hole is outside the clause, as `net_shear_reason` says.
        web_slenderness: h/t; above 200 every bearing must be stiffened (B4.1).
        local, distortional, distortional_buckling, shear: nominal, with steps.
    """

    shape: Shape
    steel: Steel
    method: Method
    hole: Hole
    gross: Gross
    bending_yield_ksi: float
    cold_work: bool
    effective_inertia_in4: float
    section_modulus_in3: float
    local_moment_kipin: float
    distortional_moment_kipin: float
    hole_moment_kipin: float | None
    hole_moment_reason: str
    shear_lb: float
    net_shear_lb: float | None
    net_shear_reason: str
    local: LocalMoment
    distortional: DistortionalStrength
    distortional_buckling: DistortionalBuckling
    shear: Shear

    @property
    def moment_kipin(self) -> float:
        """The smaller of local and distortional strength, for a braced compression flange."""
        return min(self.local_moment_kipin, self.distortional_moment_kipin)

    @property
    def nominal_local_kipin(self) -> float:
        """Mnlo, F3 at yield without factors, as H3 wants it."""
        return self.local.nominal_kipin

    @property
    def web_slenderness(self) -> float:
        return self.shear.web_slenderness

    @property
    def unbraced_in(self) -> float:
        """Lu: a compression flange braced so often keeps its full strength at Cb = 1."""
        return unbraced_in_lu(self.gross, self.bending_yield_ksi)

    def lateral(self, unbraced_in: float, cb: float = 1.0) -> LateralTorsional:
        """F2 for a compression flange held sideways and against twist every `unbraced_in` inches."""
        return lateral_torsional(
            self.gross,
            self.bending_yield_ksi,
            unbraced_lateral_in=unbraced_in,
            unbraced_twist_in=unbraced_in,
            cb=cb,
        )

    def lateral_local(self, stress_ksi: float) -> LocalMoment:
        """F3 at the stress that F2 leaves."""
        return self.local if stress_ksi >= self.bending_yield_ksi else local_moment(self.shape, stress_ksi)

    def lateral_moment_kipin(self, unbraced_in: float, cb: float = 1.0) -> float:
        """Available moment by F2 with F3 at its stress (the effective modulus is never above the gross one)."""
        local = self.lateral_local(self.lateral(unbraced_in, cb).stress_ksi)
        return local.nominal_kipin * BENDING.share(self.method)

    def nominal_crippling_lb(self, case: LoadCase, *, fastened: bool, bearing_in: float) -> float:
        """G5 without factors, as H3 wants it; steel's own yield.

        Raises:
            LoadRefused, OutsideSourceLimits: see `crippling.check_crippling_limits`.
        """
        fy = self.steel.yield_ksi
        return LB_PER_KIP * crippling_kip(self.shape, fy, case, fastened=fastened, bearing_in=bearing_in)

    def crippling_lb(self, case: LoadCase, *, fastened: bool, bearing_in: float) -> float:
        """G5, available.

        Raises:
            LoadRefused, OutsideSourceLimits: see `crippling.check_crippling_limits`.
        """
        nominal = self.nominal_crippling_lb(case, fastened=fastened, bearing_in=bearing_in)
        return nominal * TABLE[case, fastened].factors.share(self.method)


@lru_cache(maxsize=512)
def profile_strength(
    shape: Shape,
    steel: Steel,
    *,
    method: Method,
    hole_depth_in: float,
    hole_length_in: float,
    round_hole: bool = False,
    sheathing_turn_kip: float = 0.0,
) -> ProfileStrength:
    """Strengths of one ply.

    Args:
        hole_depth_in, hole_length_in: service hole at mid-depth; a depth of 0 is no hole.
        round_hole: its length is then its depth.
        sheathing_turn_kip: kphi, rotational stiffness of the sheathing, kip-in per rad and in; 0 counts on none.
    Raises:
        OutsideSourceLimits: h/t over 260, or a flange, lip or bend outside Appendix 1.
    """
    check_web_slenderness(shape, bearing_stiffeners=True)
    full, raised = gross(shape), cold_work_yield_ksi(shape, steel)
    bending_ksi = steel.yield_ksi if raised is None else raised
    local, braced = local_moment(shape, bending_ksi), BENDING.share(method)
    buckling = distortional_buckling(shape, sheathing_kip=sheathing_turn_kip)
    distortional = distortional_strength(full.sx_in3, bending_ksi, buckling.stress_ksi)
    web, hole = shear(shape, steel.yield_ksi), Hole(hole_depth_in, hole_length_in, round_hole)
    hole_moment, moment_reason = _hole_moment(shape, steel, bending_ksi, hole)
    net, net_reason = _net_factor(shape, hole)
    shear_lb = web.nominal_kip * LB_PER_KIP * SHEAR.share(method)
    return ProfileStrength(
        shape=shape,
        steel=steel,
        method=method,
        hole=hole,
        gross=full,
        bending_yield_ksi=bending_ksi,
        cold_work=raised is not None,
        effective_inertia_in4=effective_inertia_in4(shape, steel),
        section_modulus_in3=local_moment(shape, steel.yield_ksi).effective.modulus_in3,
        local_moment_kipin=local.nominal_kipin * braced,
        distortional_moment_kipin=distortional.nominal_kipin * DISTORTIONAL.share(method),
        hole_moment_kipin=None if hole_moment is None else hole_moment * braced,
        hole_moment_reason=moment_reason,
        shear_lb=shear_lb,
        net_shear_lb=None if net is None else net * shear_lb,
        net_shear_reason=net_reason,
        local=local,
        distortional=distortional,
        distortional_buckling=buckling,
        shear=web,
    )


def _hole_moment(shape: Shape, steel: Steel, bending_ksi: float, hole: Hole) -> tuple[float | None, str]:
    """Nominal moment at the hole, or None and the sentence that says why not.

    Cold work does not count where the hole leaves the web not fully effective.
    """
    try:
        if hole.depth_in > 0:
            check_hole_limits(shape, hole, clause="AISI S100 Appendix 1, 1.1.3")
        local = local_moment(shape, bending_ksi, hole_depth_in=hole.depth_in)
    except OutsideSourceLimits as outside:
        return None, outside.message
    if not local.effective.flange_and_web_fully and bending_ksi > steel.yield_ksi:
        local = local_moment(shape, steel.yield_ksi, hole_depth_in=hole.depth_in)
    return local.nominal_kipin, ""


def _net_factor(shape: Shape, hole: Hole) -> tuple[float | None, str]:
    """qs, or None and the sentence that says why not."""
    if hole.depth_in <= 0:
        return 1.0, ""
    try:
        check_shear_at_hole(shape, hole)
    except OutsideSourceLimits as outside:
        return None, outside.message
    return hole_factor(shape, hole), ""
