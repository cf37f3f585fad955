"""Settings: `base` is shared; one of `dev`, `test`, `prod` is named by DJANGO_SETTINGS_MODULE."""
