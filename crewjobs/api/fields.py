"""What the API reads beyond plain JSON: lengths as people write them, facts, one of a few words."""

import math
from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import Any, ClassVar

from rest_framework import serializers

from crewjobs.domain.units import length_mm

LONGEST_MM = 1_000_000.0


class Length(serializers.Field[float, float | str, float, Any]):
    """A number of millimetres, or a text with its unit; answered in millimetres."""

    default_error_messages = {
        "invalid": 'Not a length such as 2502, "2502 mm", "98.5 in" or "8\' 2 1/2\\"".',
        "unit": "Say the unit of a length that is written as text: mm, cm, m, in or '.",
        "limit": f"The most is {LONGEST_MM:.0f} mm.",
    }

    def to_internal_value(self, data: float | str) -> float:
        """The length in millimetres."""
        mm = self._mm(data)
        if math.isnan(mm):
            self.fail("unit")
        if abs(mm) > LONGEST_MM:
            self.fail("limit")
        return mm

    def to_representation(self, value: float) -> float:
        """The length in millimetres."""
        return float(value)

    def _mm(self, data: float | str) -> float:
        if isinstance(data, int | float) and not isinstance(data, bool):
            return float(min(max(data, -2 * LONGEST_MM), 2 * LONGEST_MM))
        try:
            return length_mm(str(data), bare_mm=math.nan) if isinstance(data, str) else self._no()
        except ValueError:
            return self._no()

    def _no(self) -> float:
        self.fail("invalid")


def one_of(enum: type[StrEnum], **options: Any) -> serializers.ChoiceField:
    """A field that takes one of an enumeration's words."""
    return serializers.ChoiceField(
        choices=[(str(member), str(member)) for member in enum], **options
    )


class Strict(serializers.Serializer[Any]):
    """A body that is refused where it says something that nobody reads."""

    def to_internal_value(self, data: Any) -> Any:
        """The checked values, if every name is known."""
        if isinstance(data, Mapping):
            known = {name for name, field in self.fields.items() if not field.read_only}
            if unknown := sorted(str(name) for name in data if name not in known):
                raise serializers.ValidationError(
                    {name: serializers.ErrorDetail("There is no such field.", "unknown")
                     for name in unknown}
                )  # fmt: skip
        return super().to_internal_value(data)


class Fact(Strict):
    """A body that becomes one of the domain's values, or says which of its limits is broken."""

    makes: ClassVar[Callable[..., Any]]

    def validate(self, attrs: dict[str, Any]) -> Any:
        """The value itself."""
        return self.made(type(self).makes, attrs)

    def made(self, makes: Callable[..., Any], values: Mapping[str, Any]) -> Any:
        """Make a value; what it refuses becomes an error of the field that it names."""
        try:
            return makes(**values)
        except ValueError as error:
            named = str(error).split(" ", 1)[0]
            message = [str(error)]
            raise serializers.ValidationError(
                {named: message} if named in self.fields else message
            ) from error
