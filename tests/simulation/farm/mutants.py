#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Plants faults in the source of sync, one at a time, and runs the unit tests and the farms on each.

A mutant that nothing notices means that a promise is not tested. Works on a copy of the source in
a folder of its own; the source itself is never touched. The last line is "N passed, N failed".

  tools/simulate --mutants
"""
import os
import re
import shutil
import subprocess
import sys
import tempfile

# file, what stands there, what the fault makes of it, what it breaks
MUTANTS = [
    ("client_take.cpp", "storing.incoming.cursor.value_or(cursor_)", "cursor_",
     "the stored cursor never moves"),
    ("client_take.cpp", "    cursor_ = *storing.incoming.cursor;\n", "",
     "the cursor in memory never moves"),
    ("client_take.cpp", "!admission.drops.empty() || conflict", "false",
     "the season is not made anew after a conflict"),
    ("client_take.cpp", "if (own_unknown || (conflict && id->device == device_)) want_key();", "",
     "a clone is noticed by the hub's word only"),
    ("client_take.cpp", "    incoming_.push_front(std::move(storing.incoming));\n", "",
     "what a full disk refused is forgotten"),
    ("client_take.cpp", "if (id && writing_.count(*id)) return true;", "",
     "a page overwrites a record that is being written"),
    ("client_take.cpp", "if (reply->reset) needs_hello_ = true;", "",
     "a hub set back is asked for its gaps a minute late (harmless: hello comes anyway)"),
    ("client_send.cpp", "  want(added_since_hello_);\n", "",
     "a count made while a hello is on its way is forgotten"),
    ("client_send.cpp", "  want(reply->missing);\n", "", "what the hub lacks is not sent"),
    ("client_send.cpp", "if (asked.device != device_) return;", "",
     "a new key is told the old key's marks"),
    ("client.cpp", "  lane.request = 0;\n  const int doublings", "  const int doublings",
     "a lane stays blocked after a time-out"),
    ("client.cpp", "    it = pending_.erase(it);  // a later answer finds nobody waiting\n", "    ++it;\n",
     "a request given up is given up again and again"),
    ("client.cpp", "book_.highest_used(device_)", "book_.held_of(device_).highest()",
     "a used number is given again"),
    ("client.cpp", "  note_unsent(id, now);\n  if (send_lane_", "  if (send_lane_",
     "a stored count is not queued"),
    ("merge.cpp", "  if (holdings.ceded(id) && holdings.bytes(rehomed_id(bytes))) return admission;\n",
     "", "a record that moved away comes back beside itself"),
    ("merge.cpp", "admission.drops.push_back(original->id);", "{}",
     "a moved record stays under its old id too"),
    ("merge.cpp", "!keeps_id(held, bytes)", "false", "who comes first keeps the id"),
    ("hub_side.cpp", "asked.opening == store_.opening_of(asked.arrival)", "true",
     "a hub set back by hand takes old cursors for its own"),
    ("hub_side.cpp", "asked.epoch == epoch_ && ", "", "another epoch's cursor is taken"),
    ("hub_side.cpp", "page.back().arrival < last_arrival_", "false",
     "the phone is told that there is no more (harmless: it asks again in 20 s)"),
    ("hub_side.cpp", "  store_.drop(dropped);\n", "  \n", "a moved record stays on the hub's disk"),
    ("message.cpp", "  if (f.count(\"bytes\") != line_bytes(m.lines)) "
     "f.fail(\"bytes\", \"must be those of the lines\");\n", "",
     "a message cut short passes for a whole one"),
]
HARMLESS = "(harmless"


def run(command, folder=None):
    return subprocess.run(command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                          text=True, errors="replace")


def main():
    root = os.path.abspath(sys.argv[1])
    with tempfile.TemporaryDirectory(prefix="nthtree-mutants-") as work:
        copy = os.path.join(work, "source")
        shutil.copytree(root, copy, ignore=shutil.ignore_patterns("build", ".git", "node_modules"))
        build = os.path.join(work, "build")
        run(["cmake", "-S", copy, "-B", build, "-G", "Ninja", "-DCMAKE_BUILD_TYPE=Release"])
        targets = ["simulate", "test_sync"]
        first = run(["cmake", "--build", build, "--target", *targets])
        if first.returncode != 0:
            sys.exit(first.stdout + "\n0 passed, 1 failed")
        passed = failed = 0
        for name, old, new, what in MUTANTS:
            path = os.path.join(copy, "src", "sync", name)
            with open(path, encoding="utf-8") as file:
                sound = file.read()
            if old not in sound:
                print(f"FAIL {name}: the place is gone: {old.strip()}", flush=True)
                failed += 1
                continue
            with open(path, "w", encoding="utf-8") as file:
                file.write(sound.replace(old, new))
            noticed = judge(build, targets)
            with open(path, "w", encoding="utf-8") as file:
                file.write(sound)
            good = bool(noticed) or HARMLESS in what
            print(f"{' ok ' if good else 'FAIL'} {name}: {what}: {noticed or 'not noticed'}",
                  flush=True)
            passed += good
            failed += not good
        print(f"{passed} passed, {failed} failed")
        sys.exit(0 if failed == 0 else 1)


def judge(build, targets):
    """Who noticed the fault, or nothing."""
    built = run(["cmake", "--build", build, "--target", *targets])
    if built.returncode != 0:
        return "it does not compile"
    farms = run([os.path.join(build, "tests", "simulation", "farm", "simulate"),
                 "--seeds", "1", "1000"])
    units = run([os.path.join(build, "tests", "unit", "sync", "test_sync")])
    found = re.search(r"(\d+) failed$", farms.stdout.strip())
    seen = []
    if farms.returncode != 0:
        seen.append(f"{found.group(1) if found else 'all'} of 1000 farms")
    if units.returncode != 0:
        seen.append("unit tests")
    return " and ".join(seen)


if __name__ == "__main__":
    main()
