#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""Bad input: exit code 2, a message that names field, value and what is allowed, and no output."""
import glob
import json
import os
import re

from command_line import FARM, ROOT, Checks, folder, nthtree, read, target, write

checks = Checks()
GOOD = {"fruits_per_tree": 100, "insurance_factor": 1.5, "floral_fraction": 0.6}
YIELD = {"yield": {"amount": 50, "unit": "t_per_ha", "fruit_size": {"grams": 200}},
         "row_spacing_m": 3.5, "tree_spacing_m": 1, "floral_fraction": 0.6}


def nested(request, path, value):
    """A copy of the request with the value at a dotted path set, or taken out where None."""
    copy = json.loads(json.dumps(request))
    place, names = copy, path.split(".")
    for name in names[:-1]:
        place = place[name]
    if value is None:
        place.pop(names[-1])
    else:
        place[names[-1]] = value
    return copy


def absurd_numbers():
    for field, values, allowed in (
            ("floral_fraction", (0, 1.01, -0.5, 68, 1e9, 1e-9), "0.01 to 1"),
            ("insurance_factor", (0, -1.5, 1000, 1e9), "0.5 to 5"),
            ("fruits_per_tree", (0, -73, 1e9, 1e300), "1 to 5000"),
            ("flowers_per_spur", (0, 13), "1 to 12"),
            ("seeds_per_fruit", (0, 1e9), "1 to 20"),
            ("tolerance_fraction", (0, 2), "0.02 to 0.5"),
            ("unpruned_spurs_per_tree", (0, -3, 1e9), "1 to 5000"),
            ("limbs_per_tree", (0, 1e9), "1 to 200"),
            ("hand_thinning_fruitlets_per_hour", (0, 1e9), "1 to 100000")):
        for value in values:
            shown = json.dumps(value).replace("1000000000.0", "1000000000")
            checks.refused(target(nested(GOOD, field, value)), [field, "is allowed", allowed],
                           f"{field} {shown}")
    for field, values in (("row_spacing_m", (0, -3.5, 1e9)), ("tree_spacing_m", (0, 50)),
                          ("yield.amount", (0, -50, 1e9)), ("yield.fruit_size.grams", (0, 1e9)),
                          ("yield.box_kg", (0, -1, 1e9)), ("yield.bin_kg", (0, 1e9)),
                          ("yield.pack_out_fraction", (0, 1.2, -1))):
        for value in values:
            checks.refused(target(nested(YIELD, field, value)), [field, "is allowed"],
                           f"{field} {value}")
    answer = target(nested(GOOD, "floral_fraction", 0))
    checks.equal(answer.err, "nthtree target: floral_fraction: 0 is out of range: 0.01 to 1 is "
                 "allowed (out_of_range)\n", "the message, word for word")
    feet = {"fruits_per_tree": 100, "floral_fraction": 0.5, "row_spacing_ft": 0,
            "tree_spacing_ft": 3}
    checks.refused(target(feet), ["row_spacing_ft: 0 is out of range: 1.65 to 65.61 is allowed"],
                   "row_spacing_ft 0, with limits a person would write")
    much = nested(nested(YIELD, "row_spacing_m", 20), "tree_spacing_m", 20)
    checks.refused(target(nested(much, "yield.amount", 400)), ["yield.amount", "fruits a tree"],
                   "a tree with 80,000 fruits")


