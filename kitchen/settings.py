"""Django's settings. What can differ between kitchens comes from the environment.

`kitchen.base.environment` lists the variables and refuses unknown ones.
"""

import os
from pathlib import Path

import fontpkg_ibm_plex_sans
from django.core.exceptions import ImproperlyConfigured

from kitchen.base.database import database
from kitchen.base.environment import Environment

HOME = Path(__file__).resolve().parent.parent
env = Environment(os.environ)

DEBUG = env.switch("DEBUG", False)
HTTPS = env.switch("HTTPS", not DEBUG)
SECRET_KEY = env.text("SECRET_KEY", "only-for-trying-out-on-this-machine" if DEBUG else "")
if not SECRET_KEY:
    raise ImproperlyConfigured(
        "Set BATHBOOK_SECRET_KEY to a long random text, or BATHBOOK_DEBUG=on to try out."
    )
ALLOWED_HOSTS = env.names("HOSTS", ["localhost", "127.0.0.1", "[::1]"] if DEBUG else [])
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS if HTTPS and host != "*"]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "crispy_forms",
    "kitchen.apps.KitchenConfig",
]

MIDDLEWARE = [
    "kitchen.base.middleware.Packed",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "kitchen.base.middleware.content_security_policy",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "kitchen.people.middleware.site_of_person",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "kitchen.urls"
WSGI_APPLICATION = "kitchen.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [HOME / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "kitchen.base.context.site_name",
                "kitchen.offline.context.outbox",
            ],
            "builtins": ["kitchen.base.filters"],
        },
    }
]
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"
CRISPY_TEMPLATE_PACK = "bathbook"
CRISPY_ALLOWED_TEMPLATE_PACKS = "bathbook"
CRISPY_FAIL_SILENTLY = False

DATABASES = {"default": database(env.text("DATABASE", str(HOME / "db.sqlite3")))}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "kitchen.Person"
AUTHENTICATION_BACKENDS = ["django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = [
    "kitchen.people.hashers.KitchenArgon2",
    "django.contrib.auth.hashers.Argon2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "bench"

LANGUAGE_CODE = "en-gb"
LANGUAGES = [("en-gb", "English")]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "static/"
STATIC_ROOT = env.text("STATIC_ROOT", str(HOME / "staticfiles"))
FONTS = Path(fontpkg_ibm_plex_sans.__file__).resolve().parent / "files"
STATICFILES_DIRS = [HOME / "static", ("fonts", FONTS)]
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG

SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_AGE = 12 * 60 * 60
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = False if DEBUG else HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS and not DEBUG else None
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS and not DEBUG else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS and not DEBUG
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 6 * 1024 * 1024
LOG_FILE_MAX_BYTES = 5 * 1024 * 1024

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
