"""What every kind of installation shares; values come from the environment or `.env` beside manage.py."""

import os
import zoneinfo
from pathlib import Path
from typing import Any

import django_stubs_ext
import environ
from django.core.exceptions import ImproperlyConfigured

from framing.config import embedded

# ModelAdmin[User] and its like are types; without this Django refuses them when the module is read.
django_stubs_ext.monkeypatch()

BASE_DIR = Path(__file__).resolve().parents[3]
DATA_DIR = BASE_DIR / ".data"

env = environ.Env()
environ.Env.read_env(BASE_DIR / ".env")

# --- secrets and hosts: the defaults serve the demo on loopback; prod.py refuses them ---
DEFAULT_SECRET = "not-a-secret-and-refused-in-production"
SECRET_KEY = env.str("SECRET_KEY", default=DEFAULT_SECRET)
LINK_KEY = env.str("LINK_KEY", default=DEFAULT_SECRET)
DEBUG = False
ALLOWED_HOSTS: list[str] = env.list("SPANYARD_HOSTS", default=["127.0.0.1", "localhost", "[::1]"])
CSRF_TRUSTED_ORIGINS: list[str] = env.list("SPANYARD_ORIGINS", default=[])
# True: `./run` fills an empty database with the demo company and names its sign-ins.
SPANYARD_DEMO = False
PUBLIC_URL = env.str("SPANYARD_PUBLIC_URL", default="http://127.0.0.1:8000")
# The supplier on papers and builders' pages; the defaults are the demo's invented company.
SPANYARD_COMPANY = {
    "name": env.str("SPANYARD_COMPANY_NAME", default="Larkmeadow Joist Supply"),
    "street": env.str("SPANYARD_COMPANY_STREET", default="1 Sample Road"),
    "city": env.str("SPANYARD_COMPANY_CITY", default="Larkmeadow"),
    "phone": env.str("SPANYARD_COMPANY_PHONE", default="555-0100"),
    "email": env.str("SPANYARD_COMPANY_EMAIL", default="quotes@larkmeadow.example"),
    "paper_size": env.str("SPANYARD_PAPER_SIZE", default="letter"),
}
# Zones come from the tzdata of the lock: a machine's own may be years old, and rules of summer time change.
zoneinfo.reset_tzpath(to=())
# The zone of sites that name none; an offer ends with the last day at its site.
SPANYARD_TIME_ZONE = env.str("SPANYARD_TIME_ZONE", default="America/New_York")
if SPANYARD_TIME_ZONE not in zoneinfo.available_timezones():
    raise ImproperlyConfigured(
        f"SPANYARD_TIME_ZONE: {SPANYARD_TIME_ZONE} is no zone, such as America/Edmonton."
    )
# Reminders go out so many days before an offer's last day; empty: none by themselves.
SPANYARD_REMINDER_DAYS = env.list("SPANYARD_REMINDER_DAYS", cast=int, default=[3, 1])
# So many days after a delivery's receipt its builder may report what he finds wrong: common practice, with no source.
SPANYARD_REPORT_DAYS = env.int("SPANYARD_REPORT_DAYS", default=7)
if not 0 <= SPANYARD_REPORT_DAYS <= 365:
    raise ImproperlyConfigured(f"SPANYARD_REPORT_DAYS: {SPANYARD_REPORT_DAYS} is not between 0 and 365 days.")

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.postgres",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "csp",
    "django_htmx",
    "pgtrigger",
    "rest_framework",
    "drf_spectacular",
    "framing.common",
    "framing.projects",
    "framing.api",
    "quotes",
    "orders",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "orders.site_language.BuilderLanguageMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "framing.common.middleware.RequestIdMiddleware",
    "framing.common.middleware.CompanyZoneMiddleware",
    "framing.common.middleware.AccessMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "framing.common.intake.IntakeMiddleware",
]

ROOT_URLCONF = "framing.config.urls"
WSGI_APPLICATION = "framing.config.wsgi.application"

TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "framing.common.context.menu",
            ],
        },
    },
]

# --- data ---
DATABASES: dict[str, dict[str, Any]] = {
    "default": env.db("DATABASE_URL", default=embedded.database_url(BASE_DIR))
}
DATABASES["default"]["CONN_MAX_AGE"] = 60
DATABASES["default"]["CONN_HEALTH_CHECKS"] = True
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
# Rate limits live here: a restart of the broker must not forget them.
CACHES: dict[str, dict[str, Any]] = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "cache_entries",
        "OPTIONS": {"MAX_ENTRIES": 100_000},  # past it live entries go too, and with them limits
    }
}
PAPERS_DIR = Path(env.str("SPANYARD_STORAGE", default=str(DATA_DIR / "papers")))

# --- people ---
AUTH_USER_MODEL = "common.User"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "/"
ACCOUNT_ADAPTER = "framing.config.accounts.ClosedAdapter"
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_LOGOUT_REDIRECT_URL = "/account/login/"
ACCOUNT_EMAIL_UNKNOWN_ACCOUNTS = False
ALLAUTH_TRUSTED_PROXY_COUNT = 0  # limits go by the connection; see prod.py for a proxy of ours
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
SESSION_COOKIE_AGE = 60 * 60 * 12
SESSION_SAVE_EVERY_REQUEST = False
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "framing.common.faults.token_missing"

