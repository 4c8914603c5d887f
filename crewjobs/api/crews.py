"""Depots, trucks, skills, crews with their shifts, days off, people."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.validators import UniqueValidator

from crewjobs.actions import crews, people
from crewjobs.actions.crews import DepotEntry, ShiftEntry, TruckEntry
from crewjobs.actions.people import PersonEntry
from crewjobs.api.access import SIGNED_IN
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Day, Fact, Length, Number, OneOf, Strict, Zone, several
from crewjobs.models import Crew, DayOff, Depot, Person, Role, Shift, Skill, Truck

Related = serializers.RelatedField[Any, Any, Any]


def _new_name(found: QuerySet[Any], *, most: int = 80) -> serializers.CharField:
    return serializers.CharField(max_length=most, validators=[UniqueValidator(found)])


class DepotIn(Fact):
    makes = DepotEntry

    name = _new_name(Depot.objects.all())
    street = serializers.CharField(max_length=200)
    town = serializers.CharField(max_length=120)
    region = serializers.CharField(required=False, allow_blank=True, max_length=120)
    postal_code = serializers.CharField(required=False, allow_blank=True, max_length=20)
    lat = Number(min_value=-90, max_value=90)
    lon = Number(min_value=-180, max_value=180)
    time_zone = Zone(max_length=60)


class DepotOut(serializers.ModelSerializer[Depot]):
    class Meta:
        model = Depot
        fields = [
            "id",
            "name",
            "street",
            "town",
            "region",
            "postal_code",
            "lat",
            "lon",
            "time_zone",
        ]


class TruckIn(Fact):
    makes = TruckEntry

    name = _new_name(Truck.objects.all())
    depot = serializers.PrimaryKeyRelatedField(queryset=Depot.objects.all())
    payload_kg = Number(min_value=1, max_value=40_000)
    frame_length_mm = Length()
    frame_height_mm = Length()
    frame_thickness_mm = Length()
    frame_side_kg = Number(
        required=False, allow_null=True, min_value=1, max_value=40_000,
        help_text="What one side bears; null: the shop's share of the payload",
    )  # fmt: skip

    def validate(self, attrs: dict[str, Any]) -> Any:
        """The truck, if its frame has a size."""
        for name, value in attrs.items():
            if name.endswith("_mm") and value <= 0:
                raise serializers.ValidationError({name: ["Must be more than 0."]})
        return super().validate(attrs)


class TruckOut(serializers.ModelSerializer[Truck]):
    class Meta:
        model = Truck
        fields = [
            "id", "name", "depot", "payload_kg", "frame_length_mm", "frame_height_mm",
            "frame_thickness_mm", "frame_side_kg",
        ]  # fmt: skip


class SkillIn(Strict):
    code = serializers.SlugField(max_length=40, validators=[UniqueValidator(Skill.objects.all())])
    name = serializers.CharField(max_length=80)


class SkillOut(serializers.ModelSerializer[Skill]):
    class Meta:
        model = Skill
        fields = ["id", "code", "name"]


class ShiftIn(Fact):
    makes = ShiftEntry

    weekday = serializers.IntegerField(min_value=0, max_value=6, help_text="0 is Monday")
    starts_at = serializers.TimeField()
    ends_at = serializers.TimeField()


class ShiftOut(serializers.ModelSerializer[Shift]):
    class Meta:
        model = Shift
        fields = ["weekday", "starts_at", "ends_at"]


class CrewIn(Strict):
    name = _new_name(Crew.objects.all())
    depot = serializers.PrimaryKeyRelatedField(queryset=Depot.objects.all())
    truck = serializers.PrimaryKeyRelatedField(
        queryset=Truck.objects.filter(crew__isnull=True), allow_null=True, default=None
    )
    shifts = several(ShiftIn, most=7)


class AreasIn(Strict):
    """A crew's territory: how the postal codes in it begin; none: everywhere."""

    areas = serializers.ListField(child=serializers.CharField(max_length=20), max_length=200)


class CrewOut(serializers.ModelSerializer[Crew]):
    shifts = ShiftOut(many=True)
    members: serializers.PrimaryKeyRelatedField[Any] = serializers.PrimaryKeyRelatedField(
        many=True, read_only=True
    )

    class Meta:
        model = Crew
        fields = [
            "id", "name", "depot", "truck", "overtime_min", "is_active", "areas", "shifts",
            "members",
        ]  # fmt: skip


class DayOffIn(Strict):
    """Of a crew, or of one person."""

    crew = serializers.PrimaryKeyRelatedField(queryset=Crew.objects.all(), required=False)
    person = serializers.PrimaryKeyRelatedField(queryset=Person.objects.all(), required=False)
    first_on = Day()
    last_on = Day()
    reason = serializers.CharField(required=False, allow_blank=True, max_length=120)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """The days, and whose they are."""
        crew, person = attrs.pop("crew", None), attrs.pop("person", None)
        if (crew is None) == (person is None):
            raise serializers.ValidationError({"crew": ["Name a crew, or a person."]})
        return attrs | {"of": crew or person}


class DayOffOut(serializers.ModelSerializer[DayOff]):
    class Meta:
        model = DayOff
        fields = ["id", "crew", "person", "first_on", "last_on", "reason"]


class PersonIn(Strict):
    name = serializers.CharField(max_length=120)
    email = serializers.EmailField()
    password = serializers.CharField(required=False, write_only=True, max_length=200)
    phone = serializers.CharField(required=False, allow_blank=True, max_length=40)
    language = serializers.CharField(required=False, max_length=10)
    role = OneOf(Role)
    crew = serializers.PrimaryKeyRelatedField(
        queryset=Crew.objects.all(), allow_null=True, default=None
    )
    skills = serializers.SlugRelatedField(
        slug_field="code", queryset=Skill.objects.all(), many=True, required=False
    )


