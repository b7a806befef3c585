"""What all tests share."""

import os

os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"  # a browser test asks the database too
