#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""The hot ways in machine instructions, counted by callgrind and so the same on a busy machine: one
count to its verdict, and a record read and folded, by its line or as a phone keeps it, packed. One
that grew by an eighth unsaid fails, and so does a verdict that grows with the farm's blocks or the
season's counts.

  tests/cli/instructions_test.py           beside what was written down last
  tests/cli/instructions_test.py --write   writes it down anew; say in the commit what it was for
"""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
BUILD = os.environ.get("NTHTREE_BUILD", os.path.join(ROOT, "build", "native"))
ENGINE = os.path.join(BUILD, "tools", "measure", "measure_engine")
WRITTEN_DOWN = os.path.join(HERE, "instructions.json")
GROWTH_MOST = 1.125
RECORDS, BLOCKS = 3000, 8
PACKED_RECORDS = 20000
PACKED = ["--collect-atstart=no", "--toggle-collect=nthtree::sync::Client::load_packed*"]
VERDICT = ["--collect-atstart=no", "--toggle-collect=nthtree::advice::Advisor::verdict_of*"]
# A verdict's growth: twelve times as many blocks with as many counts in each, and ten times as many
# counts in as many blocks. What may grow are sums over the blocks, by their logarithm, and one sum
# for each day that a person counted in the block.
GROWTHS = {
    "40 to 500 blocks": ((40 * 60, 40), (500 * 60, 500), 2),
    "a season ten times as long": ((6000, 8), (60000, 8), 1.15),
}


def instructions(*words, part=()):
    """Of one run of the measuring program, or of a part of it."""
    said = subprocess.run(["valgrind", "--tool=callgrind", "--callgrind-out-file=/dev/null", *part,
                           ENGINE, *map(str, words)], capture_output=True, text=True,
                          check=True).stderr
    return int(re.search(r"Collected : (\d+)", said).group(1))


def growth(small, large):
    def of(season):
        return instructions(*season, "--verdicts", 50, part=VERDICT)
    return of(large) / of(small)


def a_verdict():
    few, many = 10, 50
    more = (instructions(RECORDS, BLOCKS, "--verdicts", many)
            - instructions(RECORDS, BLOCKS, "--verdicts", few))
    return more // (many - few)


def a_record():
    with tempfile.TemporaryDirectory() as folder:
        def read(records):
            path = os.path.join(folder, "season.jsonl")
            with open(path, "wb") as lines:
                subprocess.run([ENGINE, str(records), "--lines", str(BLOCKS)], stdout=lines,
                               check=True)
            return instructions("--read", path)
        return (read(2 * RECORDS) - read(RECORDS)) // RECORDS


def a_packed_record():
    return instructions(PACKED_RECORDS, BLOCKS, "--verdicts", 1, part=PACKED) // PACKED_RECORDS


def main():
    if not shutil.which("valgrind"):
        print("valgrind is missing: instructions are not counted here")
        print("1 passed, 0 failed")
        return
    now = {"one count to its verdict": a_verdict(), "a record read and folded": a_record(),
           "a packed record read and folded": a_packed_record()}
    if "--write" in sys.argv[1:]:
        with open(WRITTEN_DOWN, "w", encoding="utf-8") as file:
            file.write(json.dumps(now, indent=2) + "\n")
    with open(WRITTEN_DOWN, encoding="utf-8") as file:
        then = json.load(file)
    grown = [way for way, count in now.items() if count > GROWTH_MOST * then[way]]
    for way, count in now.items():
        print(f"{way}: {count:,} instructions, written down {then[way]:,}"
              f"{': GREW' if way in grown else ''}")
    for name, (small, large, most) in GROWTHS.items():
        times = growth(small, large)
        print(f"a verdict, {name}: {times:.2f} times the instructions, at most {most}"
              f"{': GREW' if times > most else ''}")
        if times > most:
            grown.append(name)
    print(f"{len(now) + len(GROWTHS) - len(grown)} passed, {len(grown)} failed")
    sys.exit(1 if grown else 0)


if __name__ == "__main__":
    main()
