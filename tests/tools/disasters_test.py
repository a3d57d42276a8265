#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Every test that src/sync/DISASTERS.md, THREATS.md and src/hub/SECURITY.md name must exist: a renamed
one is a hole in the map."""
import os
import re
import sys

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def read(*parts):
    with open(os.path.join(ROOT, *parts), encoding="utf-8") as file:
        return file.read()


def exists(place, name):
    if place == "faults":
        return re.search(rf'^  "?{re.escape(name)}"?: \{{ run:', read("tests/browser/faults/run.mjs"),
                         re.M) is not None
    if place == "planted":
        return f'"{name}"' in read("tests/simulation/phones/draw.cpp")
    path = os.path.join(ROOT, "tests", place)
    # Names may be broken over lines of source.
    return os.path.isfile(path) and f'"{name}"' in re.sub(r'"\s*\n\s*"', "", read("tests", place))


def rows_with_tests(path):
    """The rows of a page whose last column names tests."""
    rows = [line for line in read(path).split("\n") if line.startswith("| ")]
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows]
    return "".join(f"| {one[0]} | {one[-1]} |\n" for one in cells if ": " in one[-1])


def main():
    page = (read("src/sync/DISASTERS.md") + rows_with_tests("src/sync/THREATS.md") +
            rows_with_tests("src/hub/SECURITY.md"))
    rows = [line for line in page.split("\n") if line.startswith("| ") and "`" in line]
    named = [tuple(name.split(": ", 1)) for row in rows for name in re.findall(r"`([^`]+: [^`]+)`", row)]
    gone = [f"{place}: {name}" for place, name in named if not exists(place, name)]
    for name in gone:
        print(f"FAIL no such test: {name}")
    if not named or any("`" not in row.split("|")[2] for row in rows):
        gone.append("a row without a test")
    print(f"{len(named) - len(gone)} passed, {len(gone)} failed")
    sys.exit(1 if gone or not named else 0)


if __name__ == "__main__":
    main()
