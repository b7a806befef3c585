"""Keys that keep what they refer to: a rule of the program, about which the database knows nothing.

Told one by one, Django would render every model that hangs together anew after each of dozens of
keys, half a minute in all; here they are told together and rendered once, where somebody looks.
"""

from django.db import models
from django.db.migrations.operations.base import Operation


class Protect(Operation):
    """Keys of models of an app become PROTECT; model -> names of its keys."""

    reduces_to_sql = False

    def __init__(self, keys):
        self.keys = keys

    def state_forwards(self, app_label, state):
        """Tell each key."""
        state.__dict__.pop("apps", None)  # what is rendered would be kept up to date
        for model, names in self.keys.items():
            for name in names:
                key = state.models[app_label, model].fields[name].clone()
                key.remote_field.on_delete = models.PROTECT
                state.alter_field(app_label, model, name, key, preserve_default=True)

    def database_forwards(self, app_label, schema_editor, from_state, to_state):
        """Leave the tables as they are."""

    def database_backwards(self, app_label, schema_editor, from_state, to_state):
        """Leave the tables as they are."""

    def describe(self):
        """Say what it does."""
        return "Keep what facts refer to from being deleted"
