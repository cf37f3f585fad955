"""The sample corridor storey worked by hand: 120' x 46', walls at 20' and 26', two stairs and a shaft.

In inches: 1440 x 552; 1440/16 = 90, so 89 stations. Lines: 1.5 to 246 = 244.5; 234 to 318 = 84; 306 to
550.5 = 244.5. Trimmer bands: west stair 43.625-46.875 and 97.125-100.375 (tails 48, 64, 80, 96); shaft
719.625-722.875 and 749.125-752.375 (720 and 752 lie in them and go, tail 736); east stair, in the third
line, 1339.625-1342.875 and 1393.125-1396.375 (tails 1344 ... 1392). First line: 89 - 4 - 1 - 2 = 82 full
joists; third 89 - 4 = 85. Headers of the stairs 48 + 1.5 = 49.5, of the shaft 24 + 1.5 = 25.5. Tails:
west stair y 48..180: 1.5 to 48 - 4.375 - 0.375 = 43.25: 41.75, and 184.75 to 246: 61.25. Shaft y 96..132:
1.5 to 91.25: 89.75, and 136.75 to 246: 109.25. East stair y 372..504: 306 to 367.25: 61.25, and 508.75 to
550.5: 41.75.
"""

from __future__ import annotations

from collections import Counter

from framing.engine.members import MemberKind
from tests.engine.layout.builders import centres, joists, lay, lengths, sample


def test_joists_of_each_line() -> None:
    layout = lay(sample("corridor"))
    assert Counter(lengths(joists(layout, line=0))) == {244.5: 82, 41.75: 4, 61.25: 4, 89.75: 1, 109.25: 1}
    assert Counter(lengths(joists(layout, line=1))) == {84.0: 89}
    assert Counter(lengths(joists(layout, line=2))) == {244.5: 85, 61.25: 4, 41.75: 4}


def test_headers() -> None:
    layout = lay(sample("corridor"))
    headers = [member for member in layout.members if member.kind is MemberKind.HEADER]
    assert Counter(lengths(headers)) == {49.5: 4, 25.5: 2}


def test_corridor_joists_give_way_to_trimmers_that_lap_beside_them() -> None:
    # The second line stands on 17.625 + 16 k. At 97.625 (west stair), 721.625 (shaft) and 1393.625 (east
    # stair) it would stand in a trimmer's lap: away from its own neighbour to the far face + 0.8125.
    line = centres(joists(lay(sample("corridor")), line=1))
    off = [centre for centre in line if (centre - 17.625) % 16]
    assert off == [101.1875, 723.6875, 1397.1875]
