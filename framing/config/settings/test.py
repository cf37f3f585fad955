"""The test suite: PostgreSQL as in production, quick password hashes, mail kept in memory."""

from framing.config.settings.base import *  # noqa: F403
from framing.config.settings.base import BASE_DIR, DATABASES, env

SECRET_KEY = "the-test-suite-signs-with-this-and-nothing-else-does"
LINK_KEY = "the-test-suite-keys-links-with-this-and-nothing-else-does"
ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]

# A name of one's own lets several people run tests on one server at once.
DATABASES["default"]["TEST"] = {"NAME": env.str("TEST_DATABASE_NAME", default="test_spanyard")}
DATABASES["default"]["CONN_MAX_AGE"] = 0

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
PAPERS_DIR = BASE_DIR / ".data" / "test-papers"
# Files come from the finders; the folder only has to be there.
STATIC_ROOT = BASE_DIR / ".data" / "test-static"
STATIC_ROOT.mkdir(parents=True, exist_ok=True)
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
# No test may reach a broker by accident; publishing fails at once and the sweep is tested by calling it.
CELERY_BROKER_URL = "memory://"
