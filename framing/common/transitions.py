"""Stage moves: a listed move or a refusal in words."""

from __future__ import annotations

from collections.abc import Mapping

from framing.common.errors import Clash

Transitions = Mapping[str, Mapping[str, str]]


def check_transition(table: Transitions, current: str, action: str, thing: str) -> str:
    """The stage that `action` leads to from `current`. `table` is action -> {from: to}.

    Raises Clash, naming the thing, its stage and the stages from which the act is possible.
    """
    moves = table[action]
    if current in moves:
        return moves[current]
    possible = ", ".join(sorted(moves))
    raise Clash(f"{thing} is at “{current}”; “{action.replace('_', ' ')}” is possible from: {possible}.")
