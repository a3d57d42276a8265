# SPDX-License-Identifier: Apache-2.0
"""Runs the real command line and counts what holds. Used by every test beside it.

The programs are those of build/native, or of the folder named by NTHTREE_BUILD.
"""
import contextlib
import json
import os
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
BUILD = os.environ.get("NTHTREE_BUILD", os.path.join(ROOT, "build", "native"))
PROGRAM = os.path.join(BUILD, "nthtree")
GENERATOR = os.path.join(BUILD, "nthtree_scenario")
FARM = os.path.join(ROOT, "scenarios", "oxbow_lantern")


class Answer:
    def __init__(self, code, out, err):
        self.code, self.out, self.err = code, out, err

    @property
    def json(self):
        return json.loads(self.out)


def nthtree(*words, given=""):
    """Runs `nthtree words…` with `given` (text or bytes) on standard input."""
    data = given if isinstance(given, bytes) else given.encode()
    done = subprocess.run([PROGRAM, *words], input=data, capture_output=True, timeout=120)
    return Answer(done.returncode, done.stdout.decode(), done.stderr.decode(errors="replace"))


def target(request):
    return nthtree("target", given=request if isinstance(request, (str, bytes))
                   else json.dumps(request))


@contextlib.contextmanager
def folder():
    with tempfile.TemporaryDirectory(prefix="nthtree_cli_") as path:
        yield path


def read(path):
    with open(path, encoding="utf-8", newline="") as file:
        return file.read()


def write(path, text):
    with open(path, "wb" if isinstance(text, bytes) else "w",
              **({} if isinstance(text, bytes) else {"encoding": "utf-8", "newline": ""})) as file:
        file.write(text)
    return path


class Checks:
    """Counts checks; a failed one says what was found. `close` prints the closing line."""

    def __init__(self):
        self.passed = self.failed = 0

    def that(self, holds, what, found=""):
        if holds:
            self.passed += 1
        else:
            self.failed += 1
            print(f"FAILED {what}" + (f": {found}" if found != "" else ""))

    def equal(self, found, expected, what):
        self.that(found == expected, what, f"found {found!r}, expected {expected!r}")

    def near(self, found, expected, within, what):
        good = isinstance(found, (int, float)) and abs(found - expected) <= within
        self.that(good, what, f"found {found!r}, expected {expected!r} ± {within}")

    def refused(self, answer, words, what):
        """Exit code 2, nothing on standard output, and a message with every one of `words`."""
        self.equal(answer.code, 2, what + ": exit code")
        self.equal(answer.out, "", what + ": standard output")
        for word in words:
            self.that(word in answer.err, f"{what}: the message names {word!r}", answer.err[:300])
        self.that(0 < len(answer.err) < 20000 and answer.err.endswith("\n"),
                  what + ": a message of a sane length")

    def close(self):
        print(f"{self.passed} passed, {self.failed} failed")
        sys.exit(0 if self.passed and not self.failed else 1)