# --- what browsers are told ---
_SELF = ["'self'"]
_NONE = ["'none'"]
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": _NONE,
        "base-uri": _NONE,
        "object-src": _NONE,
        "frame-ancestors": _NONE,
        "script-src": _SELF,
        "style-src": _SELF,
        "img-src": ["'self'", "data:", "blob:"],
        "font-src": _SELF,
        "connect-src": _SELF,
        "worker-src": _SELF,
        "manifest-src": _SELF,
        "form-action": _SELF,
    },
}
X_FRAME_OPTIONS = "DENY"
SECURE_CONTENT_TYPE_NOSNIFF = True
# "no-referrer" would make browsers post our own forms with `Origin: null`, which the token check refuses.
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"

# --- words, time ---
LANGUAGE_CODE = "en-us"
# Staff read English; what a link opens is told in its reader's language (orders/site_language.py).
LANGUAGES = [("en", "English")]
LOCALE_PATHS = [BASE_DIR / "locale"]
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True

# --- files served ---
STATIC_URL = "/static/"
STATIC_ROOT = BASE_DIR / "staticfiles"
STORAGES: dict[str, dict[str, Any]] = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
# Bodies above this are refused before a view runs; floor documents have a limit of their own.
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000

# --- mail ---
vars().update(env.email_url("EMAIL_URL", default="consolemail://"))
DEFAULT_FROM_EMAIL = env.str("SPANYARD_MAIL_FROM", default="Spanyard <spanyard@localhost>")
SERVER_EMAIL = DEFAULT_FROM_EMAIL
EMAIL_TIMEOUT = 10
# The domain in our Message-IDs; empty: that of SPANYARD_PUBLIC_URL.
SPANYARD_MAIL_DOMAIN = env.str("SPANYARD_MAIL_DOMAIN", default="")
# Replies to our mails come to this address with a token (“reply+…@”); empty: they go to the company's own address.
SPANYARD_MAIL_REPLY = env.str("SPANYARD_MAIL_REPLY", default="reply@larkmeadow.example")
# The word with which a mail service may tell us what came back; empty: nobody can.
SPANYARD_MAIL_HOOK_TOKEN = env.str("SPANYARD_MAIL_HOOK_TOKEN", default="")

# --- background work ---
REDIS_URL = env.str("REDIS_URL", default=embedded.redis_url(BASE_DIR))
CELERY_BROKER_URL = embedded.broker_url(REDIS_URL)
CELERY_RESULT_BACKEND = None
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_TASK_ALWAYS_EAGER = False
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
# Worker processes share semaphores in /dev/shm; in a jail that closes it to us, one process does the work.
_SHARED_MEMORY = Path("/dev/shm")  # noqa: S108  # looked at, not written
CELERY_WORKER_POOL = (
    "solo" if _SHARED_MEMORY.exists() and not os.access(_SHARED_MEMORY, os.W_OK) else "prefork"
)
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_TRANSPORT_OPTIONS = {"socket_timeout": 5, "socket_connect_timeout": 5}
# A page that only leaves work behind must not wait for a dead broker: the sweep finds the work.
CELERY_TASK_PUBLISH_RETRY = False
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_DIR / "beat-schedule")
CELERY_BEAT_SCHEDULE = {
    "outbox": {"task": "framing.common.tasks.outbox_sweep", "schedule": 10.0},
    "papers": {"task": "framing.common.tasks.papers_sweep", "schedule": 3600.0},
    "quotes-lapse": {"task": "quotes.tasks.quotes_lapse_due", "schedule": 600.0},
    "quotes-remind": {"task": "quotes.tasks.reminders_due", "schedule": 600.0},
}

# --- the API ---
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    # Operations bring the access table's own check; this one is for a view that forgets it.
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["framing.api.parsers.BoundedJSONParser"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "framing.common.apiview.problem_handler",
    "COERCE_DECIMAL_TO_STRING": True,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Spanyard",
    "DESCRIPTION": "Floors, layouts, quotes and orders of cold-formed steel floor-joist packages.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "ENUM_NAME_OVERRIDES": {
        "QuoteStageEnum": "quotes.states.QuoteStage",
        "OrderStageEnum": "orders.states.OrderStage",
        "ShopPaperKindEnum": "orders.states.ShopPaperKind",
        "ChangeStateEnum": ["draft", "offered", "over", "accepted", "applied", "withdrawn"],
        "LinePlanStateEnum": "orders.states.LinePlanState",
        "DeliveryStateEnum": ["planned", "loaded", "delivered", "dropped"],
        "LoadPlanStateEnum": "orders.states.LoadPlanState",
        "ClaimStateEnum": "orders.states.ClaimState",
        "ClaimKindEnum": "orders.states.ClaimKind",
        "InvoiceKindEnum": "orders.states.InvoiceKind",
        "PaperStateEnum": ["none", "waiting", "started", "done", "parked"],
        "JobStateEnum": ["waiting", "started", "done", "parked"],
        "MailStateEnum": "framing.common.models.MailState",
        "LostReasonEnum": "quotes.lost_models.LostReason",
        "ThreadSideEnum": "quotes.thread_models.Side",
        "ThreadWayEnum": "quotes.thread_models.Way",
        "PracticeStateEnum": ["draft", "in_force", "earlier"],
        "PlanKindEnum": ["pdf", "image", "dxf", "csv", "floor"],
        "PlanStateEnum": ["waiting", "read", "refused"],
    },
}

# --- log ---
LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name} {message}", "style": "{"}},
    "filters": {"secrets": {"()": "framing.config.weblog.SecretFilter"}},
    "handlers": {
        "stderr": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["secrets"]},
    },
    # The PDF and DXF libraries tell of each font and step; what stops a paper is raised, not logged.
    "loggers": {name: {"level": "ERROR"} for name in ("weasyprint", "fontTools", "ezdxf")},
    "root": {"handlers": ["stderr"], "level": env.str("SPANYARD_LOG_LEVEL", default="INFO")},
}
