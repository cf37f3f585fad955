"""How much room bundles and packs take on a deck. Common practice, no source; measure your own and say so."""

from __future__ import annotations

from math import ceil
from typing import Final

from framing.engine.trucks.facts import FOOT, INCH, Thing

_NEST_16: Final = 2  # a nested pair is thicker than one flange by steel and play
_SHEET_LB_PER_IN: Final = 105.0  # a pack of 4 ft x 8 ft floor panels, per inch of its height
_PALLET_LB_PER_IN: Final = 40.0
_SMALL_LB: Final = 300.0
_PALLET_16: Final = 5 * INCH


def bundle_size(pieces: int, depth_16: int, flange_16: int) -> tuple[int, int]:
    """Width and height of a bundle in sixteenths, as it lies.

    Pieces nest face to face in pairs that stand on their flanges, side by side: the bundle is as high as the joist is
    deep, and as wide as its pairs are thick: a flange and 1/8 in each. A single piece takes a pair's room.
    """
    return ceil(pieces / 2) * (flange_16 + _NEST_16), depth_16


def bundle_thing(
    id: str,  # noqa: A002 - the field's name
    name: str,
    *,
    pieces: int,
    depth_16: int,
    flange_16: int,
    length_16: int,
    weight_lb: float,
    stop: int = 1,
) -> Thing:
    """A bundle to load; any number of tiers may lie on it."""
    width_16, height_16 = bundle_size(pieces, depth_16, flange_16)
    return Thing(id, name, length_16, width_16, height_16, weight_lb, stop)


def pack_thing(id: str, name: str, title: str, weight_lb: float, stop: int = 1) -> Thing:  # noqa: A002
    """A pack to load, by its title: `L1: Sheathing and adhesive`.

    Sheathing lies on the deck in 4 ft x 8 ft sheets and bears more of the same kind of pack; boards are a bundle of
    20 ft sticks, 2 ft wide; any other pack up to 300 lb is a box that rides on a bundle and bears nothing; a heavier
    one is a pallet of 48 in x 40 in on a deck place of its own that bears nothing.
    """
    what = title.rsplit(": ", 1)[-1]
    if what.startswith("Sheathing"):
        height_16 = _height(weight_lb, _SHEET_LB_PER_IN)
        return Thing(id, name, 8 * FOOT, 4 * FOOT, height_16, weight_lb, stop, pack=True)
    if what.startswith("Boards"):
        return Thing(id, name, 20 * FOOT, 2 * FOOT, 12 * INCH, weight_lb, stop, bears=1, pack=True)
    if weight_lb <= _SMALL_LB:
        return Thing(id, name, 2 * FOOT, FOOT, FOOT, weight_lb, stop, bears=0, pack=True)
    height_16 = _PALLET_16 + _height(weight_lb, _PALLET_LB_PER_IN)
    return Thing(
        id, name, 48 * INCH, 40 * INCH, height_16, weight_lb, stop, bears=0, own_place=True, pack=True
    )


def _height(weight_lb: float, lb_per_in: float) -> int:
    return max(6, ceil(weight_lb / lb_per_in)) * INCH
