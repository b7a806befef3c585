#!/usr/bin/env python
"""Run one of the project's commands: python manage.py COMMAND."""

import os
import sys

from django.core.management import execute_from_command_line


def main() -> None:
    """Hand the command line to Django, with this project's settings."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.settings")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