class PersonChange(Strict):
    name = serializers.CharField(max_length=120)
    phone = serializers.CharField(allow_blank=True, max_length=40)
    language = serializers.CharField(max_length=10)
    role = OneOf(Role)
    crew = serializers.PrimaryKeyRelatedField(queryset=Crew.objects.all(), allow_null=True)
    is_active = serializers.BooleanField()
    skills = serializers.ListField(child=serializers.SlugField(max_length=40), max_length=40)


class PasswordIn(Strict):
    password = serializers.CharField(write_only=True, max_length=200)


class PersonOut(serializers.ModelSerializer[Person]):
    skills: serializers.SlugRelatedField[Any] = serializers.SlugRelatedField(
        slug_field="code", many=True, read_only=True
    )

    class Meta:
        model = Person
        fields = ["id", "name", "email", "phone", "language", "role", "crew", "skills", "is_active"]


class Depots(Endpoint):
    @does("crew.read", answers=DepotOut, many=True)
    def get(self, _ask: Ask) -> QuerySet[Depot]:
        """The depots."""
        return Depot.objects.all()

    @does("crew.change", takes=DepotIn, answers=DepotOut, status=201)
    def post(self, ask: Ask) -> Depot:
        """One more depot."""
        return crews.add_depot(entry=ask.data, by=ask.by, now=ask.now)


class Trucks(Endpoint):
    @does("crew.read", answers=TruckOut, many=True)
    def get(self, _ask: Ask) -> QuerySet[Truck]:
        """The trucks and their A-frames."""
        return Truck.objects.all()

    @does("crew.change", takes=TruckIn, answers=TruckOut, status=201)
    def post(self, ask: Ask) -> Truck:
        """One more truck."""
        return crews.add_truck(entry=ask.data, by=ask.by, now=ask.now)


class Skills(Endpoint):
    @does("crew.read", answers=SkillOut, many=True)
    def get(self, _ask: Ask) -> QuerySet[Skill]:
        """The skills that visits may ask for."""
        return Skill.objects.all()

    @does("crew.change", takes=SkillIn, answers=SkillOut, status=201)
    def post(self, ask: Ask) -> Skill:
        """One more skill."""
        return crews.add_skill(by=ask.by, now=ask.now, **ask.data)


class Crews(Endpoint):
    @does("crew.read", answers=CrewOut, many=True)
    def get(self, _ask: Ask) -> QuerySet[Crew]:
        """The crews with their working week."""
        return Crew.objects.prefetch_related("shifts", "members")

    @does("crew.change", takes=CrewIn, answers=CrewOut, status=201)
    def post(self, ask: Ask) -> Crew:
        """One more crew."""
        return crews.add(by=ask.by, now=ask.now, **{"shifts": (), **ask.data})


class CrewShifts(Endpoint):
    @does("crew.change", takes=ShiftIn, takes_many=True, answers=CrewOut)
    def put(self, ask: Ask, crew_id: UUID) -> Crew:
        """A new working week, whole."""
        return crews.set_shifts(crew_id=crew_id, shifts=ask.data, by=ask.by, now=ask.now)


class CrewAreas(Endpoint):
    @does("crew.change", takes=AreasIn, answers=CrewOut)
    def put(self, ask: Ask, crew_id: UUID) -> Crew:
        """A new territory, whole. Outside of it a visit costs a plan a little more."""
        return crews.set_areas(crew_id=crew_id, by=ask.by, now=ask.now, **ask.data)


class DaysOff(Endpoint):
    @does("crew.read", answers=DayOffOut, many=True)
    def get(self, _ask: Ask) -> QuerySet[DayOff]:
        """Days on which a crew or a person does not work."""
        return DayOff.objects.all()

    @does("crew.change", takes=DayOffIn, answers=DayOffOut, status=201)
    def post(self, ask: Ask) -> DayOff:
        """More days off."""
        return crews.add_day_off(by=ask.by, now=ask.now, **ask.data)


class OneDayOff(Endpoint):
    @does("crew.change")
    def delete(self, ask: Ask, day_off_id: UUID) -> None:
        """They work after all."""
        crews.remove_day_off(day_off_id=day_off_id, by=ask.by, now=ask.now)


class People(Endpoint):
    @does("people.read", answers=PersonOut, many=True)
    def get(self, _ask: Ask) -> QuerySet[Person]:
        """The people of the shop."""
        return Person.objects.prefetch_related("skills")

    @does("people.change", takes=PersonIn, answers=PersonOut, status=201)
    def post(self, ask: Ask) -> Person:
        """One more person; without a password they cannot sign in by one."""
        data = dict(ask.data)
        role, crew = data.pop("role"), data.pop("crew")
        skills = [skill.code for skill in data.pop("skills", ())]
        return people.add(
            entry=PersonEntry(**data), role=role, crew=crew, skills=skills, by=ask.by, now=ask.now
        )


class OnePerson(Endpoint):
    @does("people.read", answers=PersonOut)
    def get(self, _ask: Ask, person_id: UUID) -> Person:
        """One of the people."""
        return Person.objects.get(pk=person_id)

    @does("people.change", takes=PersonChange, answers=PersonOut)
    def patch(self, ask: Ask, person_id: UUID) -> Person:
        """Change a person."""
        changes = dict(ask.data)
        skills = changes.pop("skills", None)
        return people.change(
            person_id=person_id, changes=changes, skills=skills, by=ask.by, now=ask.now
        )


class Password(Endpoint):
    @does(SIGNED_IN, takes=PasswordIn)
    def put(self, ask: Ask, person_id: UUID) -> None:
        """A new password: your own, or anybody's by the office."""
        people.set_password(person_id=person_id, by=ask.by, now=ask.now, **ask.data)
