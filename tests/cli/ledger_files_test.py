#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""`nthtree verify`, `export` and `import`: nothing lost, nothing doubled, all or nothing."""
import csv
import glob
import io
import json
import os
import shutil

from command_line import FARM, ROOT, Checks, folder, nthtree, read, write

checks = Checks()
DEVICE = "3f0c9a1e5b7d42689a1c0e4f72d5b8c1"


def records(text):
    return [json.loads(line) for line in text.splitlines() if line]


def fingerprint(path):
    answer = nthtree("replay", path, "--json")
    return answer.json["fingerprint"] if answer.code == 0 else answer.err


def contents(place):
    return {os.path.basename(p): read(p) for p in glob.glob(place + "/*")}


def record(sequence, kind="tag_count", body=None, **more):
    body = body or {"block": "b1", "row": 3, "tree": 14, "spurs": 182}
    return json.dumps({"v": 1, "id": f"{DEVICE}-{sequence}", "at_ms": 1770500000000 + sequence,
                       "tick": 0, "clock_ms": 1770500000000, "author": "p1", "kind": kind,
                       "body": body, **more}, separators=(",", ":"))


def whole_farm():
    answer = nthtree("verify", FARM)
    checks.equal((answer.code, answer.err), (0, ""), "the farm's files are in order")
    lines = sum(len(read(p).splitlines()) for p in glob.glob(FARM + "/*.jsonl"))
    checks.that(f"{lines} records of 14 devices" in answer.out, "all of them counted", answer.out)
    one = nthtree("verify", FARM + "/phone_p7_p8.jsonl")
    checks.equal(one.code, 0, "one phone alone is in order")
    checks.that("note: block b2" in one.out and "note: person p7" in one.out,
                "but says what it lacks", one.out)
    exported = nthtree("export", FARM)
    checks.equal(sorted(exported.out.splitlines()),
                 sorted(line for p in glob.glob(FARM + "/*.jsonl") for line in
                        read(p).splitlines()), "export as JSON lines, byte for byte")
    stamps = [(r["at_ms"], r["tick"], r["id"].split("-")[0]) for r in records(exported.out)]
    checks.equal(stamps, sorted(stamps), "in the order of the fold")
    twice = nthtree("export", FARM, FARM)
    checks.equal(twice.out, exported.out, "given twice, each record once")


def oddities():
    with folder() as place:
        unknown = record(1, "leaf_analysis", {"block": "b1", "nitrogen_percent": 2.1},
                         from_the_future=[1, 2])
        path = write(place + "/new.jsonl", unknown + "\n")
        answer = nthtree("verify", path)
        checks.equal(answer.code, 0, "an unknown kind is no error")
        checks.that("1 records of kinds this version does not know: kept" in answer.out,
                    "but told", answer.out)
        checks.equal(nthtree("export", path).out, unknown + "\n", "and passed on byte for byte")
        write(path, record(1) + "\n" + record(1) + "\n" + record(4) + "\n")
        answer = nthtree("verify", path)
        checks.equal(answer.code, 0, "a record twice and a gap are no errors")
        checks.that("1 stand more than once" in answer.out and "missing between 1 and 4" in
                    answer.out, "but told", answer.out)
        other = record(1, body={"block": "b1", "row": 3, "tree": 14, "spurs": 99})
        write(path, record(1) + "\n" + other + "\n")
        checks.refused(nthtree("verify", path), [DEVICE + "-1", "two different records"],
                       "one id, two records")
        checks.refused(nthtree("export", path), [DEVICE + "-1", "conflict"], "export of a conflict")
        write(path, record(1) + "\r\n\r\n" + record(2) + "\r\n")
        checks.that("2 records" in nthtree("verify", path).out, "line breaks of another system")
        write(path, record(1) + "\n" + record(2).replace("182", "99999") + "\n" + record(3) + "\n")
        answer = nthtree("export", path, "--skip-bad")
        checks.equal(len(records(answer.out)), 2, "--skip-bad keeps the good ones")
        checks.that("line 2: body.spurs" in answer.err, "and tells the bad one", answer.err)
        mark = "\ufeff"
        write(path, mark + record(1) + "\n" + mark + record(2) + "\n")
        home = place + "/home"
        os.mkdir(home)
        checks.that("2 records" in nthtree("verify", path).out, "marks of byte order are read over")
        checks.equal(nthtree("import", path, "--ledger", home).code, 0, "and such a file read in")
        stored = "".join(read(p) for p in glob.glob(home + "/*.jsonl"))
        checks.equal(stored, record(1) + "\n" + record(2) + "\n",
                     "a mark of byte order was stored with the record")
        write(path, record(1) + "\n" + record(2) + "\n")
        answer = nthtree("import", path, "--ledger", home)
        checks.equal((answer.code, answer.out), (0, "0 records added, 2 held already\n"),
                     "a record stored with a mark conflicted with itself")
        write(path, "")
        checks.that("0 records" in nthtree("verify", path).out, "an empty file")


