"""Which of a clause's factors each design method takes (AISI S100 B3.2)."""

from __future__ import annotations

import pytest

from framing.engine.method import Factors, Method


@pytest.mark.parametrize(("method", "share"), [(Method.ASD, 0.625), (Method.LRFD, 0.9), (Method.LSD, 0.85)])
def test_share_of_the_nominal_strength(method: Method, share: float) -> None:
    assert Factors(omega=1.6, phi_lrfd=0.9, phi_lsd=0.85).share(method) == share
