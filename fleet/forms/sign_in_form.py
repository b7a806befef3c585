"""The sign-in form, in the site's own words."""

from django.contrib.auth.forms import AuthenticationForm


class SignInForm(AuthenticationForm):
    """Name and password."""

    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": "No account has this name and password. Check both; capitals matter.",
        "inactive": "This person may no longer sign in; a fleet manager can change that.",
    }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.fields["username"].label = "Name"
        self.fields["username"].error_messages["required"] = "Write your name."
        self.fields["password"].error_messages["required"] = "Write your password."
