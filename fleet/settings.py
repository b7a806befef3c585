"""Settings of the site, read from the environment alone; a wrong value stops the start.

With nothing set the embedded default works: SQLite, a queue in a folder, mail written to files,
all below EVENER_DATA.  With DATABASE_URL, REDIS_URL and EMAIL_URL set, the same code runs on
PostgreSQL, Redis and SMTP.  Variables: DATABASE_URL, REDIS_URL, EMAIL_URL, SECRET_KEY,
ALLOWED_HOSTS, BASE_URL, EVENER_DATA, DEBUG, DEFAULT_FROM_EMAIL, CURRENCY, LOG_LEVEL,
BACK_UP_DAYS, BACK_UP_FOLDER, METRICS_KEY, LOG_FORMAT (plain or json), PROXY_HOPS, HSTS_PRELOAD.
"""

from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import environ
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from fleet.data_folder import prepare_data_folder
from fleet.secret import secret_key
from fleet.structured_logs import password_in

env = environ.Env()

ROOT = Path(__file__).resolve().parent.parent
DATA = Path(env.str("EVENER_DATA", str(ROOT / ".evener"))).resolve()
"""Folder of the embedded database, queue, mail and secret key."""
prepare_data_folder(DATA, ("queue", "control", "mail", "static"))
FILE_UPLOAD_PERMISSIONS = 0o600
FILE_UPLOAD_DIRECTORY_PERMISSIONS = 0o700

PHOTOS = DATA / "photos"
"""Photos of hand-overs; only a page that looks who asks hands them out."""

DEBUG = env.bool("DEBUG", False)
SECRET_KEY = env.str("SECRET_KEY", "") or secret_key(DATA / "secret_key")

BASE_URL = env.str("BASE_URL", "http://127.0.0.1:8000").rstrip("/")
"""Address at which people reach the site; links in mail start with it."""
_base = urlsplit(BASE_URL)
if _base.scheme not in ("http", "https") or not _base.hostname:
    raise ImproperlyConfigured(
        f"BASE_URL is {BASE_URL!r}; write a full address such as https://fleet.example.org"
    )
_hosts = ["127.0.0.1", "localhost", "[::1]", _base.hostname]
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=_hosts)
CSRF_TRUSTED_ORIGINS = [f"{_base.scheme}://{_base.netloc}"]

INSTALLED_APPS = [
    "django.contrib.admin.apps.SimpleAdminConfig",  # our own set-up sheets, see fleet.admin
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.humanize",
    "django.contrib.messages",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "django_htmx",
    "django_tables2",
    "fleet.apps.FleetConfig",
    "scheduling.apps.SchedulingConfig",
]

MIDDLEWARE = [
    "fleet.structured_logs.RequestNumbers",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "fleet.tongues.page_language.PageLanguage",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "fleet.from_phone.FromPhone",
    "fleet.asking_to_sign_in.AskToSignIn",
    "fleet.gate.Gate",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "csp.middleware.CSPMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "fleet.once.Once",
    "axes.middleware.AxesMiddleware",
]

AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
    "fleet.hand_backend.HandBackend",
]
AUTH_USER_MODEL = "fleet.Person"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign-in"

PROXY_HOPS = env.int("PROXY_HOPS", 0)
"""How many proxies of one's own stand before the site; so many entries of X-Forwarded-For count."""
if PROXY_HOPS < 0:
    raise ImproperlyConfigured(f"PROXY_HOPS is {PROXY_HOPS}; write 0 or how many proxies there are")

# Who waits after wrong passwords, and for how long: fleet/sign_in_waits.py.
AXES_HANDLER = "fleet.sign_in_throttle.Throttle"
AXES_CLIENT_IP_CALLABLE = "fleet.client_address.client_address"
AXES_LOCKOUT_CALLABLE = "fleet.sign_in_throttle.wait_page"
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False  # a try not let try makes no wait longer
AXES_VERBOSE = False

ROOT_URLCONF = "fleet.urls"
WSGI_APPLICATION = "fleet.wsgi.application"

FORM_RENDERER = "fleet.forms.select_rendering.SelectsAtOnce"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [ROOT / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "fleet.context.site",
            ],
            "builtins": [
                "fleet.templatetags.show",
                "fleet.templatetags.parts",
                "fleet.templatetags.form_keys",
                "fleet.templatetags.tongue",
                "django.templatetags.i18n",
            ],
        },
    }
]

# SQLite: a write lock taken at the start of a transaction cures "database is locked"; WAL lets
# readers go on meanwhile.  FULL puts each commit on the disk before it is answered: with less, a
# power cut can take the last ones with it (https://www.sqlite.org/pragma.html#pragma_synchronous).
SQLITE_OPTIONS = {
    "timeout": 20,
    "transaction_mode": "IMMEDIATE",
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
}
_database = env.str("DATABASE_URL", "") or f"sqlite:///{DATA / 'evener.sqlite3'}"
DATABASES: dict[str, dict[str, Any]] = {"default": dict(env.db_url_config(_database))}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["OPTIONS"] = SQLITE_OPTIONS
    # A file, since threads of one test do not share an in-memory database.
    DATABASES["default"]["TEST"] = {"NAME": DATA / "test.sqlite3"}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

