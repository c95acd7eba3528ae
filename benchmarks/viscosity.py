"""Time our viscosity index and Saybolt inverse over a million rows against a scalar library.

Run with `./dev bench viscosity`. The reference is `chemicals`, whose functions take one value at a
time; it is timed on part of the rows and scaled up.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from chemicals.viscosity import viscosity_converter
from chemicals.viscosity import viscosity_index as reference_index

from lees.oil.saybolt import kinematic_from_saybolt, saybolt_seconds
from lees.oil.viscosity_index import viscosity_index

ROWS = 1_000_000
REPEATS = 3


def best(action: Callable[[], object]) -> float:
    """Return the shortest of some runs, in seconds."""
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        action()
        times.append(time.perf_counter() - start)
    return min(times)


def told(what: str, ours: float, theirs: float, worst: float) -> None:
    """Print one comparison."""
    print(
        f"{what}: ours {ours:.3f} s, a Python loop over chemicals {theirs:.1f} s, "
        f"ratio {theirs / ours:.0f}; largest relative difference {worst:.1e}"
    )


def main() -> None:
    """Draw the rows, time both, compare the values."""
    rng = np.random.default_rng(2270)
    kv100 = rng.uniform(2.0, 30.0, ROWS)
    kv40 = kv100 * rng.uniform(3.0, 9.0, ROWS)
    sus = saybolt_seconds(rng.uniform(1.9, 500.0, ROWS), temperature_f=100.0)
    print(f"{ROWS:,} rows, one core, best of {REPEATS}")

    part = 100_000
    pairs = list(zip((kv40[:part] * 1e-6).tolist(), (kv100[:part] * 1e-6).tolist(), strict=True))
    theirs = best(lambda: [reference_index(u, y) for u, y in pairs]) * ROWS / part
    reference = np.array([reference_index(u, y) for u, y in pairs])
    ours = best(lambda: viscosity_index(kv40, kv100))
    difference = viscosity_index(kv40[:part], kv100[:part]) - reference
    told("viscosity index", ours, theirs, float(np.max(np.abs(difference) / np.abs(reference))))

    part = 20_000
    seconds = sus[:part].tolist()

    def loop() -> list[float]:
        return [viscosity_converter(s, "saybolt universal", "kinematic viscosity") for s in seconds]

    theirs = best(loop) * ROWS / part
    ours = best(lambda: kinematic_from_saybolt(sus, temperature_f=100.0))
    ratio = kinematic_from_saybolt(sus[:part], temperature_f=100.0) * 1e-6 / np.array(loop())
    told("Saybolt to kinematic", ours, theirs, float(np.max(np.abs(ratio - 1.0))))


if __name__ == "__main__":
    main()