def there_and_back():
    with folder() as place:
        table = place + "/farm.csv"
        answer = nthtree("export", FARM, "--format", "csv", "--output", table)
        checks.equal(answer.code, 0, "export as CSV")
        rows = list(csv.DictReader(io.StringIO(read(table))))
        checks.equal(len(rows), len(records(nthtree("export", FARM).out)), "one row a record")
        tags = [row for row in rows if row["kind"] == "tag_count"]
        checks.that(all(row["spurs"].isdigit() and row["block"] for row in tags),
                    "counts as plain numbers")
        copy = place + "/copy"
        os.mkdir(copy)
        answer = nthtree("import", table, "--ledger", copy)
        checks.that(answer.code == 0 and f"{len(rows)} records added" in answer.out,
                    "import of that table", answer.out + answer.err)
        checks.equal(fingerprint(copy), fingerprint(FARM), "the season is the same")
        checks.equal(sorted(nthtree("export", copy).out.splitlines()),
                     sorted(nthtree("export", FARM).out.splitlines()), "to the byte")
        before = contents(copy)
        answer = nthtree("import", table, FARM + "/phone_p1.jsonl", "--ledger", copy)
        checks.that(answer.code == 0 and "0 records added" in answer.out, "a second time adds none",
                    answer.out + answer.err)
        checks.equal(contents(copy), before, "and changes no file")


def counts_for_people():
    """The table of counts: names, the farm's time, a mark of UTF-8; and read back."""
    with folder() as place:
        farm = place + "/farm"
        shutil.copytree(FARM, farm)
        table = place + "/counts.csv"
        checks.equal(nthtree("export", farm, "--format", "counts", "--output", table).code, 0,
                     "export of counts")
        with open(table, "rb") as file:
            raw = file.read()
        checks.equal(raw[:3], b"\xef\xbb\xbf", "it begins with the mark of UTF-8")
        rows = list(csv.DictReader(io.StringIO(raw.decode("utf-8-sig"))))
        kinds = ("before_count", "tag_count", "check_count", "cluster_count", "harvest_count",
                 "return_bloom", "exercise_count", "part_count", "part_check", "part_clusters",
                 "eye_score", "tree_size")
        all_records = records(nthtree("export", farm).out)
        written = [r for r in all_records if r["kind"] in kinds and "replaces" not in r]
        gone = {r["replaces"] for r in all_records if r["kind"] == "withdrawal"}
        checks.equal(len(rows), len([r for r in written if r["id"] not in gone]),
                     "one row a count that stands")
        first = rows[0]
        checks.that(first["block"] == "Lower Bench" or " " in first["block"], "a block's name",
                    first["block"])
        checks.equal(first["utc_offset"], "UTC-08:00", "with the offset of the farm")
        before = contents(farm)
        answer = nthtree("import", table, "--ledger", farm)
        checks.equal((answer.code, answer.out), (0, f"0 records added, {len(rows)} held already\n"),
                     "read back, it adds nothing")
        checks.equal(contents(farm), before, "and changes no file")
        text = read(table)
        typed = ("2026-02-09,09:15,,{block},,2,40,{person},tag count,231\r\n").format(
            block=first["block"], person=first["person"])
        write(table, text + typed)
        answer = nthtree("import", table, "--ledger", farm)
        checks.that(answer.code == 0 and answer.out.startswith("1 records added"),
                    "a row typed below is a new count", answer.out + answer.err)
        answer = nthtree("import", table, "--ledger", farm)
        checks.that(answer.out.startswith("0 records added"), "once", answer.out + answer.err)
        new = records(nthtree("export", farm).out)[-1]
        checks.equal((new["kind"], new["body"]["spurs"], new["at_ms"]),
                     ("tag_count", 231, 1770657300000), "at the farm's own time")
        line = text.split("\r\n")[1]
        for bad, words in (
                (line.replace(first["record"], "0" * 32 + "-9"), ["row 2", "record", "not held"]),
                (line.replace(f",{first['spurs']},", ",17,"), ["row 2", "record", "corrected"]),
                (typed.strip().replace(first["person"], "Nobody"), ["row 2", "person", "Nobody"]),
                (typed.strip().replace("231", "many"), ["row 2", "spurs", "many"]),
                (typed.strip().replace("2026-02-09", "9/2/26"), ["row 2", "date", "9/2/26"])):
            write(table, text.split("\r\n")[0] + "\r\n" + bad + "\r\n")
            checks.refused(nthtree("import", table, "--ledger", farm), words, bad)


