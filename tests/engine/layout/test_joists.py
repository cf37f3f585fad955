"""Joists beside trimmers, worked by hand (R7), in inches; flange 1 5/8, half of it 13/16."""

from __future__ import annotations

from tests.engine.layout.builders import centres, joists, lay, rectangle


def test_a_joist_goes_where_two_trimmers_leave_no_room_for_it() -> None:
    # Trimmer of the first opening 76.125 to 79.375, of the second from 80.375: 1 in between. Station 80 would
    # be pushed from one to the other; with 1 5/8 between them (from 81) it just fits at 80.1875.
    def beside(second: object) -> list[float]:
        openings = [
            {"id": "S1", "name": "S1", "corner": [39, 40], "size": [36, 80]},
            {"id": "S2", "name": "S2", "corner": [second, 40], "size": [36, 80]},
        ]
        found = centres(joists(lay(rectangle(240, 168, openings=openings))))
        return [centre for centre in found if 76 < centre < 84]

    assert beside("84 3/4") == []
    assert beside("85 3/8") == [80.1875]
