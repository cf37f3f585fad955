"""The catalogue's profiles with what one ply of each can do, by the company's method (R15)."""

from __future__ import annotations

from dataclasses import dataclass

from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.errors import OutsideSourceLimits
from framing.engine.practice import Practice
from framing.engine.strength.profile import ProfileStrength, profile_strength


@dataclass(frozen=True, slots=True)
class ProfileFigures:
    """A profile and its strengths; without any where it is outside the standard, as `outside` says."""

    profile: JoistProfile
    strength: ProfileStrength | None
    outside: str = ""

    @property
    def reason(self) -> str:
        """Why a strength is missing, "" where none is."""
        return self.outside or (self.strength.net_shear_reason if self.strength else "")


def profile_figures(catalogue: Catalogue, practice: Practice) -> tuple[ProfileFigures, ...]:
    """All profiles in the catalogue's order."""
    return tuple(_figures(profile, practice) for profile in catalogue.profiles)


def _figures(profile: JoistProfile, practice: Practice) -> ProfileFigures:
    try:
        strength = profile_strength(
            profile.shape,
            profile.steel,
            method=practice.method,
            hole_depth_in=profile.hole_depth_in,
            hole_length_in=profile.hole_length_in,
            sheathing_turn_kip=practice.sheathing_turn_kip,
        )
    except OutsideSourceLimits as outside:
        return ProfileFigures(profile, None, outside.message)
    return ProfileFigures(profile, strength)
