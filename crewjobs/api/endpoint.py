"""What every endpoint is: a method says its verb, what it takes and what it answers.

The same declaration checks the caller, reads the body, writes the answer and describes the whole
to others, so that none of the four can drift from the rest.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property, wraps
from typing import Any, cast

from django.db.models import QuerySet
from django.http import HttpResponseBase
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import Serializer

from crewjobs.models import Person, Shop

Shape = type[Serializer[Any]]


@dataclass(frozen=True, kw_only=True, slots=True)
class Ask:
    """One request, as far as an action is concerned."""

    by: Person
    now: datetime
    data: Any
    request: Request


@dataclass(frozen=True, kw_only=True, slots=True)
class Does:
    """What a method needs and gives."""

    verb: str
    takes: Shape | None = None
    takes_many: bool = False
    """The body is one, or a list; the method is given a list."""
    answers: Shape | None = None
    answers_alike: bool = False
    """One for one, a list for a list; the method returns a list."""
    media_type: str = ""
    """Of an answer that is no JSON; the method returns the response itself."""
    status: int = 200
    many: bool = False
    paged: bool = False


def does(
    verb: str, **declared: Any
) -> Callable[[Callable[..., Any]], Callable[..., HttpResponseBase]]:
    """Declare a method: it is then given an :class:`Ask`, and returns what is to be shown."""
    declaration = Does(verb=verb, **declared)

    def decorate(method: Callable[..., Any]) -> Callable[..., HttpResponseBase]:
        @wraps(method)
        def handle(view: "Endpoint", request: Request, **ids: object) -> HttpResponseBase:
            data = view.read(declaration, request) if declaration.takes else {}
            ask = Ask(by=cast("Person", request.user), now=view.now, data=data, request=request)
            return view.show(declaration, method(view, ask, **ids))

        vars(handle)["does"] = declaration
        return handle

    return decorate


class Endpoint(GenericAPIView[Any]):
    """An address of the API."""

    queryset = Shop.objects.none()
    """Nothing is read from it: what a method returns is what is shown."""
    http_method_names = ["get", "head", "post", "put", "patch", "delete"]

    @cached_property
    def now(self) -> datetime:
        """The one moment at which this request happens."""
        return datetime.now(tz=UTC)

    @cached_property
    def shop(self) -> Shop | None:
        """The shop, for its ways of counting."""
        return Shop.objects.first()

    def read(self, declaration: Does, request: Request) -> Any:
        """The checked body of a request."""
        assert declaration.takes is not None  # noqa: S101  asked by the caller
        is_list = declaration.takes_many and isinstance(request.data, list)
        shape = declaration.takes(
            data=request.data,
            many=is_list,
            partial=request.method == "PATCH",
            context=self.get_serializer_context(),
        )
        shape.is_valid(raise_exception=True)
        read = shape.validated_data
        return [read] if declaration.takes_many and not is_list else read

    def show(self, declaration: Does, found: Any) -> HttpResponseBase:
        """The answer."""
        if isinstance(found, HttpResponseBase):
            return found
        if declaration.answers is None:
            return Response(status=204)
        if declaration.answers_alike:
            return self._alike(declaration, found)
        if declaration.many:
            return self._list(declaration.answers, found, paged=declaration.paged)
        shape = declaration.answers(found, context=self.get_serializer_context())
        return Response(shape.data, status=declaration.status)

    def _alike(self, declaration: Does, found: Sequence[Any]) -> Response:
        is_list = isinstance(self.request.data, list)
        assert declaration.answers is not None  # noqa: S101  asked by the caller
        shape = declaration.answers(
            found if is_list else found[0], many=is_list, context=self.get_serializer_context()
        )
        return Response(shape.data, status=declaration.status)

    def _list(self, shape: Shape, found: QuerySet[Any], *, paged: bool) -> Response:
        rows = self.filter_queryset(found) if isinstance(found, QuerySet) else found
        page = self.paginate_queryset(rows) if paged else None
        many = shape(page if paged else rows, many=True, context=self.get_serializer_context())
        return self.get_paginated_response(many.data) if paged else Response(many.data)
