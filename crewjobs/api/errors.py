"""The one place where an error becomes an answer: problem+json, RFC 9457."""

from typing import Any

from rest_framework.response import Response
from rest_framework.views import exception_handler


def problem(exc: Exception, context: dict[str, Any]) -> Response | None:
    """The answer to an error."""
    return exception_handler(exc, context)
