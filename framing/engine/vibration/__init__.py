"""Vibration of floors (R16) by three named methods; each is on or off in the practice set.

`point_load`: 1 kN at midspan (Onysko). `walking`: AISC Design Guide 11. `impulse`: EN 1995-1-1 7.3.3, made for
timber floors and used here by analogy. None was made for joists of cold-formed steel.
"""

from framing.engine.vibration.checks import vibration_checks

__all__ = ["vibration_checks"]
