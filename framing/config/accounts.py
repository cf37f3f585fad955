"""How people get in: by e-mail address; accounts are made by an administrator, never by a visitor."""

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class ClosedAdapter(DefaultAccountAdapter):  # type: ignore[misc]  # allauth ships no types
    """Sign-in and password reset as allauth does them, sign-up closed."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:  # noqa: ARG002  # allauth's signature
        """Tell that nobody can make an account for themselves."""
        return False
