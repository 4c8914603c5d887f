"""Who may ask: an endpoint says which verb each of its methods needs, or nobody gets in."""

from typing import ClassVar

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from crewjobs.models import Person
from crewjobs.permissions import may

ANYONE = "anyone"
"""Needs no sign-in: signing in itself, and the description of the API."""
SIGNED_IN = "signed in"
"""Needs no more than being one of the shop's people."""


def verb_of(view: object, method: str | None) -> str | None:
    """The verb that a method needs; None where the endpoint does not say."""
    name = "get" if method == "HEAD" else (method or "").lower()
    done = getattr(getattr(view, name, None), "does", None)
    return getattr(done, "verb", None)


class Declared(BasePermission):
    """Lets in whose role allows the verb that the endpoint declares."""

    message: ClassVar[str] = "Your role does not allow that."

    def has_permission(self, request: Request, view: object) -> bool:
        """Whether this person may ask this at all; actions ask again."""
        verb = verb_of(view, request.method)
        if verb == ANYONE:
            return True
        if not isinstance(request.user, Person):
            return False
        if verb is None:
            return not _is_handled(view, request.method)
        return verb == SIGNED_IN or may(request.user, verb)


def _is_handled(view: object, method: str | None) -> bool:
    """Whether the endpoint has the method at all; where it has not, the answer is 405."""
    name = (method or "").lower()
    return name in getattr(view, "http_method_names", ()) and hasattr(view, name)
