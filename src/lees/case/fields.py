"""Fields of a case that a person types: one kind of quantity each, kept as typed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from lees.errors import WrongEntry, printable
from lees.quantity.entry import DecimalSign, Entry, parse_entry
from lees.quantity.measurands import measurand, measurands
from lees.quantity.units import dimension


@dataclass(frozen=True, slots=True)
class Typed:
    """Tell pydantic that a field is an entry of one kind, such as `length`.

    `floor` is the least value allowed, in whatever unit was typed; a distance or a volume below
    zero is a slip of the pen.
    """

    kind: str
    floor: float | None = 0.0
    default: str | None = None

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(
            self._understand,
            serialization=core_schema.plain_serializer_function_ser_schema(
                lambda entry: entry.text if isinstance(entry, Entry) else entry
            ),
        )

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        wanted = dimension(self.kind)
        return {
            "type": "string",
            "description": f"{wanted.kind[:1].upper()}{wanted.kind[1:]} with its unit.",
            "examples": [wanted.example],
        }

    def _understand(self, value: Any, info: core_schema.ValidationInfo) -> Entry:
        if isinstance(value, Entry):
            return value
        entry = understood(value, (self.kind,), default=self.default, decimal=decimal_sign(info))
        if self.floor is not None and entry.value < self.floor:
            raise _wrong(f"“{printable(str(value))}” is below zero; look at its sign.")
        return entry


class TypedResults:
    """Tell pydantic that a field holds results by measurand key, each with a unit that fits it.

    A bare number is taken in the customary unit, except where two are customary (a flash point in
    °C or °F, a share by mass or by volume).
    """

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(
            self._understand,
            serialization=core_schema.plain_serializer_function_ser_schema(
                lambda results: {key: entry.text for key, entry in results.items()}
            ),
        )

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return {
            "type": "object",
            "description": "Results by measurand, each with its unit.",
            "propertyNames": {"enum": sorted(measurands())},
            "additionalProperties": {"type": ["string", "number"]},
            "examples": [{"Fe": "12 ppm", "kv100": "10.4 mm²/s", "flash": "395 °F"}],
        }

    def _understand(self, value: Any, info: core_schema.ValidationInfo) -> dict[str, Entry]:
        if not isinstance(value, dict):
            raise _wrong('needs entries such as Fe = "12 ppm".')
        results = {}
        for key, text in value.items():
            if isinstance(text, Entry):
                results[key] = text
                continue
            try:
                known = measurand(str(key))
            except WrongEntry as error:
                raise _wrong(str(error)) from None
            bare = not known.is_element and known.dimension in (
                "content",
                "temperature",
                "absorbance",
            )
            entry = understood(
                text,
                _FITTING.get(known.dimension, (known.dimension,)),
                default=None if bare else known.unit,
                decimal=decimal_sign(info),
                name=f"{key}: ",
            )
            if known.dimension != "temperature" and entry.value < 0:
                raise _wrong(f"{key}: “{printable(str(text))}” is below zero; look at its sign.")
            results[key] = entry
        return results


_SEVERAL_CUSTOMARY = ("content", "temperature", "absorbance")
_FITTING = {"content": ("content", "content_by_volume", "volume_fraction")}


def understood(
    value: Any,
    kinds: tuple[str, ...],
    *,
    default: str | None,
    decimal: DecimalSign,
    name: str = "",
) -> Entry:
    """Return an entry of one of several kinds; raise pydantic's error with the bench's line."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        example = dimension(kinds[0]).example
        raise _wrong(f"{name}it needs a value with its unit in quotes, such as “{example}”.")
    first: WrongEntry | None = None
    for kind in kinds:
        try:
            return parse_entry(str(value), kind, decimal=decimal, default=default)
        except WrongEntry as error:
            first = first or error
    raise _wrong(f"{name}{first}")


def decimal_sign(info: core_schema.ValidationInfo) -> DecimalSign:
    """Return the decimal sign that the case declares."""
    sign = (info.context or {}).get("decimal", DecimalSign.UNKNOWN)
    return DecimalSign(sign)


def _wrong(line: str) -> PydanticCustomError:
    return PydanticCustomError("entry", "{line}", {"line": line})


Length = Annotated[Entry, Typed("length")]
Area = Annotated[Entry, Typed("area")]
Volume = Annotated[Entry, Typed("volume")]
Mass = Annotated[Entry, Typed("mass")]
Time = Annotated[Entry, Typed("time")]
Temperature = Annotated[Entry, Typed("temperature", floor=None)]
Pressure = Annotated[Entry, Typed("pressure")]
Flow = Annotated[Entry, Typed("flow")]
ArealMass = Annotated[Entry, Typed("areal_mass")]
BaseNumber = Annotated[Entry, Typed("base_or_acid_number", default="mgKOH/g")]
Offset = Annotated[Entry, Typed("length", floor=None, default="mm")]
Results = Annotated[dict[str, Entry], TypedResults()]
