"""Joists that stand off their station at a skewed wall are cut where they stand, on paper; in inches.

A joist meets a skewed wall where its own centre line crosses the outline. Joists along y at 16 in, 1000S162-54; the
top wall falls 33 in 56 (30.5 degrees), cut-back 99.9375 / 56 = 1.784598.

Shifted: (0, 0), (224, 0), (224, 132), (0, 264), lapped over y 80. The second line stands on 16 k + 1.625, from 74
to 264 - 33 x / 56 - 1.784598: 187.257813 - 9.428571 k long; k = 1: 177.829, down 177.8125; 168.401: 168.375;
158.972: 158.9375; 149.544: 149.5; 140.115: 140.0625; 130.686: 130.625; 121.258: 121.25; then every seventh the
same, 66 less.

Moved aside: (0, 0), (224, 0), (224, 100), (0, 232), a shaft 30 x 40 at x 97..127, y 20..60. Trimmers 92.625..95.875
and 128.125..131.375. The tails at 96 and 128 overlap them and move to 96.6875 and 127.3125. The high ones begin at
64.75 (high header 61.125..64.375): 232 - 33 x 96.6875 / 56 - 1.784598 = 173.2388: 108.4888, down 108.4375; 232 - 33
x 127.3125 / 56 - 1.784598 = 155.1920: 90.4420, down 90.4375.

Under a bearing partition at x 98 (96.375..99.625) the joist at 96 overlaps and moves to 95.5625: 232 - 33 x 95.5625
/ 56 - 1.784598 - 1.5 = 172.4018, down 172.375.
"""

from __future__ import annotations

from typing import Any

from framing.engine.members import MemberKind
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import designed, inches, members


def falling(right: int, left: int, **entries: Any) -> FloorResult:
    return designed(
        name="Falling",
        outline=[["0", "0"], ["224", "0"], ["224", str(right)], ["0", str(left)]],
        bays=[{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}],
        **entries,
    )


def test_a_shifted_line() -> None:
    floor = falling(
        132, 264, supports=[{"id": "W", "from": ["0", "80"], "to": ["224", "80"], "joint": "lap"}]
    )
    seven = [177.8125, 168.375, 158.9375, 149.5, 140.0625, 130.625, 121.25]
    found = [(inches(m.centre_16), inches(m.length_16)) for m in members(floor, MemberKind.JOIST, 1)]
    assert found == [
        (17.625 + 16 * k, length) for k, length in enumerate([*seven, *(v - 66 for v in seven[:6])])
    ]


def test_tails_moved_aside() -> None:
    floor = falling(
        *(100, 232),
        openings=[{"id": "S", "kind": "shaft", "corner": ["97", "20"], "size": ["30", "40"]}],
        overrides={"plies": [{"of": "S", "part": p, "plies": 2} for p in ("trimmer_low", "trimmer_high")]},
    )
    tails = [m for m in members(floor, MemberKind.JOIST) if inches(m.low_16) == 64.75]
    found = {inches(m.centre_16): inches(m.length_16) for m in tails}
    assert (found[96.6875], found[127.3125]) == (108.4375, 90.4375)


def test_a_joist_moved_by_a_partition() -> None:
    partition = {"id": "P", "from": ["98", "0"], "to": ["98", "160"], "bearing": True, "load_plf": 100}
    floor = falling(100, 232, partitions=[partition])
    found = {inches(m.centre_16): inches(m.length_16) for m in members(floor, MemberKind.JOIST)}
    assert found[95.5625] == 172.375