METRICS_KEY = env.str("METRICS_KEY", "")
"""Who sends it reads /metrics; empty: nobody does."""

BACK_UP_DAYS = env.int("BACK_UP_DAYS", 14)
"""For how many days the night's copies of the site are kept; 0: none are made."""
BACK_UP_FOLDER = env.str("BACK_UP_FOLDER", "") or str(DATA / "back_ups")
"""Where they are kept; another disk is the better place."""

CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]  # as fleet.models.people.Tongue has them
LOCALE_PATHS = [ROOT / "fleet" / "locale", ROOT / "fixtures" / "locale"]  # pages; the library
FORMAT_MODULE_PATH = ["fleet.tongues.formats"]
LANGUAGE_COOKIE_AGE = 60 * 60 * 24 * 365
LANGUAGE_COOKIE_HTTPONLY = True
TIME_ZONE = "UTC"
USE_I18N = True
USE_TZ = True
CURRENCY = env.str("CURRENCY", "") or "$"  # a default of "$" would name another variable
"""Sign that stands before money on screens and papers."""

STATIC_URL = "static/"
STATICFILES_DIRS = [ROOT / "templates" / "static"]
STATIC_ROOT = DATA / "static"
WHITENOISE_USE_FINDERS = True  # no collectstatic is needed for one machine
WHITENOISE_AUTOREFRESH = DEBUG

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "worker-src": [SELF],
        "object-src": [NONE],
        "base-uri": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
_https = _base.scheme == "https"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = LANGUAGE_COOKIE_SECURE = _https
SECURE_SSL_REDIRECT = _https
SECURE_REDIRECT_EXEMPT = [r"^healthz$"]  # asked from inside, past the proxy
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if _https else None
SECURE_HSTS_SECONDS = 31_536_000 if _https else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = _https
# A browser's list of preloaded names is hard to leave, and binds the whole domain: only if asked.
SECURE_HSTS_PRELOAD = _https and env.bool("HSTS_PRELOAD", False)
SILENCED_SYSTEM_CHECKS = ["security.W021"]  # it asks for preloading, which is the owner's to wish
HAND_SESSION_AGE = 60 * 60 * 24 * 365
"""Seconds for which a ranch hand's phone stays signed in; taking back the key ends it at once."""
PASSWORD_RESET_TIMEOUT = 60 * 60 * 24  # seconds for which a link to a new password works
SESSION_COOKIE_AGE = 60 * 60 * 24 * 30  # a phone in the barn stays signed in for a month

if env.str("EMAIL_URL", ""):
    vars().update(env.email_url("EMAIL_URL"))
else:
    EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    EMAIL_FILE_PATH = str(DATA / "mail")
EMAIL_TIMEOUT = 5  # seconds
DEFAULT_FROM_EMAIL = env.str("DEFAULT_FROM_EMAIL", f"Evener <evener@{_base.hostname}>")

REDIS_URL = env.str("REDIS_URL", "")
if REDIS_URL:
    CELERY_BROKER_URL = REDIS_URL
    CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, object] = {
        "visibility_timeout": 3600,  # longer than any task; the lease in the database is shorter
        "unacked_restore_interval": 10,
        "unacked_restore_throttle": 1,
        # A Redis that is down must not keep a page waiting: the sweep rings again anyway.
        "socket_connect_timeout": 2,
        "max_retries": 1,
        "interval_start": 0,
        "interval_step": 0.1,
        "interval_max": 0.1,
    }
else:
    CELERY_BROKER_URL = "filesystem://localhost"  # without a host the library warns at each ring
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "data_folder_in": str(DATA / "queue"),
        "data_folder_out": str(DATA / "queue"),
        "control_folder": str(DATA / "control"),
        "store_processed": False,
        "polling_interval": 0.2,
    }
    # On this queue the processes of a pool read their work under one lock.  One that is killed
    # while it waits (by a system out of memory) takes the lock with it, and the next waits for
    # good.  A worker that works itself is gone whole when it is killed, and is started again.
    CELERY_WORKER_POOL = "solo"
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA / "beat")
CELERY_BEAT_SCHEDULE = {
    # The queue is a doorbell: what is owed stands in the database, and this looks at it anyway.
    "sweep": {"task": "scheduling.tasks.sweep", "schedule": 20.0, "options": {"expires": 20}},
    "nights": {"task": "scheduling.tasks.nights", "schedule": 60.0, "options": {"expires": 60}},
}

DJANGO_TABLES2_TEMPLATE = "components/table.html"

_secrets = [
    SECRET_KEY, METRICS_KEY, str(DATABASES["default"].get("PASSWORD") or ""),
    *password_in(env.str("EMAIL_URL", "")), *password_in(REDIS_URL),
]  # fmt: skip
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "plain": {"()": "fleet.structured_logs.PlainLines", "secrets": _secrets},
        "json": {"()": "fleet.structured_logs.JsonLines", "secrets": _secrets},
    },
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "formatter": "json" if env.str("LOG_FORMAT", "plain") == "json" else "plain",
        }
    },
    "root": {"handlers": ["console"], "level": env.str("LOG_LEVEL", "WARNING")},
}
