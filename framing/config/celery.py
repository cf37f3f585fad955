"""The Celery app. Tasks take ids, are safe to run twice, and the database is the truth about what is due."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "framing.config.settings.dev")

app = Celery("spanyard")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
