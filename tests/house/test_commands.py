"""The command line starts fast because it loads nothing that it does not need."""

import subprocess
import sys

HEAVY = (
    "sqlalchemy",
    "alembic",
    "psycopg",
    "scipy",
    "cv2",
    "numpy",
    "pydantic",
    "pdfplumber",
    "PIL",
    "typst",
    "vl_convert",
)


def test_help_loads_no_heavy_library():
    code = (
        "import sys; import lees.cli as c\n"
        "c.app(['--help'])\n"
        f"loaded = [m for m in {HEAVY} if m in sys.modules]\n"
        "assert not loaded, loaded"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
