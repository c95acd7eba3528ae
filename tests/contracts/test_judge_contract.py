"""`lees judge` through the public contract: exit status, files written, bad input, one line each."""

import json
import os
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import pytest

from lees.demo.scenario import CASES, demo_files
from lees.judge.verdict import verdict
from lees.work.bench import Bench
from lees.work.cache import Cache
from lees.work.case_folder import CaseFolder
from lees.work.gather import gather_facts
from lees.work.worker import Limits
from lees.work.workers import Workers

REPORT = "test,value,unit,mean\nIron,12,ppm,9\nCopper,4,ppm,3\nViscosity at 100 °C,10.1,cSt,\n"
CASE = 'title = "Launch"\n[fill]\nrun = "9 300 mi"\n[oil]\ngrade = "5W-30"\n[report]\nfile = "report.csv"\n'


def lees(*arguments, cwd=None):
    environment = {**os.environ, "LEES_CACHE": ""}
    return subprocess.run(
        [sys.executable, "-m", "lees.cli", *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=cwd,
        env=environment,
    )


def make(folder: Path, case: str = CASE, **files: bytes | str) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "case.toml").write_text(case, encoding="utf-8")
    (folder / "report.csv").write_text(REPORT, encoding="utf-8")
    for name, content in files.items():
        path = folder / name.replace("__", ".")
        path.write_bytes(content.encode() if isinstance(content, str) else content)
    return folder


def names(folder):
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())


def test_a_case_gives_findings_letter_page_and_cards_and_the_json_is_the_file(tmp_path):
    done = lees("judge", make(tmp_path / "case"), "--out", tmp_path / "out", "--json")
    assert done.returncode == 0, done.stderr
    written = names(tmp_path / "out")
    assert {"findings.json", "letter.pdf", "page.html"} <= set(written)
    assert sum(name.startswith("cards/") for name in written) >= 2
    assert json.loads(done.stdout) == json.loads((tmp_path / "out" / "findings.json").read_text())
    assert (tmp_path / "out" / "letter.pdf").read_bytes().startswith(b"%PDF")
    assert names(tmp_path / "case") == ["case.toml", "report.csv"]


def test_the_same_case_gives_the_same_bytes(tmp_path):
    make(tmp_path / "case")
    for out in ("a", "b"):
        assert lees("judge", tmp_path / "case", "--out", tmp_path / out).returncode == 0
    for name in names(tmp_path / "a"):
        one, other = tmp_path / "a" / name, tmp_path / "b" / name
        assert one.read_bytes() == other.read_bytes(), name


def test_a_second_run_replaces_its_own_files_and_leaves_others_alone(tmp_path):
    case = make(tmp_path / "case")
    assert lees("judge", case).returncode == 0
    (case / "notes.txt").write_text("mine")
    assert lees("judge", case).returncode == 0
    assert (case / "notes.txt").read_text() == "mine"
    fresh = make(tmp_path / "other", page__html="mine")
    done = lees("judge", fresh)
    assert done.returncode == 3
    assert "was not made by Lees" in done.stderr
    assert (fresh / "page.html").read_text() == "mine"
    assert names(fresh) == ["case.toml", "page.html", "report.csv"]
    assert lees("judge", fresh, "--overwrite").returncode == 0


