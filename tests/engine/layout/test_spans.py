"""Spans of a stepped floor (R24), in inches; joists along y at 16."""

from __future__ import annotations

from tests.engine.layout.builders import document, lay, plan_of


def test_a_tab_with_no_clear_span_is_no_part_of_one() -> None:
    # 242 x 168 with a tab 8 x 11 at the low right corner: two 5 1/2 walls leave nothing between them there,
    # and no station stands on it.
    tab = [[0, 0], [250, 0], [250, 11], [242, 11], [242, 168], [0, 168]]
    (span,) = lay(plan_of(document(tab))).spans
    assert span.reach == ((0, 242 * 16, 88, 168 * 16 - 88),)
    # A sixteenth deeper it is a strip of the same span, with a sixteenth clear.
    tab[2][1] = tab[3][1] = "11 1/16"
    (span,) = lay(plan_of(document(tab))).spans
    assert span.reach == ((0, 242 * 16, 88, 168 * 16 - 88), (242 * 16, 250 * 16, 88, 89))
