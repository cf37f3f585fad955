"""The entry point of the web server."""

import os

from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "framing.config.settings.dev")

application = get_wsgi_application()

# Read every address now, before the server forks, not in each worker at its first request.
get_resolver().url_patterns  # noqa: B018
