"""The Django project: settings, addresses, background work, the private services of `./run`."""

from framing.config.celery import app as celery_app

__all__ = ["celery_app"]
