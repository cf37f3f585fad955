"""The best single change between two bundles, worked by hand (R32-R35)."""

from __future__ import annotations

from framing.engine.bundling.costs import Bundle, Limits, Unit
from framing.engine.bundling.exchange import best_change

LIMITS = Limits(least=8, most=13, weight_100=200_000, spread_16=768)


def _bundle(*places: int) -> Bundle:
    return tuple(Unit(place, 3072, 4_000) for place in places)


def test_the_piece_next_to_a_short_bundle_moves_into_it() -> None:
    changed = best_change(_bundle(*range(9)), _bundle(*range(9, 16)), LIMITS)
    assert changed == (_bundle(*range(8)), _bundle(*range(9, 16), 8))
    changed = best_change(_bundle(*range(7)), _bundle(*range(7, 16)), LIMITS)
    assert changed == (_bundle(*range(8)), _bundle(*range(8, 16)))


def test_two_pieces_out_of_sequence_change_places() -> None:
    changed = best_change(_bundle(*range(7), 8), _bundle(7, *range(9, 16)), LIMITS)
    assert changed == (_bundle(*range(8)), _bundle(*range(9, 16), 8))


def test_no_change_where_none_gains() -> None:
    assert best_change(_bundle(*range(8)), _bundle(*range(8, 16)), LIMITS) is None
    # One piece each: a move would leave a bundle empty, a swap changes nothing.
    assert best_change(_bundle(0), _bundle(1), LIMITS) is None
