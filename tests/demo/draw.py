"""Draw the demonstration's photographs again, into the package's data, and write down their truth.

python tests/demo/draw.py [WORD …]    only those whose path holds one of the words
"""

import json
import sys
from pathlib import Path

from lees.demo.drawing.photographs import PHOTOGRAPHS

DATA = Path(__file__).parents[2] / "src" / "lees" / "demo" / "data" / "photographs"
TRUTH = Path(__file__).with_name("truth.json")


def main(words: list[str]) -> None:
    truth = json.loads(TRUTH.read_text()) if TRUTH.is_file() else {}
    for path, draw in PHOTOGRAPHS.items():
        if words and not any(word in path for word in words):
            continue
        photograph = draw()
        (DATA / path).parent.mkdir(parents=True, exist_ok=True)
        (DATA / path).write_bytes(photograph.jpeg)
        truth[path] = photograph.truth
        print(f"{path}: {len(photograph.jpeg) / 1000:.0f} kB")
    lines = json.dumps(truth, indent=1, sort_keys=True)
    TRUTH.write_text(lines + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
