"""The one place where an error becomes an answer: problem+json, RFC 9457.

Every entry of `errors` points at what is wrong with a JSON pointer (RFC 6901) into the body that
was sent. What is not known here is a bug of ours and stays one: a plain 500 without details.
"""

from collections.abc import Iterator, Mapping
from http import HTTPStatus
from typing import Any

from django.core.exceptions import (
    ObjectDoesNotExist,
    PermissionDenied,
    RequestDataTooBig,
    ValidationError,
)
from django.db import DataError, IntegrityError, InterfaceError, OperationalError
from django.http import Http404, HttpRequest, JsonResponse
from django.views.decorators.csrf import csrf_exempt
from rest_framework import exceptions
from rest_framework.exceptions import APIException, ErrorDetail
from rest_framework.response import Response
from rest_framework.settings import api_settings

from crewjobs.actions.errors import (
    ActionError,
    ConflictError,
    InvalidError,
    NotAllowedError,
    RefusedError,
)
from crewjobs.domain.findings import Finding

CONTENT_TYPE = "application/problem+json"
RETRY_AFTER_S = "5"

STATUSES: Mapping[type[Exception], tuple[HTTPStatus, str]] = {
    RefusedError: (HTTPStatus.CONFLICT, "refused"),
    InvalidError: (HTTPStatus.BAD_REQUEST, "invalid"),
    ConflictError: (HTTPStatus.CONFLICT, "conflict"),
    NotAllowedError: (HTTPStatus.FORBIDDEN, "not-allowed"),
    Http404: (HTTPStatus.NOT_FOUND, "not-found"),
    ObjectDoesNotExist: (HTTPStatus.NOT_FOUND, "not-found"),
    PermissionDenied: (HTTPStatus.FORBIDDEN, "not-allowed"),
    RequestDataTooBig: (HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "too-large"),
    ValidationError: (HTTPStatus.BAD_REQUEST, "invalid"),
    DataError: (HTTPStatus.BAD_REQUEST, "invalid"),
    RecursionError: (HTTPStatus.BAD_REQUEST, "invalid"),
    IntegrityError: (HTTPStatus.CONFLICT, "conflict"),
    OperationalError: (HTTPStatus.SERVICE_UNAVAILABLE, "busy"),
    InterfaceError: (HTTPStatus.SERVICE_UNAVAILABLE, "busy"),
}
"""Looked up in this order: the first that fits."""

DETAILS = {
    "not-found": "There is nothing here, or you may not see it.",
    "invalid": "It cannot be written down as it was sent.",
    "conflict": "It does not go together with what is stored already.",
    "busy": "The database does not answer. Try again shortly: nothing was written.",
    "too-large": "The body is too large.",
}
"""What is said where the error's own words would not help, or would tell too much."""


def problem(exc: Exception, _context: Mapping[str, Any]) -> Response | None:
    """The answer to an error; None where it is our own mistake."""
    if isinstance(exc, APIException):
        return _of_framework(exc)
    for kind, (status, code) in STATUSES.items():
        if isinstance(exc, kind):
            detail = str(exc) if isinstance(exc, ActionError) else DETAILS.get(code, "")
            headers = {"Retry-After": RETRY_AFTER_S} if code == "busy" else {}
            return _response(_body(status, code, detail) | _particulars(exc), headers)
    return None


@csrf_exempt
def not_found(_request: HttpRequest) -> JsonResponse:
    """The answer to an address that nothing stands behind."""
    body = _body(HTTPStatus.NOT_FOUND, "not-found", DETAILS["not-found"])
    return JsonResponse(body, status=body["status"], content_type=CONTENT_TYPE)


def broken(_request: HttpRequest) -> JsonResponse:
    """The answer to a mistake of our own."""
    body = _body(HTTPStatus.INTERNAL_SERVER_ERROR, "broken", "This is our mistake; it is logged.")
    return JsonResponse(body, status=body["status"], content_type=CONTENT_TYPE)


def _of_framework(exc: APIException) -> Response:
    headers = {}
    if challenge := getattr(exc, "auth_header", None):
        headers["WWW-Authenticate"] = challenge
    if wait_s := getattr(exc, "wait", None):
        headers["Retry-After"] = str(int(wait_s))
    if isinstance(exc, exceptions.ValidationError):
        errors = list(_pointers(exc.detail))
        detail = "; ".join(f"{each['pointer']}: {each['detail']}" for each in errors)
        return _response(_body(HTTPStatus.BAD_REQUEST, "invalid", detail) | {"errors": errors})
    codes = exc.get_codes()
    code = codes.replace("_", "-") if isinstance(codes, str) else "invalid"
    return _response(_body(HTTPStatus(exc.status_code), code, str(exc.detail)), headers)


def _particulars(exc: Exception) -> dict[str, Any]:
    if isinstance(exc, RefusedError):
        return {"findings": [shown(finding) for finding in exc.findings]}
    if isinstance(exc, InvalidError):
        return {
            "errors": [
                {"pointer": pointer, "code": "invalid", "detail": detail}
                for pointer, detail in exc.problems.items()
            ]
        }
    return {}


def shown(finding: Finding) -> dict[str, str | float | None]:
    """A finding as the API says it."""
    return {
        "code": finding.code,
        "severity": finding.severity,
        "message": finding.message,
        "about": finding.about,
        "source": finding.source,
        "value": finding.value,
        "limit": finding.limit,
        "unit": finding.unit,
    }


def _pointers(detail: Any, where: str = "") -> Iterator[dict[str, str]]:
    """Each leaf of a nested detail, with the pointer to it."""
    if isinstance(detail, Mapping):
        for key, value in detail.items():
            is_whole = key == api_settings.NON_FIELD_ERRORS_KEY
            yield from _pointers(value, where if is_whole else f"{where}/{_escaped(str(key))}")
    elif isinstance(detail, list):
        for number, value in enumerate(detail):
            is_leaf = isinstance(value, ErrorDetail)
            yield from _pointers(value, where if is_leaf else f"{where}/{number}")
    else:
        yield {"pointer": where, "code": getattr(detail, "code", "invalid"), "detail": str(detail)}


def _escaped(key: str) -> str:
    return key.replace("~", "~0").replace("/", "~1")


def _body(status: HTTPStatus, code: str, detail: str) -> dict[str, Any]:
    return {
        "type": f"urn:crewjobs:problem:{code}",
        "title": status.phrase,
        "status": int(status),
        "detail": detail,
    }


def _response(body: dict[str, Any], headers: Mapping[str, str] | None = None) -> Response:
    return Response(
        body, status=body["status"], headers=dict(headers or {}), content_type=CONTENT_TYPE
    )
