"""How the API describes itself."""

from drf_spectacular.openapi import AutoSchema


class Schema(AutoSchema):
    """The OpenAPI description of one endpoint."""
