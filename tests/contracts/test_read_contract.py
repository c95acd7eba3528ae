"""`lees read --json` gives what outsiders may rely on."""

import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

RESULT = {
    "type": "object",
    "required": ["value", "unit", "qualifier", "text", "confidence", "review", "page", "box"],
    "properties": {
        "value": {"type": ["number", "null"]},
        "unit": {"type": ["string", "null"]},
        "qualifier": {"enum": [None, "<", ">", "trace", "absent"]},
        "text": {"type": "string"},
        "confidence": {"type": "number", "minimum": 0, "maximum": 1},
        "review": {"type": "boolean"},
        "page": {"type": "integer", "minimum": 1},
        "box": {"anyOf": [{"type": "null"}, {"type": "array", "minItems": 4, "maxItems": 4}]},
    },
}
DISTANCE = {
    "anyOf": [
        {"type": "null"},
        {
            "type": "object",
            "required": ["value", "unit"],
            "properties": {"value": {"type": "number"}, "unit": {"type": "string"}},
        },
    ]
}
SCHEMA = {
    "type": "object",
    "required": [
        "samples", "reference", "limits", "own_mean", "advised_distance", "oil", "engine", "warnings",
    ],
    "properties": {
        "samples": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["label", "date", "oil_distance", "results"],
                "properties": {
                    "oil_distance": DISTANCE,
                    "results": {"type": "object", "additionalProperties": RESULT},
                },
            },
        },
        "reference": {"type": "object", "additionalProperties": {"type": "number"}},
        "own_mean": {"type": "object", "additionalProperties": {"type": "number"}},
        "advised_distance": DISTANCE,
        "warnings": {"type": "array", "items": {"type": "string"}},
    },
}  # fmt: skip
REPORT = (
    'test,unit,result,mean\nsample date,,2026-08-19,\nmiles on oil,mi,"11,840",\n'
    "Iron,mg/kg,12,9\nLead,mg/kg,<1,2\nWater,%,trace,\n"
)


def lees(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", "from lees.cli import main; main()", "read", *arguments],
        capture_output=True,
        text=True,
        check=False,
    )


def test_results_follow_the_contract(tmp_path: Path) -> None:
    file = tmp_path / "report.bin"
    file.write_text(REPORT, encoding="utf-8")
    done = lees(str(file), "--json")
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    jsonschema.validate(told, SCHEMA)
    sample = told["samples"][0]
    assert sample["date"] == "2026-08-19"
    assert (sample["oil_distance"]["value"], sample["oil_distance"]["unit"]) == (11840, "mi")
    assert sample["results"]["Fe"]["value"] == 12
    assert sample["results"]["Pb"]["qualifier"] == "<"
    assert (sample["results"]["water"]["value"], sample["results"]["water"]["qualifier"]) == (
        None,
        "trace",
    )
    assert told["reference"] == {"Fe": 9, "Pb": 2}


def test_nothing_found_is_no_failure(tmp_path: Path) -> None:
    file = tmp_path / "letter.csv"
    file.write_text("name,town\nA,B\nC,D\n", encoding="utf-8")
    done = lees(str(file), "--json")
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["samples"] == []
    assert told["warnings"]


@pytest.mark.parametrize("content", [b"", b"\x7fELF" + bytes(range(256)), b"%PDF-1.7\ncut short"])
def test_unusable_input_ends_with_status_3_and_one_line(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "report.pdf"
    file.write_bytes(content)
    done = lees(str(file))
    assert done.returncode == 3, done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


def test_a_missing_file_ends_with_status_3(tmp_path: Path) -> None:
    assert lees(str(tmp_path / "none.pdf")).returncode == 3


def test_control_characters_never_reach_the_terminal(tmp_path: Path) -> None:
    file = tmp_path / "report.csv"
    file.write_text(
        "oil,\x1b[31mred\x07 5W-30\u202e\ntest,result\nIron,12\x1b]0;x\x07\nCopper,4 ppm\nLead,3 ppm\n",
        encoding="utf-8",
    )
    done = lees(str(file))
    assert done.returncode == 0, done.stderr
    assert not any(ord(c) < 32 and c != "\n" for c in done.stdout)
    assert "\u202e" not in done.stdout