def bomb_png(side: int) -> bytes:
    """Return a tiny PNG that claims to be side × side pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    header = struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    data = zlib.compress(b"\0" * 1000)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", data) + chunk(b"IEND", b"")
    )


def warnings_of(folder: Path) -> tuple[str, ...]:
    """Return the warnings of the findings, without writing letter, page and cards."""
    with Workers(Limits(), count=1) as workers:
        bench = Bench("test", Cache(None, ""), workers, lambda text: None)
        gathered = gather_facts(CaseFolder(folder), bench)
    return verdict(gathered.facts, made_with="test").warnings


def test_warnings_reach_the_command_lines_findings_and_standard_error(tmp_path):
    case = CASE.replace("report.csv", "gone.pdf") + 'results = { Fe = "12 ppm" }\n'
    done = lees("judge", make(tmp_path / "case", case), "--out", tmp_path / "out", "--json")
    assert done.returncode == 0
    assert "gone.pdf is not in the case's folder" in done.stderr
    assert any("gone.pdf" in warning for warning in json.loads(done.stdout)["warnings"])


WARNED = [
    ("missing.pdf", None, "is not in the case's folder"),
    ("empty.csv", b"", "is empty"),
    ("../outside.csv", None, "points outside"),
    ("/etc/hostname", None, "points outside"),
    ("fake.pdf", b"%PDF-1.4 this is not one", "fake.pdf"),
    ("noise.pdf", bytes(range(256)) * 40, "noise.pdf"),
]


@pytest.mark.parametrize(("name", "content", "says"), WARNED)
def test_an_unusable_report_becomes_a_warning_and_the_rest_goes_on(tmp_path, name, content, says):
    case = CASE.replace("report.csv", name) + 'results = { Fe = "12 ppm" }\n'
    folder = make(tmp_path / "case", case)
    if content is not None:
        (folder / name).write_bytes(content)
    warnings = warnings_of(folder)
    assert any(says in warning for warning in warnings), warnings


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("huge.png", bomb_png(30_000)),
        ("cut.jpg", b"\xff\xd8\xff\xe0 cut short"),
        ("drawing.png", b"<svg xmlns='http://www.w3.org/2000/svg'/>"),
        ("none.jpg", None),
    ],
)
def test_an_unusable_picture_becomes_a_warning(tmp_path, name, content):
    folder = make(tmp_path / "case", CASE + f'[[picture]]\nfile = "{name}"\nof = "media"\n')
    if content is not None:
        (folder / name).write_bytes(content)
    assert any(warning.startswith(name) for warning in warnings_of(folder))


def test_a_linked_file_is_refused(tmp_path):
    (tmp_path / "secret.csv").write_text(REPORT)
    case = CASE.replace("report.csv", "link.csv") + 'results = { Fe = "12 ppm" }\n'
    folder = make(tmp_path / "case", case)
    (folder / "link.csv").symlink_to(tmp_path / "secret.csv")
    assert any("is a link" in warning for warning in warnings_of(folder))


@pytest.mark.parametrize(
    ("case", "says"),
    [
        ("title = ", "case.toml, line 1"),
        ('title = "x"\n[fill]\nrun = "-9 km"', "line 3, fill.run"),
        ('title = "x"\n[engine]\nsump = "5 km"', "is a length, not a volume"),
        ('title = "x"\ntitle = "y"', "second time"),
        ('title = "x"', "nothing is left to judge"),
        ('title = "x"\n[report]\nfile = "none.pdf"', "nothing is left to judge"),
        ("\0", "case.toml, line 1"),
    ],
)
def test_what_cannot_be_judged_ends_with_status_3_and_nothing_written(tmp_path, case, says):
    folder = make(tmp_path / "case", case)
    done = lees("judge", folder, "--out", tmp_path / "out")
    assert done.returncode == 3
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_folder_without_a_case_and_a_wrong_command_have_their_own_status(tmp_path):
    assert lees("judge", tmp_path).returncode == 3
    assert lees("judge", tmp_path / "none").returncode == 3
    assert lees("judge").returncode == 2
    assert lees("mend").returncode == 2
    assert lees("judge", tmp_path, "--loudly").returncode == 2


def test_impossible_facts_are_warnings_in_findings_and_letter(tmp_path):
    import pypdfium2

    case = CASE.replace("[fill]", "[fill]\npoured = 2026-08-01\ndrained = 2026-07-01")
    done = lees("judge", make(tmp_path / "case", case), "--out", tmp_path / "out", "--json")
    assert done.returncode == 0
    assert any("before it was poured" in w for w in json.loads(done.stdout)["warnings"])
    document = pypdfium2.PdfDocument(tmp_path / "out" / "letter.pdf")
    text = " ".join(page.get_textpage().get_text_bounded() for page in document)
    assert "before it was poured" in " ".join(text.split())


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    out = tmp_path_factory.mktemp("demo")
    done = lees("demo", "--out", out)
    assert done.returncode == 0, done.stderr
    return out


def test_the_demo_has_an_answer_for_every_case(demo):
    for case in CASES:
        findings = json.loads((demo / case / "findings.json").read_text())
        assert findings["invented"] is True
        assert (demo / case / "letter.pdf").stat().st_size > 10_000
        assert len(list((demo / case / "cards").glob("*.png"))) >= 3
    made = {path for path, _ in demo_files()}
    assert made <= set(names(demo))


def findings_of(demo, part):
    case = next(case for case in CASES if part in case)
    return json.loads((demo / case / "findings.json").read_text())


def actions(findings):
    return {answer["about"]: answer["action"] for answer in findings["answers"]}


def test_the_demo_tells_what_each_case_was_made_to_tell(demo):
    clean = findings_of(demo, "long-run")
    assert actions(clean)["engine"] == "carry on"
    iron = next(row for row in clean["elements"] if row["key"] == "Fe")
    assert iron["value"]["value"] > iron["mean"]
    assert iron["percentile"] < 0.5

    metal = findings_of(demo, "quiet-report")
    assert actions(metal)["engine"] != "carry on"
    assert all((row["percentile"] or 0) < 0.95 for row in metal["elements"])

    base = findings_of(demo, "base-number")
    laboratory = next(p for p in base["next_fill"]["proposals"] if "laboratory" in p["who"])
    assert laboratory["odds"] > 0.66
    assert base["next_fill"]["advised"] < laboratory["run"]

    zero = findings_of(demo, "caliper")
    shift = next(s for s in zero["statements"] if s["id"].startswith("record.shift"))
    assert "0.44" in shift["text"] or "0.45" in shift["text"] or "0.46" in shift["text"]

    assert actions(findings_of(demo, "short-trips"))["oil"] == "act now"
    dust = findings_of(demo, "dust")
    assert dust["explanations"][0]["cause"] == "dust"
