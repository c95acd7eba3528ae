"""The JSON Schema of `case.toml`, for editors that check while one types (JSON Schema 2020-12)."""

from __future__ import annotations

from typing import Any

from lees.case.model import Case


def case_schema() -> dict[str, Any]:
    """Return the JSON Schema of a case as it is typed."""
    schema = Case.model_json_schema(by_alias=True, mode="validation")
    for definition in ("Run", "TopUp"):
        tables = schema["$defs"][definition]
        schema["$defs"][definition] = {
            "anyOf": [{"type": "string", "description": tables["description"]}, tables]
        }
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