def wrong_shapes():
    for field, value in (("floral_fraction", "0.6"), ("fruits_per_tree", [100]),
                         ("insurance_factor", True), ("fruits_per_tree", {"a": 1})):
        checks.refused(target(nested(GOOD, field, value)), [field, "number"], f"{field} {value!r}")
    for request, words in (
            (nested(GOOD, "fruits_per_tree", None), ["fruits_per_tree", "exactly one"]),
            (nested(GOOD, "floral_fraction", None), ["floral_fraction", "exactly one"]),
            ({**GOOD, **YIELD}, ["fruits_per_tree", "exactly one"]),
            ({**GOOD, "floral_buds": [3], "vegetative_buds": [2]}, ["floral_fraction", "2 given"]),
            (nested(YIELD, "row_spacing_m", None), ["row_spacing_m", "missing"]),
            (nested(nested(YIELD, "row_spacing_m", None), "tree_spacing_m", None),
             ["row_spacing_m", "missing"]),
            ({**YIELD, "row_spacing_ft": 11}, ["row_spacing_ft", "one of them"]),
            (nested(YIELD, "yield.unit", "tons"), ["yield.unit", "tons", "t_per_ha"]),
            (nested(YIELD, "yield.unit", None), ["yield.unit", "missing"]),
            (nested(YIELD, "yield.fruit_size", {}), ["fruit_size", "exactly one"]),
            (nested(YIELD, "yield.fruit_size", {"grams": 200, "count_per_box": 88}),
             ["fruit_size", "exactly one"]),
            ({"trunk": {"fruits_per_cm2": 5}, "floral_fraction": 0.5}, ["trunk", "exactly one"]),
            ({"yield": 0, "unit": "t_per_ha", "fruit_grams": 200, "row_spacing_m": 3,
              "tree_spacing_m": 1, "floral_fraction": 0.5}, ["yield: 0", "is allowed"]),
            ({"fruits_per_tree": 100, "floral_buds": [], "vegetative_buds": []},
             ["floral_buds", "at least 1"]),
            ({"fruits_per_tree": 100, "floral_buds": [3, 4], "vegetative_buds": [2]},
             ["vegetative_buds", "as many as"]),
            ({"fruits_per_tree": 100, "floral_buds": [3, 4]}, ["vegetative_buds", "missing"]),
            ({"fruits_per_tree": 100, "floral_buds": [3.5], "vegetative_buds": [2]},
             ["floral_buds", "whole"]),
            ({"fruits_per_tree": 100, "floral_buds": [-3], "vegetative_buds": [2]},
             ["floral_buds", "-3"]),
            ({"fruits_per_tree": 100, "floral_buds": [1e9], "vegetative_buds": [2]},
             ["floral_buds", "1000000000", "0 to 500"]),
            ({"fruits_per_tree": 100, "floral_buds": 0, "vegetative_buds": 0},
             ["floral_buds", "at least 1"]),
            ({"fruits_per_tree": 100, "floral_buds": 0, "vegetative_buds": 50},
             ["floral_fraction", "0 is out of range"]),
            ({"fruits_per_tree": 100, "branches": [{"tree": 1, "floral": 3}]},
             ["branches[0].vegetative", "missing"]),
            ({"fruits_per_tree": 100, "branches": [{"tree": 0, "floral": 3, "vegetative": 1}]},
             ["branches[0].tree", "0"]),
            ({"fruits_per_tree": 100, "branches": 7}, ["branches", "list"]),
            ({**GOOD, "floral_fraction_low": 0.7}, ["floral_fraction_low", "0.7"]),
            ({**GOOD, "target": 3}, ["target", "object"])):
        checks.refused(target(request), words, f"refused: {json.dumps(request)[:90]}")


def hostile_text():
    flat = json.dumps(GOOD)
    for name, text in (
            ("nothing", ""), ("not JSON", "fruits: 73"), ("half an object", flat[:-1]),
            ("two objects", flat + flat), ("a list", "[1, 2]"), ("a number", "7"), ("null", "null"),
            ("NaN", flat.replace("0.6", "NaN")), ("Infinity", flat.replace("0.6", "Infinity")),
            ("1e400", flat.replace("0.6", "1e400")), ("-1e400", flat.replace("0.6", "-1e400")),
            ("a key twice", flat[:-1] + ', "floral_fraction": 0.7}'),
            ("bad UTF-8", b'{"fruits_per_tree": "\xff\xfe"}'),
            ("half a surrogate", '{"a": "\\ud800"}'),
            ("a NUL byte", b"\x00" + flat.encode()), ("binary", bytes(range(256)) * 64),
            ("100,000 brackets", "[" * 100000), ("100,000 objects", '{"a":' * 100000),
            ("nine levels", '{"a":' * 9 + "1" + "}" * 9),
            ("two megabytes", '{"a": "' + "x" * 2000000 + '"}'),
            ("a huge number", '{"fruits_per_tree": ' + "9" * 100000 + "}")):
        checks.refused(target(text), [], f"target on {name}")


