"""A company's installation behind https. Refuses to start on settings that are only fit for a demo."""

import os

from django.core.exceptions import ImproperlyConfigured

from framing.config.settings.base import *  # noqa: F403
from framing.config.settings.base import ALLOWED_HOSTS, DEFAULT_SECRET, LINK_KEY, SECRET_KEY, STORAGES, env

SHORTEST_SECRET = 50


def _refusals() -> list[str]:
    """Return one sentence for each setting that production cannot accept."""
    found = [
        f"{name} must be a secret of your own, {SHORTEST_SECRET} characters or more."
        for name, value in (("SECRET_KEY", SECRET_KEY), ("LINK_KEY", LINK_KEY))
        if value == DEFAULT_SECRET or len(value) < SHORTEST_SECRET
    ]
    if SECRET_KEY == LINK_KEY:
        found.append("SECRET_KEY and LINK_KEY must differ.")
    if env.bool("SPANYARD_DEBUG", default=False) or env.bool("DEBUG", default=False):
        found.append("SPANYARD_DEBUG must be off.")
    if not os.environ.get("SPANYARD_HOSTS") or "*" in ALLOWED_HOSTS:
        found.append("SPANYARD_HOSTS must name the hosts that this installation answers for.")
    found += [f"{name} must be set." for name in ("DATABASE_URL", "REDIS_URL") if not os.environ.get(name)]
    return found


if refusals := _refusals():
    raise ImproperlyConfigured(" ".join(refusals))

DEBUG = False
SECURE_SSL_REDIRECT = env.bool("SPANYARD_SSL_REDIRECT", default=True)
# Asked from inside the container, without the proxy.
SECURE_REDIRECT_EXEMPT = [r"^health/"]
SECURE_HSTS_SECONDS = 31_536_000
SECURE_HSTS_INCLUDE_SUBDOMAINS = True
SECURE_HSTS_PRELOAD = True
# Only where a proxy sets this header on every request; otherwise anyone could claim https.
if env.bool("SPANYARD_BEHIND_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    ALLAUTH_TRUSTED_PROXY_COUNT = 1  # it also adds the caller's address; limits go by it

SESSION_COOKIE_SECURE = True
SESSION_COOKIE_NAME = "__Host-session"
CSRF_COOKIE_SECURE = True
CSRF_COOKIE_NAME = "__Host-csrf"

STORAGES["staticfiles"] = {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"}
