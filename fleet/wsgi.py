"""The entry point of a web server: fleet.wsgi:application."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
application = get_wsgi_application()
