"""What all tests share."""

import os

from hypothesis import settings

os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"  # a browser test asks the database too

# how long one drawn case takes says more of the machine than of the code
settings.register_profile("evener", deadline=None)
settings.load_profile("evener")