def command_words():
    checks.refused(nthtree("prune"), ["prune", "allowed are", "target"], "an unknown command")
    checks.refused(nthtree(), ["usage"], "no command")
    for command, words, names in (
            ("target", ["--colour"], ["--colour", "allowed"]),
            ("target", ["a.json", "b.json"], ["b.json"]),
            ("target", ["/no/such/file.json"], ["/no/such/file.json"]),
            ("target", [ROOT], [ROOT, "folder"]),
            ("replay", [], ["missing"]), ("replay", ["/no/such/farm"], ["/no/such/farm"]),
            ("replay", [FARM, "--at"], ["--at", "value"]),
            ("replay", [FARM, "--at", "yesterday"], ["--at", "yesterday", "is allowed"]),
            ("replay", [FARM, "--at", "2026-02-30"], ["--at", "2026-02-30"]),
            ("replay", [FARM, "--json=yes"], ["--json"]),
            ("replay", [FARM, "--json", "--json"], ["--json", "twice"]),
            ("explain", ["b1"], ["--ledger", "missing"]),
            ("explain", ["b9", "--ledger", FARM], ["b9", "allowed are b1, b2"]),
            ("explain", ["b1", "--ledger", FARM, "--at", "2020-01-01"], ["b1", "not known"]),
            ("verify", [], ["missing"]), ("verify", ["/no/such/file"], ["/no/such/file"]),
            ("export", [FARM, "--format", "xls"], ["--format", "xls", "csv"]),
            ("export", [FARM, "--output", "/no/such/folder/x.csv"], ["/no/such/folder/x.csv"]),
            ("import", [FARM + "/farm.jsonl"], ["--ledger", "missing"]),
            ("import", [FARM + "/farm.jsonl", "--ledger", "/no/such/folder"], ["/no/such/folder"])):
        checks.refused(nthtree(command, *words), names, f"nthtree {command} {' '.join(words)}"[:90])
    for command in ("target", "replay", "explain", "verify", "export", "import"):
        page = nthtree(command, "--help")
        checks.equal((page.code, page.err), (0, ""), command + " --help")
        checks.that(page.out.startswith(f"usage: nthtree {command}"), command + " --help says usage")
    overview = nthtree("--help")
    checks.equal(overview.code, 0, "--help")
    checks.that(all(f"  {name} " in overview.out for name in ("target", "replay", "verify")),
                "--help lists the commands")


def bad_ledgers():
    """Every line the record form refuses is refused by name, and changes nothing."""
    line = '{"v":1,"id":"%s","at_ms":1770102922123,"tick":0,"clock_ms":1770102922123,' \
           '"author":"p1","kind":"tag_count","body":%s}'
    record_id = "3f0c9a1e5b7d42689a1c0e4f72d5b8c1-57"
    body = '{"block":"b1","row":3,"tree":14,"spurs":182}'
    with folder() as place:
        for name, text, words in (
                ("a count of 1e9", line % (record_id, body.replace("182", "1e9")),
                 ["line 1", "body.spurs", "1000000000", "0 to 5000"]),
                ("a negative count", line % (record_id, body.replace("182", "-4")),
                 ["line 1", "body.spurs", "-4", "0 to 5000"]),
                ("a bad id", line % ("7", body), ["line 1", "id"]),
                ("half a line", (line % (record_id, body))[:-9], ["line 1"]),
                ("bad UTF-8", (line % (record_id, body)).encode().replace(b'"p1"', b'"\xff"'),
                 ["line 1"]),
                ("too long", line % (record_id, body[:-1] + ',"note":"' + "x" * 5000 + '"}'),
                 ["line 1", "4096"]),
                ("too deep", line % (record_id, body[:-1] + ',"deep":' + "[" * 9 + "]" * 9 + "}"),
                 ["line 1"])):
            path = write(os.path.join(place, "bad.jsonl"), text)
            for command in (["verify", path], ["replay", path], ["export", path],
                            ["explain", "b1", "--ledger", path]):
                checks.refused(nthtree(*command), words, f"{command[0]} on {name}")
        outside = read(FARM + "/farm.jsonl") + line % (record_id, body.replace("14", "999")) + "\n"
        path = write(os.path.join(place, "bad.jsonl"), outside)
        checks.refused(nthtree("verify", path), ["body.tree", "999", "trees 1 to 94"],
                       "a tree outside the block")
        row = write(os.path.join(place, "bad.jsonl"), outside.replace('"row":3', '"row":77'))
        checks.refused(nthtree("verify", row), ["body.row", "77", "rows 1 to 43"],
                       "a row outside the block")


def rejected_files():
    """Whatever once broke a reader stays refused, or read, without a crash."""
    paths = sorted(path for path in glob.glob(os.path.join(ROOT, "tests", "data", "rejected", "**"),
                                              recursive=True) if os.path.isfile(path))
    checks.that(len(paths) >= 2, "there are files that broke a reader once", len(paths))
    for path in paths:
        for command in (["verify", path], ["target", path]):
            answer = nthtree(*command)
            checks.that(answer.code in (0, 2), f"{command[0]} {os.path.basename(path)}",
                        f"exit code {answer.code}")


for part in (absurd_numbers, wrong_shapes, hostile_text, command_words, bad_ledgers, rejected_files):
    part()
checks.close()
