"""Time and memory that a large recording takes: python tests/shell/recordings/timing.py [MB] [RATE]."""

from __future__ import annotations

import random
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path


def write(file: Path, megabytes: float, rate: float) -> int:
    """A battery cranked for 3 s every 5 min, at so many samples a second; return the number of samples."""
    rng = random.Random(1)
    noise = [rng.gauss(0, 0.006) for _ in range(10007)]
    samples = 0
    with file.open("w", encoding="utf-8") as out:
        out.write("time (s),battery (V)\n")
        while out.tell() < megabytes * 1e6:
            lines = []
            for _ in range(100_000):
                at = samples / rate
                volts = (10.1 if 100 < at % 300 < 103 else 12.6) + noise[samples % len(noise)]
                lines.append(f"{at:.3f},{volts:.3f}\n")
                samples += 1
            out.writelines(lines)
    return samples


def main(megabytes: float = 100.0, rate: float = 1000.0) -> None:
    """Write the file, read it as the command does, print the figures."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "large.csv"
        samples = write(file, megabytes, rate)
        code = "from crankpath.shell.main import main; main()"
        words = [sys.executable, "-c", code, "record", str(file), "--column", "2=battery crank", "--json"]
        begin = time.perf_counter()
        done = subprocess.run(words, capture_output=True, text=True, check=True)
        used = resource.getrusage(resource.RUSAGE_CHILDREN)
        print(  # noqa: T201
            f"{file.stat().st_size / 1e6:.0f} MB, {samples:,} samples, {done.stdout.count('begin')} cranks: "
            f"{time.perf_counter() - begin:.1f} s, {used.ru_utime + used.ru_stime:.1f} s of processor time, "
            f"{used.ru_maxrss / 1024:.0f} MB of memory"
        )


if __name__ == "__main__":
    main(*map(float, sys.argv[1:]))
