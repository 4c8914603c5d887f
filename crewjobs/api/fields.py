"""What the API reads beyond plain JSON: lengths as people write them, facts, one of a few words."""

import datetime as dt
import math
from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import Any, ClassVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from rest_framework import serializers

from crewjobs.domain.units import length_mm

LONGEST_MM = 1_000_000.0
YEARS = range(2000, 2100)


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


class OneOf(serializers.ChoiceField):
    """One of an enumeration's words."""

    def __init__(self, enum: type[StrEnum], **options: Any) -> None:
        self.enum = enum
        super().__init__(choices=[(str(each), str(each)) for each in enum], **options)

    def to_internal_value(self, data: Any) -> StrEnum:
        """The member that the word names."""
        return self.enum(super().to_internal_value(data))


class Number(serializers.FloatField):
    """A finite number: a text such as `nan` is none."""

    def to_internal_value(self, data: Any) -> float:
        """The number."""
        try:
            value: float = super().to_internal_value(data)
        except OverflowError:
            self.fail("invalid")
        if not math.isfinite(value):
            self.fail("invalid")
        return value


class Day(serializers.DateField):
    """A day of this century; calendars and clocks go wrong far outside it."""

    default_error_messages = {"year": "The year must be 2000 to 2099."}

    def to_internal_value(self, value: Any) -> dt.date:
        """The day."""
        day: dt.date = super().to_internal_value(value)
        if day.year not in YEARS:
            self.fail("year")
        return day


class Moment(serializers.DateTimeField):
    """A moment that says its offset from UTC."""

    default_error_messages = {
        "year": "The year must be 2000 to 2099.",
        "offset": "Say the offset from UTC, such as 2026-06-03T09:00:00-05:00.",
    }

    def enforce_timezone(self, value: dt.datetime) -> dt.datetime:
        """The moment, in UTC."""
        if value.tzinfo is None:
            self.fail("offset")
        if value.year not in YEARS:
            self.fail("year")
        return value.astimezone(dt.UTC)


class Zone(serializers.CharField):
    """The name of a time zone."""

    default_error_messages = {"zone": "There is no time zone of this name."}

    def to_internal_value(self, data: Any) -> str:
        """The name, as the tables write it."""
        name: str = super().to_internal_value(data)
        try:
            return ZoneInfo(name).key if name else ""
        except (ZoneInfoNotFoundError, ValueError, OSError):
            self.fail("zone")


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


def several(shape: Callable[..., Any], *, most: int) -> Any:
    """A list of bodies, `most` at most; it may be left out."""
    return shape(many=True, required=False, max_length=most)


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
