"""Oil at the command line: help with an example, clear errors, doubts that are shown."""

from __future__ import annotations

import shlex

import pytest

from lees import cli

COMMANDS = [
    "viscosity at", "viscosity one-point", "viscosity temperature", "viscosity-index",
    "saybolt seconds", "saybolt kinematic", "saybolt kv100", "grade", "precision of",
    "precision differ", "precision limit", "base-number floor", "base-number acid", "base-number topped-up",
    "blend viscosity", "blend added", "flash drop", "flash blend", "dilution",
    "additives match", "additives shares", "additives detergent", "additives element",
    "consistency saybolt", "consistency index", "consistency zinc",
]  # fmt: skip

BAD = [
    ("viscosity-index '10 cSt' '60 cSt'", "is 10 mm²/s; it must be above that at 100 °C"),
    ("viscosity-index 'abc' '60 cSt'", "no number"),
    ("viscosity-index '60 mm' '10 cSt'", "not a kinematic viscosity"),
    ("viscosity-index '<60 cSt' '10 cSt'", "bound"),
    ("viscosity-index '5 cSt' '1.9 cSt'", "2 mm²/s or above"),
    ("viscosity at 'x' --kv40 '60 cSt' --kv100 '10 cSt'", "no number"),
    ("viscosity at '390 °C' --kv40 '0.5 cSt' --kv100 '0.3 cSt'", "D341"),
    ("saybolt kinematic '20 SUS' --at '210 °F'", "is 20 s; it must be 32 s or above"),
    ("saybolt kinematic '60 s' --at '210 °F'", "not a Saybolt viscosity"),
    ("saybolt seconds '10 cSt' --at '900 °F'", "from 0 to 350"),
    ("grade 7W-30", "not a grade"),
    ("precision of Unobtainium '3 ppm'", "not a measurand"),
    ("precision of soot '3 %'", "no method's precision is held"),
    ("precision of fuel '3 %' --method D7593", "D7593 is not held"),
    ("base-number floor 8 3.5 --run '10000 km' --floor 4 --fresh-method D2896 --method D4739",
     "not comparable"),
    ("base-number floor 8 3.5 --run '10 kg' --floor 4", "neither a length nor a time"),
    ("base-number floor 8 3.5 --run '0 km' --floor 4", "above zero"),
    ("base-number topped-up 8 5 --run '10000 km' --top-up '1 L' --sump '0 L'", "above zero"),
    ("base-number topped-up 8 5 --run '10000 km' --top-up '0 L' --sump '5 L'", "above zero"),
    ("base-number acid 9 5 1 3 --run '10000 km' --acid-method D974", "D974 is not held"),
    ("blend viscosity '14 cSt' '1 cSt' --share-of-second '120 %'", "from 0 to 1"),
    ("flash drop '230 °C' '180 °C' --fresh-method D92 --used-method D93", "closed cup"),
    ("flash drop '230 °C' '900 °C'", "from 20 to 400"),
    ("dilution kerosene --reported '2 %'", "gasoline or diesel"),
    ("dilution diesel", "nothing to judge by"),
    ("dilution diesel --fresh '10 cSt' --used '9 cSt' --at '50 °C'", "40 or 100 °C"),
    ("additives shares 'Ca 1, Zn 2' 'Ca 2, Zn 3'", "2 or 3"),
    ("additives match 'Ca 2100' 'Ca 2000'", "two or more"),
    ("additives match 'Calcium 2100' 'Ca 2000'", "not an element and its content"),
    ("additives element Fe", "no customary additive"),
    ("consistency saybolt '1,234' 14.4", "could be 1234 or 1.234"),
    ("consistency zinc 0 800", "above zero"),
]  # fmt: skip


@pytest.mark.parametrize("command", COMMANDS)
def test_help_shows_a_worked_example(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    cli.app(["calc", *command.split(), "--help"])
    assert f"Example: lees calc {command.split(maxsplit=1)[0]}" in capsys.readouterr().out


@pytest.mark.parametrize(("command", "said"), BAD, ids=[command for command, _ in BAD])
def test_bad_entry_is_one_clear_line(
    command: str, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    tokens, app = ["calc", *shlex.split(command)], cli.app
    monkeypatch.setattr(cli, "app", lambda: app(tokens))
    with pytest.raises(SystemExit) as ended:
        cli.main()
    out, err = capsys.readouterr()
    assert ended.value.code == 2
    assert said in err
    assert err.startswith("lees: ")
    assert len(err.splitlines()) == 1
    assert not out


@pytest.mark.parametrize(
    ("command", "said"),
    [
        ("viscosity at '-20 °C' --kv40 '100 cSt' --kv100 '14.4 cSt'", "indicative only"),
        ("viscosity one-point '100 °C' --known-at '40 °C' --viscosity '100 cSt' --index 150",
         "was assumed"),
        ("saybolt kinematic '60 SUS' --at '210 °F'", "98.89 °C"),
        ("grade 0W-16 '7.0 cSt'", "The light bands overlap"),
        ("grade 5W-30 '11 cSt'", "names no method"),
        ("grade 5W-30 '62 SUS'", "index of 160 was assumed"),
        ("precision of bn '8 mgKOH/g' --method D4739", "versions of its precision disagree"),
        ("precision of Fe '0 ppm'", "below the levels"),
        ("base-number floor 8 5 --run '5000 mi' --floor 3 --fresh-method D2896 --method D4739 "
         "--allowance customary", "an allowance of 2.00"),
        ("flash drop '230 °C' '200 °C'", "Neither flash point's cup is known"),
        ("dilution gasoline --fresh-flash '230 °C' --used-flash '180 °C' --reported '2 %'",
         "not counted again"),
        ("additives match 'Ca 2100, Mg 12, Mo 90' 'Ca 2050, Mg 800'", "Mg cannot come from"),
        ("blend added '160 cSt' '137 cSt' --addition '3 cSt'", "consistent with up to"),
    ],
)  # fmt: skip
def test_doubts_are_shown(command: str, said: str, capsys: pytest.CaptureFixture[str]) -> None:
    cli.app(["calc", *shlex.split(command)])
    assert said in capsys.readouterr().out
