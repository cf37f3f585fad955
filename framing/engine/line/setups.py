"""Minutes of change-over between two profiles (R46)."""

from __future__ import annotations

from collections.abc import Sequence

from framing.engine.line.facts import ChangeOver, RolledProfile


def setup_minutes(rule: ChangeOver, loaded: RolledProfile, wanted: RolledProfile) -> int:
    """Minutes to change from the loaded profile to the wanted one; none for the same.

    A timed pair goes before the rule: the base, and more for each of coil, depth and flange that differs.
    """
    if loaded.code == wanted.code:
        return 0
    for before, after, minutes in rule.pairs:
        if (before, after) == (loaded.code, wanted.code):
            return minutes
    return (
        rule.base_minutes
        + rule.gauge_minutes * (loaded.gauge != wanted.gauge)
        + rule.depth_minutes * (loaded.depth_16 != wanted.depth_16)
        + rule.flange_minutes * (loaded.flange_16 != wanted.flange_16)
    )


def setup_table(rule: ChangeOver, profiles: Sequence[RolledProfile]) -> list[list[int]]:
    """Minutes from each profile (row) to each; a last row of noughts stands for a line with nothing loaded."""
    table = [[setup_minutes(rule, loaded, wanted) for wanted in profiles] for loaded in profiles]
    return [*table, [0] * len(profiles)]
