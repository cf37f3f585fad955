"""The demo and development on one machine, over plain http on loopback."""

import contextlib
import os
import secrets
import tempfile
from pathlib import Path

from framing.config.settings.base import *  # noqa: F403
from framing.config.settings.base import DATA_DIR, env

DEBUG = env.bool("SPANYARD_DEBUG", default=False)
SPANYARD_DEMO = env.bool("SPANYARD_DEMO", default=True)
# Static files straight from the apps: no collectstatic before the first start.
WHITENOISE_USE_FINDERS = True
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # stays empty; a missing one is warned about
WHITENOISE_AUTOREFRESH = DEBUG


def _kept_secret(name: str) -> str:
    """Return this checkout's own secret, made at the first use and the same for every process."""
    kept: Path = DATA_DIR / "secrets" / name
    if not kept.exists():
        kept.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, half = tempfile.mkstemp(dir=kept.parent)
        os.write(handle, secrets.token_urlsafe(48).encode())
        os.close(handle)
        with contextlib.suppress(FileExistsError):
            os.link(half, kept)  # whole or not at all, and never over another process's
        Path(half).unlink()
    return kept.read_text()


SECRET_KEY = env.str("SECRET_KEY", default="") or _kept_secret("SECRET_KEY")
LINK_KEY = env.str("LINK_KEY", default="") or _kept_secret("LINK_KEY")
