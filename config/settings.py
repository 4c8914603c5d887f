"""Every setting, from the environment; `manage.py check` explains a wrong one."""

from importlib import import_module
from pathlib import Path
from urllib.parse import quote

from config import environment, sqlite

sqlite.use_the_newest()

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(environment.text("CREWJOBS_DATA", str(BASE_DIR / "var"))).resolve()

DEBUG = environment.flag("DEBUG")
SECRET_KEY = environment.secret("SECRET_KEY", DATA_DIR / "secret_key")
SECRET_KEY_FALLBACKS = environment.words("SECRET_KEY_FALLBACKS")
PUBLIC_URL = environment.text("PUBLIC_URL", "http://localhost:8000").rstrip("/")
ALLOWED_HOSTS = environment.words("ALLOWED_HOSTS") or environment.hosts(PUBLIC_URL)
IS_HTTPS = PUBLIC_URL.startswith("https://")
CSRF_TRUSTED_ORIGINS = [PUBLIC_URL]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "crewjobs",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "crewjobs.web.headers.ContentSecurityPolicy",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "builtins": ["crewjobs.web.wording"],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

SQLITE_VERSION: sqlite.Version = import_module("sqlite3").sqlite_version_info
SQLITE_JOURNAL = sqlite.journal(SQLITE_VERSION)
DATABASES = {
    "default": environment.database(
        environment.text("DATABASE_URL", f"sqlite:///{quote(str(DATA_DIR))}/crewjobs.sqlite3"),
        SQLITE_JOURNAL,
        environment.text("DATABASE_PASSWORD"),
    ),
}

AUTH_USER_MODEL = "crewjobs.Person"
LOGIN_URL = "sign-in"
CSRF_FAILURE_VIEW = "crewjobs.web.errors.form_expired"
LOGIN_REDIRECT_URL = "start"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = IS_HTTPS
SESSION_COOKIE_NAME = "__Host-session" if IS_HTTPS else "session"
CSRF_COOKIE_NAME = "__Host-csrf" if IS_HTTPS else "csrf"
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SECURE_SSL_REDIRECT = IS_HTTPS
SECURE_REDIRECT_EXEMPT = ["^healthz$", "^readyz$"]
SECURE_PROXY_SSL_HEADER = (
    ("HTTP_X_FORWARDED_PROTO", "https") if environment.flag("BEHIND_PROXY") else None
)
SECURE_HSTS_SECONDS = 31_536_000 if IS_HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = IS_HTTPS
X_FRAME_OPTIONS = "DENY"

LANGUAGE_CODE = "en-us"
TIME_ZONE = "UTC"
USE_TZ = True
USE_I18N = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # whitenoise warns of a folder that is not there
WHITENOISE_USE_FINDERS = True
MEDIA_ROOT = DATA_DIR / "files"
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_000_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_000_000

EMAIL_BACKEND = environment.text(
    "EMAIL_BACKEND", "django.core.mail.backends.filebased.EmailBackend"
)
EMAIL_FILE_PATH = str(DATA_DIR / "mail")
EMAIL_HOST = environment.text("EMAIL_HOST", "localhost")
EMAIL_PORT = environment.number("EMAIL_PORT", 25)
EMAIL_HOST_USER = environment.text("EMAIL_HOST_USER")
EMAIL_HOST_PASSWORD = environment.text("EMAIL_HOST_PASSWORD")
EMAIL_USE_TLS = environment.flag("EMAIL_USE_TLS")
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = environment.text("MAIL_FROM", "Crew office <office@localhost>")
TEXT_GATEWAY_URL = environment.text("TEXT_GATEWAY_URL")
TEXT_GATEWAY_SECRET = environment.text("TEXT_GATEWAY_SECRET")
ROADS_URL = environment.text("ROADS_URL")

REDIS_URL = environment.text("REDIS_URL")
CELERY_BROKER_URL = REDIS_URL or "memory://"
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TASK_TIME_LIMIT = 60
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 600,
    "unacked_restore_interval": 10,
    "unacked_restore_throttle": 1,
}
CELERY_BEAT_SCHEDULE = {
    "work the outbox": {"task": "crewjobs.work_outbox", "schedule": 5.0, "options": {"expires": 5}},
}
CACHES = {
    "default": {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": REDIS_URL}
    if REDIS_URL
    else {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "OPTIONS": {"MAX_ENTRIES": 5_000},
    },
}

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "crewjobs.api.signing_in.TokenAuthentication",
        "crewjobs.api.signing_in.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["crewjobs.api.access.Declared"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_PAGINATION_CLASS": "crewjobs.api.paging.Newest",
    "DEFAULT_SCHEMA_CLASS": "crewjobs.api.schema.Schema",
    "EXCEPTION_HANDLER": "crewjobs.api.errors.problem",
    "PAGE_SIZE": 50,
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "crewjobs",
    "DESCRIPTION": "Jobs of a stone shop, their hours, their plan and what comes from the site.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": False,
    "POSTPROCESSING_HOOKS": [],
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": environment.text("LOG_LEVEL", "WARNING")},
}
