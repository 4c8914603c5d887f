"""Who asks: a session of a page, or a machine's token."""

from datetime import UTC, datetime

from rest_framework import authentication, exceptions
from rest_framework.request import Request

from crewjobs.actions import tokens
from crewjobs.models import ApiToken, Person


class SessionAuthentication(authentication.SessionAuthentication):
    """The session that the pages use. What changes something needs the CSRF token too."""


class TokenAuthentication(authentication.BaseAuthentication):
    """`Authorization: Bearer <token>`; of a token we keep only the hash."""

    def authenticate(self, request: Request) -> tuple[Person, ApiToken] | None:
        """The person and the token, or None where no token was sent."""
        scheme, _, token = request.headers.get("Authorization", "").partition(" ")
        if scheme.lower() != "bearer":
            return None
        now = datetime.now(tz=UTC)
        found = tokens.find(token.strip())
        if found is None:
            raise exceptions.AuthenticationFailed("The token is not known.")
        tokens.touch(found, now=now)
        return found.person, found

    def authenticate_header(self, request: Request) -> str:  # noqa: ARG002  the framework's signature
        """What a 401 asks for."""
        return "Bearer"
