"""Bad entries at the command line: one clear line, the contract's status, never a traceback."""

from __future__ import annotations

import shlex

import pytest

from lees import cli

BAD = [
    ("media strip '0 mm' '58 mm'", "above zero"),
    ("media strip '58 L' '58 mm'", "not a length"),
    ("media strip '1830' '58 mm'", "no unit"),
    ("media strip '1830 ± 2 ± 3 mm' '58 mm'", "more than one ±"),
    ("media strip '<3 mm' '58 mm'", "bound"),
    ("media strip 'abc' '58 mm'", "no number"),
    ("media strip '1830 ± x' '58 mm'", "no number"),
    ("media pleats 0 '12 mm' '70 mm'", "one or more"),
    ("media pleats '55 mm' '12 mm' '70 mm'", "not a plain number"),
    ("media agree '5.0 ± 0 cm²' '5.0 ± 0 cm²'", "above zero for one"),
    ("can stress '1 MPa' '10 mm' '2 mm'", "thin wall"),
    ("permeability models '5 µm' 1.2", "between 0 and 1"),
    ("permeability models '5 µm' 0", "between 0 and 1"),
    ("retention efficiency '100 %'", "below 1"),
    ("retention beta 0.5", "1 or more"),
    ("retention leak '950 %' '5 %'", "from 0 to 1"),
    ("particles limits 2.5", "whole number"),
    ("particles iso4406 10 5 2 --volume '0 mL'", "above zero"),
    ("particles iso4406 10 50 2 --volume '1 mL'", "cumulative"),
    ("particles iso16232 'Q 5' --surface '10 cm²'", "one of B"),
    ("particles iso16232 'F' --surface '10 cm²'", "no count"),
    ("wear rate '20 mm' '402 h'", "another unit"),
    ("wear rate '20 mg/kg' '402 L'", "another unit"),
    ("wear rate '20 mg/kg' '0 km'", "above zero"),
    ("wear shed '20 mg/L' '12000 km' --volume '5 L'", "not a content by mass"),
    ("wear shed '20 mg/kg' '9 km' --volume '5 L' --top-up '3 km 1 L'", "top-up and when"),
    ("wear shed '20 mg/kg' '9 km' --volume '5 L' --top-up '10 km: 1 L'", "the end"),
    ("wear shed '20 mg/kg' '9 km' --volume '5 L' --top-up '3 h: 1 L'", "not a length"),
    ("wear shed '20 mg/kg' '9 km' --volume '5 L' --residual '10 %'", "half known"),
    ("bubble-point '0 Pa'", "above zero"),
    ("uncertainty 'a*b' 'a = 3'", "needs b"),
    ("uncertainty 'open(a)' 'a = 3'", "not arithmetic"),
    ("uncertainty '1/a' 'a = 0'", "finite"),
    ("uncertainty 'a' 'a'", "name with its value"),
]


@pytest.mark.parametrize(("command", "said"), BAD, ids=[command for command, _ in BAD])
def test_bad_entry_is_one_clear_line(
    command: str, said: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    tokens, app = ["calc", *shlex.split(command)], cli.app
    monkeypatch.setattr(cli, "app", lambda: app(tokens))
    with pytest.raises(SystemExit) as stopped:
        cli.main()
    output = capsys.readouterr()
    assert stopped.value.code == 2
    assert output.err.startswith("lees: ")
    assert output.err.count("\n") == 1
    assert said in output.err


def test_doubt_may_be_typed_in_another_unit(capsys: pytest.CaptureFixture[str]) -> None:
    cli.app(["calc", "media", "strip", "1.83 m ± 1.5 mm", "58.0 +/- 0.1 mm"])
    assert "1061.4 ± 2.0 cm²" in capsys.readouterr().out
