#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""`nthtree evening`: the rows that stand wrong and who goes where, on the demo farm and on rows logged."""
import json
import os

from command_line import FARM, Checks, folder, nthtree, write

checks = Checks()


def record(sequence, minute, author, kind, body):
    at_ms = 1769990400000 + minute * 60000
    return json.dumps({"v": 1, "id": f"{'0' * 28}aaaa-{sequence}", "at_ms": at_ms, "tick": 0,
                       "clock_ms": at_ms, "author": author, "kind": kind, "body": body})


def logged_farm():
    """Two pruners, rows logged; the second leaves half as many again."""
    lines, sequence = [], 0

    def add(minute, author, kind, **body):
        nonlocal sequence
        sequence += 1
        lines.append(record(sequence, minute, author, kind, body))

    add(0, "m1", "farm", name="Two Creeks", wage_per_hour=18, fruit_price_per_kg=0.8,
        hand_thinning_fruitlets_per_hour=300)
    add(1, "m1", "block", block="b1", name="Creek", variety="Gala", rows=40, trees_per_row=90,
        row_spacing_m=3.5, tree_spacing_m=1.0, green_tip_date="2026-03-28",
        target={"fruits_per_tree": 113, "insurance_factor": 1.5, "floral_fraction": 0.9})
    for person, name in (("p1", "Ana"), ("p2", "Ben")):
        add(2, "m1", "person", person=person, name=name, role="pruner", gang="North")
    minute = 480
    for person, rows, level in (("p1", range(1, 5), 188), ("p2", range(5, 9), 290)):
        for row in rows:
            for tree in range(5, 91, 17):
                spurs = level + (tree * 7) % 31 - 15
                add(minute, person, "tag_count", block="b1", row=row, tree=tree, spurs=spurs)
                add(minute + 1, "lead", "check_count", block="b1", row=row, tree=tree, spurs=spurs)
                minute += 5
            add(minute, person, "row_done", block="b1", row=row)
    return lines


def rows_that_stand_wrong():
    with folder() as there:
        path = write(os.path.join(there, "farm.jsonl"), "\n".join(logged_farm()) + "\n")
        answer = nthtree("evening", path, "--json")
        checks.equal((answer.code, answer.err), (0, ""), "the evening")
        first = answer.json["going_back"][0]
        checks.equal((first["what"], first["person"], first["rows"]), ("go back", "p2", [5, 6, 7, 8]),
                     "whoever left too many comes first")
        checks.that(first["gain"] > 0 and not first["inferred"], "it pays, and the rows were logged")
        text = nthtree("evening", path).out
        checks.that("5–8" in text and "Ben" not in text, "rows as people say them, nobody named")
        checks.that("Ben" in nthtree("evening", path, "--names").out, "named where it is asked for")
        checks.equal(answer.json["gangs"][0]["people"], ["p1", "p2"], "a gang is who is sent together")


def the_demo_farm():
    answer = nthtree("evening", FARM, "--json")
    checks.equal((answer.code, answer.err), (0, ""), "the demo farm's evening")
    stretches = answer.json["going_back"]
    checks.that(len(stretches) > 3, "rows are inferred where nobody logged them")
    checks.that(all(one["inferred"] for one in stretches), "and marked so")
    checks.that(answer.json["trees_late"] <= answer.json["trees_late_as_now"] + 1e-6,
                "no plan leaves more trees late than staying")


def refusals():
    answer = nthtree("evening", "/nowhere/at/all")
    checks.equal((answer.code, answer.out), (2, ""), "no such ledger")
    checks.that("/nowhere/at/all" in answer.err, "named")


for part in (rows_that_stand_wrong, the_demo_farm, refusals):
    part()
checks.close()
