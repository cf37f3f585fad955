"""What holds for every span table."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.catalogue import load_catalogue
from framing.engine.practice import Practice
from framing.engine.sizing.span_table import SpanCase, SpanTable, span_table

PROFILES = load_catalogue().profiles[::4]
CASES = st.builds(
    SpanCase,
    dead_psf=st.floats(3.0, 60.0),
    live_psf=st.floats(10.0, 150.0),
    live_limit=st.sampled_from((0, 360, 480, 600)),
    total_limit=st.sampled_from((0, 240, 360)),
    spans=st.sampled_from(("single", "two")),
    spacings_in=st.just((12.0, 16.0, 19.2, 24.0)),
    partition_psf=st.sampled_from((0.0, 15.0)),
    vibration_point_load=st.booleans(),
)


def _spans(table: SpanTable) -> list[list[float]]:
    return [[cell.span_in for cell in row.cells] for row in table.rows]


@settings(max_examples=25)
@given(CASES)
def test_a_wider_spacing_never_spans_farther(case: SpanCase) -> None:
    for spans in _spans(span_table(PROFILES, case, Practice())):
        assert spans == sorted(spans, reverse=True)
        assert spans[-1] > 0


@settings(max_examples=25)
@given(CASES, st.floats(1.0, 2.0), st.floats(1.0, 2.0))
def test_more_load_never_spans_farther(case: SpanCase, dead: float, live: float) -> None:
    more = replace(case, dead_psf=case.dead_psf * dead, live_psf=case.live_psf * live)
    for before, after in zip(
        _spans(span_table(PROFILES, case, Practice())),
        _spans(span_table(PROFILES, more, Practice())),
        strict=True,
    ):
        assert all(a <= b for a, b in zip(after, before, strict=True))


@settings(max_examples=10)
@given(CASES)
def test_equal_cases_have_equal_tables(case: SpanCase) -> None:
    assert span_table(PROFILES, case, Practice()) == span_table(PROFILES, replace(case), Practice())
