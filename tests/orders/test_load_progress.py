"""The bar of a truck plan on its way knows every stage that the search tells of."""

from __future__ import annotations

from typing import get_args

from framing.engine.trucks.facts import Advance, Stage
from orders.load_progress import LoadProgress


def test_each_stage_of_the_search_moves_the_bar_on() -> None:
    progress = object.__new__(LoadProgress)  # its share alone, without a connection
    stages = get_args(Stage)
    assert stages == ("orders", "tries", "exact")
    shares = [progress.share(Advance(stage, done, 4, 2)) for stage in stages for done in (0, 2, 4)]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0, 99)
