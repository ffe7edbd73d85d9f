"""What each command costs on the shipped demo, beside what is asked of it.

    cargo build --release && python3 benches/commands.py

Runs the release program once a command, nothing it wrote before at hand, its output into a folder that is removed. Prints the
processor seconds of the process, its start included, both cores together, and how many times what is asked they are. Python's
standard library alone. Names as arguments run only these: `python3 benches/commands.py charts verify`.
"""

import csv
import os
import resource
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PROGRAM = ROOT / "target" / "release" / "freereed"
DEMO = ROOT / "data" / "demo"
REED, JOB = DEMO / "reed.toml", DEMO / "job.toml"
# What is worked on in a bad reed: its gap is half as much again, and its slot wider.
BAD = {"tip_gap_mm": 1.5, "side_clearance_mm": 1.5}


def bad_job(folder, count):
    """The job with `count` of its reeds, even over the set, each of them bad."""
    folder.mkdir()
    sheet = tomllib.loads(JOB.read_text())["sheet"]
    with open(DEMO / sheet, newline="") as file:
        rows = list(csv.DictReader(file))
    rows = rows[:: len(rows) // count]
    for row in rows:
        for key, factor in BAD.items():
            row[key] = f"{factor * float(row[key]):.3f}" if row[key] else ""
    with open(folder / sheet, "w", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    (folder / "job.toml").write_text(JOB.read_text())
    return folder / "job.toml"


def tempered(folder):
    """The reed with a temper, which bending asks for."""
    reed = folder / "tempered.toml"
    reed.write_text(REED.read_text().replace("[reed]", '[reed]\ntemper = "H08"'))
    return reed


def commands(out):
    """Name, processor seconds asked, arguments."""
    return [
        ("predict", 0.02, ["predict", REED]),
        ("attack", 0.005, ["attack", REED, "--pressure-pa", "500"]),
        ("whatif", 0.7, ["whatif", REED, "--set", "tip_gap_mm=0.3"]),
        ("regap --best", 0.5, ["regap", tempered(out), "--best"]),
        ("assess", 3.0, ["assess", JOB]),
        ("balance", 3.0, ["balance", JOB]),
        ("worklist", 6.0, ["worklist", JOB]),
        ("worklist, 12 bad reeds", 6.0, ["worklist", bad_job(out / "twelve", 12)]),
        ("worklist, 48 bad reeds", 25.0, ["worklist", bad_job(out / "all", 48)]),
        ("charts", 5.0, ["charts", REED, "--out", out / "charts"]),
        ("handout", 5.0, ["handout", "--out", out / "booklet.html"]),
        ("assess --report", 6.0, ["assess", JOB, "--report", out / "report.html"]),
        ("verify", 3.0, ["verify"]),
    ]


def spent():
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def main():
    wanted = sys.argv[1:]
    # Where nothing is remembered from one run to the next.
    environment = os.environ | {"FREEREED_CACHE": "off"}
    print(f"{'command':<24}{'processor s':>12}{'asked s':>9}{'ratio':>8}")
    with tempfile.TemporaryDirectory() as folder:
        for name, asked, arguments in commands(Path(folder)):
            if wanted and name not in wanted:
                continue
            before = spent()
            run = subprocess.run([PROGRAM, *arguments], capture_output=True, text=True, env=environment)
            took = spent() - before
            # Some rows of a set may be in want of a measurement: that is 1.
            if run.returncode not in (0, 1):
                sys.exit(f"{name} ended with {run.returncode}: {run.stderr}")
            print(f"{name:<24}{took:>12.3f}{asked:>9.3f}{took / asked:>8.2f}", flush=True)


if __name__ == "__main__":
    main()
