"""Keys for machines, and the description of the API."""

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.generators import SchemaGenerator
from rest_framework import exceptions, serializers
from rest_framework.response import Response

from crewjobs.actions import tokens
from crewjobs.api.access import ANYONE, SIGNED_IN
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Strict
from crewjobs.models import ApiToken, Person


class TokenIn(Strict):
    name = serializers.CharField(max_length=80, help_text="What the token is for")
    email = serializers.EmailField(required=False, help_text="Where no session says who asks")
    password = serializers.CharField(required=False, write_only=True)


class TokenOut(serializers.ModelSerializer[ApiToken]):
    class Meta:
        model = ApiToken
        fields = ["id", "name", "created_at", "last_used_at"]


class NewTokenOut(serializers.ModelSerializer[ApiToken]):
    token = serializers.CharField(help_text="Shown this once", read_only=True)

    class Meta:
        model = ApiToken
        fields = ["id", "name", "created_at", "token"]


class Tokens(Endpoint):
    @does(SIGNED_IN, answers=TokenOut, many=True)
    def get(self, ask: Ask) -> QuerySet[ApiToken]:
        """Your own tokens that are in force."""
        return ask.by.tokens.filter(revoked_at__isnull=True)

    @does(ANYONE, takes=TokenIn, answers=NewTokenOut, status=201)
    def post(self, ask: Ask) -> ApiToken:
        """Make a token, with a session or with e-mail and password. It is shown this once."""
        person = self._who(ask)
        token, key = tokens.make(name=ask.data["name"], by=person, now=ask.now)
        vars(token)["token"] = key
        return token

    def _who(self, ask: Ask) -> Person:
        if isinstance(ask.request.user, Person):
            return ask.request.user
        email, password = ask.data.get("email", ""), ask.data.get("password", "")
        if person := tokens.person_with(email=email, password=password):
            return person
        raise exceptions.AuthenticationFailed("The e-mail address or the password is wrong.")


class OneToken(Endpoint):
    @does(SIGNED_IN)
    def delete(self, ask: Ask, token_id: UUID) -> None:
        """End a token of your own; the office may end anybody's."""
        tokens.revoke(token_id=token_id, by=ask.by, now=ask.now)


class Description(Endpoint):
    schema = None

    @does(ANYONE)
    def get(self, ask: Ask) -> Response:
        """The description of the API, OpenAPI 3.1."""
        return Response(
            SchemaGenerator().get_schema(request=ask.request, public=True),  # type: ignore[no-untyped-call]
            content_type="application/vnd.oai.openapi+json",
        )
