"""The demo and development on one machine, over plain http on loopback."""

from framing.config.settings.base import *  # noqa: F403
from framing.config.settings.base import env

DEBUG = env.bool("SPANYARD_DEBUG", default=False)
# Static files straight from the apps: no collectstatic before the first start.
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG
