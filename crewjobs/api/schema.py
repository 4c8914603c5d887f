"""How the API describes itself: OpenAPI 3.1, made from what the endpoints declare."""

from enum import StrEnum
from typing import Any

from django.conf import settings
from drf_spectacular.extensions import (
    OpenApiAuthenticationExtension,
    OpenApiSerializerFieldExtension,
)
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent, build_array_type
from drf_spectacular.types import OpenApiTypes
from rest_framework import serializers

from crewjobs import models
from crewjobs.api.access import ANYONE
from crewjobs.api.endpoint import Does
from crewjobs.api.errors import CONTENT_TYPE
from crewjobs.api.paging import Newest
from crewjobs.domain import facts

WORDS = {
    tuple(str(member) for member in each): each.__name__
    for each in (*vars(facts).values(), *vars(models).values())
    if isinstance(each, type) and issubclass(each, StrEnum) and each is not StrEnum
}
LENGTH_EXAMPLES = [2502, "98.5 in", "8' 2 1/2\""]


class ProblemEntry(serializers.Serializer[Any]):
    pointer = serializers.CharField(help_text="JSON pointer into the body that was sent")
    code = serializers.CharField()
    detail = serializers.CharField()


class FindingOut(serializers.Serializer[Any]):
    code = serializers.CharField()
    severity = serializers.CharField()
    message = serializers.CharField()
    about = serializers.CharField(allow_blank=True)
    source = serializers.CharField(allow_blank=True)  # type: ignore[assignment]
    value = serializers.FloatField(allow_null=True, help_text="What was found, as a number")
    limit = serializers.FloatField(allow_null=True, help_text="What it is held against")
    unit = serializers.CharField(allow_blank=True, help_text="Of both")


class Problem(serializers.Serializer[Any]):
    """What went wrong, RFC 9457."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField()
    errors = ProblemEntry(many=True, required=False)  # type: ignore[assignment]
    findings = FindingOut(many=True, required=False)


class Schema(AutoSchema):
    """The OpenAPI description of one endpoint."""

    @property
    def does(self) -> Does:
        """What the method declares."""
        found: Does = getattr(self.view, self.method.lower()).does
        return found

    def get_operation_id(self) -> str:
        """The path and the method: steady while other endpoints are added."""
        words = [word.replace("-", "_") for word in self._tokenize_path()]
        last = "list" if self.does.many and self.method == "GET" else self.method.lower()
        if self.path.endswith("}/"):
            words.append("one")
        return "_".join([*words, last])

    def get_auth(self) -> Any:
        """How one signs in; where anyone may ask, also not at all."""
        return [*super().get_auth(), *([{}] if self.does.verb == ANYONE else [])]

    def get_request_serializer(self) -> Any:
        """What the body is."""
        takes = self.does.takes
        if takes is None:
            return None
        if self.does.takes_many:
            one = self.resolve_serializer(takes(), "request").ref
            return {"application/json": {"oneOf": [one, build_array_type(one)]}}
        return takes(partial=self.method == "PATCH")

    def get_response_serializers(self) -> Any:
        """What the answer is."""
        if self.does.media_type:
            return {("200", self.does.media_type): OpenApiTypes.BINARY}
        if self.does.answers is None:
            return {"204": None}
        if self.does.answers_alike:
            one = self.resolve_serializer(self.does.answers(), "response").ref
            return {"200": {"oneOf": [one, build_array_type(one)]}}
        return {str(self.does.status): self.does.answers(many=self.does.many)}

    def _is_list_view(self, serializer: Any = None) -> bool:  # noqa: ARG002  the framework's signature
        return self.does.many

    def _get_paginator(self) -> Any:
        return Newest() if self.does.paged else None

    def _get_response_bodies(self, direction: Any = "response") -> Any:
        bodies = super()._get_response_bodies(direction)
        ref = self.resolve_serializer(Problem(), "response").ref
        bodies["default"] = {
            "description": "A problem, RFC 9457",
            "content": {CONTENT_TYPE: {"schema": ref}},
        }
        return bodies


class BearerScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    target_class = "crewjobs.api.signing_in.TokenAuthentication"
    name = "token"

    def get_security_definition(self, _auto_schema: AutoSchema) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer"}


class SessionScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    target_class = "crewjobs.api.signing_in.SessionAuthentication"
    name = "session"

    def get_security_definition(self, _auto_schema: AutoSchema) -> dict[str, str]:
        return {"type": "apiKey", "in": "cookie", "name": settings.SESSION_COOKIE_NAME}


class ChoiceScheme(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]
    """Words of one of our enumerations bear its name, wherever they stand."""

    target_class = "rest_framework.fields.ChoiceField"
    match_subclasses = True

    def map_serializer_field(self, auto_schema: AutoSchema, _direction: str) -> dict[str, Any]:
        words = tuple(str(word) for word in self.target.choices)
        schema = {"type": "string", "enum": list(words)}
        if words not in WORDS:
            return schema
        component = ResolvedComponent(  # type: ignore[no-untyped-call]
            name=WORDS[words], type=ResolvedComponent.SCHEMA, schema=schema, object=WORDS[words]
        )
        auto_schema.registry.register_on_missing(component)
        ref: dict[str, Any] = component.ref
        return ref


class LengthScheme(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]
    target_class = "crewjobs.api.fields.Length"
    match_subclasses = True

    def map_serializer_field(self, _auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        if direction == "response":
            return {"type": "number", "description": "millimetres"}
        return {
            "oneOf": [{"type": "number"}, {"type": "string"}],
            "description": "millimetres, or a text with its unit",
            "examples": LENGTH_EXAMPLES,
        }
