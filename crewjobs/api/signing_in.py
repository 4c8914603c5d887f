"""Who asks: a session of a page, or a machine's token."""

from rest_framework import authentication


class SessionAuthentication(authentication.SessionAuthentication):
    """The session that the pages use."""


class TokenAuthentication(authentication.TokenAuthentication):
    """A token whose hash we keep."""
