"""Strength of a catalogue profile under a practice set, worked out once."""

from __future__ import annotations

from functools import lru_cache

from framing.engine.catalogue import JoistProfile
from framing.engine.method import Method
from framing.engine.practice import Practice
from framing.engine.strength.profile import ProfileStrength, profile_strength


def strength_of(profile: JoistProfile, practice: Practice) -> ProfileStrength:
    """Available strengths by the practice's method, with the sheathing's help that it counts on."""
    return _strength(profile, practice.method, practice.sheathing_turn_kip)


@lru_cache(maxsize=512)
def _strength(profile: JoistProfile, method: Method, sheathing_turn_kip: float) -> ProfileStrength:
    return profile_strength(
        profile.shape,
        profile.steel,
        method=method,
        hole_depth_in=profile.hole_depth_in,
        hole_length_in=profile.hole_length_in,
        sheathing_turn_kip=sheathing_turn_kip,
    )