def from_paper():
    with folder() as place:
        farm = place + "/farm"
        shutil.copytree(FARM, farm)
        paper = write(place + "/paper.csv",
                      "kind,at,author,block,row,tree,spurs\n"
                      "tag_count,2026-02-09 09:15,p1,b3,36,40,331\n"
                      "tag_count,2026-02-09 09:15,p1,b3,36,47,298\n"
                      "check_count,2026-02-09T18:00Z,l1,b3,36,40,340\n")
        dry = nthtree("import", paper, "--ledger", farm, "--dry-run")
        checks.equal(dry.out, "3 records would be added, 0 held already\n", "a dry run says so")
        checks.equal(contents(farm), contents(FARM), "and adds nothing")
        answer = nthtree("import", paper, "--ledger", farm)
        checks.equal((answer.code, answer.out), (0, "3 records added, 0 held already\n"),
                     "three counts from paper")
        checks.equal(nthtree("import", paper, "--ledger", farm).out,
                     "0 records added, 3 held already\n", "the same paper twice adds none")
        checks.equal(nthtree("verify", farm).code, 0, "in order afterwards")
        added = [r for r in records(nthtree("export", farm).out) if r["at_ms"] > 1770600000000]
        checks.equal([r["at_ms"] for r in added], [1770657300000, 1770657300000, 1770660000000],
                     "the farm's own time (eight hours behind), and UTC with Z")
        checks.equal([r["tick"] for r in added], [0, 1, 0], "two of one minute keep their order")
        old = contents(farm)
        head = "kind,at,author,block,row,tree,spurs\ntag_count,2026-02-09 09:15,p1,b3,36,41,300\n"
        for name, text, words in (
                ("a bad count", head + "tag_count,2026-02-09 09:20,p1,b3,36,48,1e9\n",
                 ["row 3", "body.spurs", "1000000000", "0 to 5000"]),
                ("a count that is no number", head + "tag_count,2026-02-09 09:20,p1,b3,36,48,many\n",
                 ["row 3", "spurs", "many"]),
                ("a tree outside", head + "tag_count,2026-02-09 09:20,p1,b3,36,481,300\n",
                 ["tree 481", "38 rows of 80"]),
                ("a bad time", head + "tag_count,yesterday,p1,b3,36,48,300\n",
                 ["row 3", "at", "yesterday"]),
                ("a missing field", head + "tag_count,2026-02-09 09:20,p1,b3,36,,300\n",
                 ["row 3", "body.tree", "missing"]),
                ("too many cells", head + "tag_count,2026-02-09 09:20,p1,b3,36,48,300,1\n",
                 ["row 3", "8 cells"]),
                ("an open quote", head + 'tag_count,"2026\n', ["line 3", "quote"]),
                ("no kind column", "at,spurs\n2026-02-09,3\n", ["kind"]),
                ("a heading twice", "kind,at,at\n", ["same heading"]),
                ("nothing", "", ["headings"])):
            checks.refused(nthtree("import", write(paper, text), "--ledger", farm),
                           ["paper.csv", *words], "import of " + name)
        checks.equal(contents(farm), old, "one bad row, and nothing changed")
        stranger = write(place + "/other.jsonl", read(FARM + "/phone_p2.jsonl").splitlines()[0]
                         .replace('"spurs":', '"spurs":1') + "\n")
        checks.refused(nthtree("import", stranger, "--ledger", farm), ["conflict"],
                       "another record under a held id")
        checks.equal(contents(farm), old, "and nothing changed then either")


def limbs_refused_by_their_step():
    """A row of limbs was refused: "step" is a word of a block's progress, and a number of a draw."""
    every = os.path.join(ROOT, "tests", "data", "wire_v1", "every_kind.jsonl")
    with folder() as place:
        table = place + "/every.csv"
        checks.equal(nthtree("export", every, "--format", "csv", "--output", table).code, 0,
                     "every kind as CSV")
        os.mkdir(place + "/copy")
        answer = nthtree("import", table, "--ledger", place + "/copy")
        checks.equal((answer.code, answer.err), (0, ""), "and back")
        held = {r["id"]: r for r in records(nthtree("export", place + "/copy").out)}
        for old in records(nthtree("export", every).out):
            body = held.get(old["id"], {}).get("body", {})  # may say a default that it left out
            checks.equal({name: body.get(name) for name in old["body"]}, old["body"], old["kind"])


def spreadsheets():
    with folder() as place:
        names = ["=2+3", "@home", "-x", "a,b", 'say "so"', "'quoted", "Zoë", "+1"]
        lines = [record(i + 1, "person", {"person": f"p{i}", "name": name, "role": "pruner",
                                          "active": True}) for i, name in enumerate(names)]
        path = write(place + "/people.jsonl", "\n".join(lines) + "\n")
        text = nthtree("export", path, "--format", "csv").out
        cells = [row["name"] for row in csv.DictReader(io.StringIO(text))]
        checks.that(not any(cell[0] in "=+-@" for cell in cells), "no cell runs as a formula", cells)
        write(place + "/people.csv", text)
        os.mkdir(place + "/copy")
        checks.equal(nthtree("import", place + "/people.csv", "--ledger", place + "/copy").code, 0,
                     "such a table comes back")
        back = records(nthtree("export", place + "/copy").out)
        checks.equal([r["body"]["name"] for r in back], names, "with every name as it was")


for part in (whole_farm, oddities, there_and_back, from_paper, spreadsheets,
             limbs_refused_by_their_step, counts_for_people):
    part()
checks.close()
