"""What several tests of quotes stand on."""

from __future__ import annotations

from datetime import datetime

import pytest

from framing.common import mail_sending
from tests.factories import quotes


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[datetime]:
    """The clock of the worker that mails, at the factories' day, to be set."""
    now = [quotes.AT]
    monkeypatch.setattr(mail_sending, "database_now", lambda: now[0])
    return now
