#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""The demo farm: made again byte for byte, rich enough to be believed, and seen through."""
import collections
import glob
import json
import math
import os
import shutil
import statistics
import subprocess

from command_line import FARM, GENERATOR, Checks, folder, nthtree, read

checks = Checks()
TRUTH = json.loads(read(FARM + "/truth.json"))
PRACTICE = FARM + "_every_50th"
RECORDS = [dict(json.loads(line), file=os.path.basename(path)) for path in
           sorted(glob.glob(FARM + "/*.jsonl")) for line in read(path).splitlines()]


def generate(place, *words):
    return subprocess.run([GENERATOR, "--out", place, *words], capture_output=True, text=True,
                          timeout=120)


def same_as_kept(made_files, kept_files):
    """Compares two folders' files byte by byte; the kept ones' texts by name."""
    made, kept = ({os.path.basename(p): read(p) for p in glob.glob(files)}
                  for files in (made_files, kept_files))
    checks.equal(sorted(made), sorted(kept), "the same files")
    for name in kept:
        checks.that(made.get(name) == kept[name], f"{name} is the same to the byte")
    return kept


def made_again():
    with folder() as place:
        done = generate(place)
        checks.equal(done.returncode, 0, "the generator works")
        kept = same_as_kept(place + "/oxbow_lantern/*", FARM + "/*")
        checks.that(sum(len(text.encode()) for text in kept.values()) < 1 << 20, "under 1 MB")


def as_the_trade_does():
    """Every 50th tree, some limbs of it, scores by eye and the lead's walk: the app's demo."""
    with folder() as place:
        done = generate(place, "--practice", "50")
        checks.equal(done.returncode, 0, "the generator works")
        kept = same_as_kept(place + "/*/*", PRACTICE + "/*")
        checks.equal(generate(place, "--practice", "50", "--seed", "3").returncode, 0, "another crew")
        levels = [[p["level"] for p in json.loads(text)["pruners"]] for text in
                  (kept["truth.json"], read(place + "/oxbow_lantern_every_50th/truth.json"))]
        checks.that(all(abs(a - b) > 1e-6 for a, b in zip(*levels)), "of other levels", levels)
    records = [json.loads(line) for path in glob.glob(PRACTICE + "/*.jsonl")
               for line in read(path).splitlines()]
    kinds = collections.Counter(r["kind"] for r in records)
    checks.equal(kinds["tag_count"], 0, "no tree is counted whole")
    parts = [r for r in records if r["kind"] == "part_count"]
    days = collections.Counter((r["author"], r["at_ms"] // 86400000) for r in parts)
    checks.that(max(days.values()) <= 6, "a pruner counts a handful of trees a day", days)
    seconds = sum(r["body"]["seconds"] for r in parts) / sum(days.values()) * statistics.mean(
        days.values())
    checks.that(300 < seconds < 900, "in some ten minutes", seconds)
    walked = sum(r["kind"] == "eye_score" and r["author"].startswith("l") for r in records)
    checks.that(walked > 600 and kinds["tree_size"] > 100, "the lead walks past, sizes are tapped",
                kinds)
    checks.equal(nthtree("verify", PRACTICE).code, 0, "all in order")


def three_seasons():
    """An on-year, an off-year and a frost night, each closed; and any of them as it stood on a day."""
    with folder() as place:
        checks.equal(generate(place, "--seasons", "3").returncode, 0, "the generator works")
        kept = same_as_kept(place + "/oxbow_lantern_seasons/*", FARM + "_seasons/*")
        checks.that(sum(len(text.encode()) for text in kept.values()) < 1 << 19, "under half a MB")
        checks.equal(nthtree("verify", FARM + "_seasons").code, 0, "all in order")
        checks.equal(generate(place, "--seasons", "3", "--until", "2026-04-17").returncode, 0,
                     "as it stood before the frost was looked at")
        until = [json.loads(line) for p in glob.glob(place + "/oxbow_lantern_seasons/*.jsonl")
                 for line in read(p).splitlines()]
        checks.that(max(r["at_ms"] for r in until) < 1776384000000, "nothing from 17 April on")
        for words in (["--seasons", "4"], ["--seasons", "3", "--until", "spring"]):
            done = generate(place, *words)
            checks.that(done.returncode == 2 and words[-2] in done.stderr,
                        f"refused: {' '.join(words)}", done.stderr)
    records = [json.loads(line) for name, text in kept.items() if name.endswith(".jsonl")
               for line in text.splitlines()]
    closed = sorted(r["body"]["year"] for r in records if r["kind"] == "season_closed")
    checks.equal(closed, [2024, 2025, 2026], "three seasons, each closed")
    picked = collections.defaultdict(list)
    for r in records:
        if r["kind"] == "harvest_count":
            picked[r["at_ms"] // 31557600000 + 1970].append(r["body"]["fruits"])
    mean = {year: statistics.mean(fruits) for year, fruits in picked.items()}
    checks.that(mean[2025] < 0.7 * mean[2024], "fewer fruits in the off-year", mean)
    frost = [r["body"] for r in records if r["kind"] == "frost_sample"]
    low = [r["alive"] / 12 for r in frost if r["block"] in ("b1", "b2")]
    high = [r["alive"] / 12 for r in frost if r["block"] not in ("b1", "b2")]
    checks.near(statistics.mean(low), 0.5, 0.1, "half alive on the low ground")
    checks.near(statistics.mean(high), 0.85, 0.08, "more above")


def another_season():
    with folder() as place:
        done = generate(place, "--seed", "7", "--days", "3", "--pruners", "20", "--stride", "11",
                        "--scale", "0.5", "--start", "2027-02-01")
        checks.equal(done.returncode, 0, "another seed, size and start")
        other = place + "/oxbow_lantern"
        checks.equal(nthtree("verify", other).code, 0, "is in order too")
        people = [json.loads(line)["body"] for line in read(other + "/farm.jsonl").splitlines()
                  if '"kind":"person"' in line]
        checks.equal(sum(p["role"] == "pruner" for p in people), 20, "with 20 pruners")
        checks.that(all("at_ms" not in line or json.loads(line)["at_ms"] > 1.79e12
                        for p in glob.glob(other + "/*.jsonl") for line in read(p).splitlines()),
                    "in another year")
        for words in (["--seed", "x"], ["--days", "0"], ["--days"], ["--colour", "7"], ["--pruners",
                      "1e9"], ["--start", "2026-02-30"]):
            done = generate(place, *words)
            checks.that(done.returncode == 2 and words[0] in done.stderr,
                        f"refused: {' '.join(words)}", done.stderr)
        done = subprocess.run([GENERATOR], capture_output=True, text=True)
        checks.equal(done.returncode, 2, "refused: nowhere to write")


def rich_enough():
    kinds = collections.Counter(r["kind"] for r in RECORDS)
    blocks = {r["body"]["block"]: r["body"] for r in RECORDS if r["kind"] == "block"}
    people = [r["body"] for r in RECORDS if r["kind"] == "person"]
    checks.that(len(blocks) >= 4, "4 blocks or more")
    checks.that(len({b["variety"] for b in blocks.values()}) >= 4, "of different varieties")
    checks.that(len({(b["row_spacing_m"], b["tree_spacing_m"]) for b in blocks.values()}) >= 4,
                "and spacings")
    roles = collections.Counter(p["role"] for p in people)
    checks.equal((roles["pruner"], roles["lead"], roles["manager"]), (12, 2, 1), "the crew")
    checks.that(kinds["tag_count"] > 1500, "over 1,500 tag counts", kinds["tag_count"])
    checks.that(kinds["check_count"] > 100, "over 100 re-counts", kinds["check_count"])
    for block in blocks:
        buds = [r["body"] for r in RECORDS if r["kind"] == "bud_sample" and
                r["body"]["block"] == block]
        checks.that(len(buds) >= 10 and len({(b["row"], b["tree"]) for b in buds}) >= 5,
                    f"{block}: ten branches of five trees")
        checks.that({b["position"] for b in buds} == {"upper", "lower"}, f"{block}: both sides")
        checks.that(sum(r["kind"] == "before_count" and r["body"]["block"] == block
                        for r in RECORDS) >= 5, f"{block}: unpruned trees counted")
    tags = [r for r in RECORDS if r["kind"] == "tag_count" and "replaces" not in r]
    shared = {r["author"] for r in RECORDS if r["file"] == "phone_p7_p8.jsonl"}
    checks.equal(shared, {"p7", "p8"}, "one phone is shared")
    checks.that(sum("replaces" in r for r in RECORDS) >= 4 and kinds["withdrawal"] == 1,
                "a few mistakes corrected and one withdrawn")
    checks.that(kinds["advice"] >= 1 and kinds["work_spell"] > 50, "advice and work spells")
    # Wednesday's afternoon at the farm, 20:15 to 24:00 UTC, is lost to rain.
    rain = [r for r in tags if 1770236100000 <= r["at_ms"] < 1770249600000]
    checks.equal(len(rain), 0, "nobody counts in the rain")
    counted = [(r["body"]["block"], r["body"]["row"], r["body"]["tree"]) for r in tags]
    checks.equal(len(counted), len(set(counted)), "no tree is tagged twice")


def realistic_spread():
    """Overdispersed beyond what counting by chance gives, and biased low by about 6 %."""
    spurs = collections.defaultdict(list)
    for r in RECORDS:
        if r["kind"] == "tag_count" and r["body"]["spurs"] < 1500:
            spurs[r["body"]["block"], r["author"]].append(r["body"]["spurs"])
    ratios = [statistics.variance(v) / statistics.mean(v) for v in spurs.values() if len(v) > 30]
    checks.that(min(ratios) > 3, "every pruner's counts are overdispersed (variance ÷ mean > 3)",
                min(ratios))
    tags = {}
    for r in RECORDS:  # a tree's last tag count
        if r["kind"] == "tag_count":
            tags[r["body"]["block"], r["body"]["row"], r["body"]["tree"]] = r
    misses = collections.defaultdict(list)
    for r in RECORDS:
        key = tuple(r["body"].get(k) for k in ("block", "row", "tree"))
        if r["kind"] == "check_count" and key in tags:
            tag = tags[key]
            # The lead finds the tree as a mend left it.
            left = tag["body"].get("spurs_after_mend", tag["body"]["spurs"])
            misses[tag["author"]].append(math.log(r["body"]["spurs"] / left))
    truth = {p["person"]: p for p in TRUTH["pruners"]}
    pooled = statistics.mean(x for v in misses.values() for x in v)
    checks.near(pooled, 0.065, 0.02, "people miss about 6 %")
    for person, logs in misses.items():
        expected = math.log((1 - TRUTH["lead_miss_share"]) / (1 - truth[person]["miss_share"]))
        if truth[person]["rounds_to_fives"] == 0:
            checks.near(statistics.mean(logs), expected, 4 * 0.05 / math.sqrt(len(logs)),
                        f"{person} misses what the truth says")


def verdicts():
    """The drifter, the over-pruner and the one who was told are found; the steady are left alone."""
    def pruners(at):
        blocks = nthtree("replay", FARM, "--json", "--at", at).json["blocks"]
        return {(b["block"], p["person"]): p for b in blocks for p in b["pruners"]}, blocks
    monday, _ = pruners("2026-02-02")
    tuesday, _ = pruners("2026-02-03T12:00")
    thursday, blocks = pruners("2026-02-05")
    saturday, _ = pruners("2026-02-07")
    checks.equal(monday["b1", "p4"]["verdict"], "lighter", "p4 over-prunes: told on Monday already")
    checks.equal(thursday["b1", "p4"]["verdict"], "lighter", "and on Thursday still")
    checks.that(thursday["b1", "p4"]["change_spurs_per_tree"] < -30, "by more than 30 spurs")
    checks.equal(tuesday["b1", "p3"]["verdict"], "harder", "p3 leaves too many before the advice")
    checks.equal(thursday["b1", "p3"]["verdict"], "on_target", "and is on target after it")
    checks.that(monday["b2", "p9"]["verdict"] in ("on_target", "count_more"), "p9 begins well")
    checks.equal(thursday["b2", "p9"]["verdict"], "harder", "p9 drifted: told by Thursday")
    # The chart speaks up while a change is fresh: look in at every noon and evening.
    alarms = [pruners(at)[0]["b2", "p9"]["drift"] for day in ("04", "05", "06")
              for at in (f"2026-02-{day}T12:00", f"2026-02-{day}")]
    tuesday_noon_ms = 1770148800000
    checks.that(any(d["alarm"] and d["change_fraction"] > 0.1 and d["began_ms"] >= tuesday_noon_ms
                    for d in alarms), "and the chart says so: upwards, since Tuesday noon or later",
                alarms)
    steady = [p["drift"]["alarm"] for (block, person), p in saturday.items()
              if person not in ("p3", "p4", "p9")]
    checks.that(sum(steady) <= len(steady) / 3, "and leaves most of the steady alone",
                f"{sum(steady)} alarms of {len(steady)}")
    checks.equal(saturday["b4", "p9"]["verdict"], "harder", "p9 in the next block too")
    for key in (("b1", "p1"), ("b1", "p2"), ("b1", "p5"), ("b1", "p6"), ("b2", "p7"), ("b2", "p8"),
                ("b2", "p10"), ("b2", "p11"), ("b2", "p12")):
        checks.that(thursday[key]["verdict"] in ("on_target", "count_more"),
                    f"{key}: steady, not told to change", thursday[key]["verdict"])
    low = thursday["b2", "p10"]
    checks.that(low["counting_ratio"] > 1.1, "p10's misses are seen", low["counting_ratio"])
    checks.that(thursday["b1", "p6"]["digit_share"] > 0.5, "p6's rounding is seen")
    signs = {person: set(p["counting_signs"]) for (_, person), p in saturday.items()}
    checks.equal({p for p, found in signs.items() if "digits" in found}, {"p6"}, "p6 alone rounds")
    checks.that("misses_many" in signs["p10"], "p10 misses many", signs["p10"])
    for block in blocks:
        true = next(b for b in TRUTH["blocks"] if b["block"] == block["block"])
        checks.that(block["floral_fraction_low"] - 0.08 < true["floral_fraction"] <
                    block["floral_fraction_high"] + 0.08, f"{block['block']}: the buds' truth")
        checks.equal(block["target_spurs_per_tree"], true["told_target"],
                     f"{block['block']}: the target the crew was told")


def replays():
    for at in ("2026-01-20", "2026-01-25", "2026-01-30", "2026-02-04", ""):
        words = ["--at", at] if at else []
        table, form = nthtree("replay", FARM, *words), nthtree("replay", FARM, "--json", *words)
        checks.equal((table.code, form.code), (0, 0), f"replay at {at or 'the end'}")
        checks.that("nan" not in (table.out + form.out).lower(), f"no NaN at {at or 'the end'}")
        for block in form.json["blocks"]:
            checks.that(f"\n{block['block']} " in table.out, f"{block['block']} in the table")
    utc, local = (nthtree("replay", FARM, "--json", "--at", at).json["at_ms"]
                  for at in ("2026-02-04T20:00Z", "2026-02-04T12:00"))
    checks.equal(utc, local, "20:00 UTC is 12:00 at the farm")
    end = nthtree("replay", FARM, "--json").json
    later = nthtree("replay", FARM, "--json", "--at", "2026-02-04").json
    checks.that(later["records"] < end["records"] == len(RECORDS), "only what was written by then")
    one_file = nthtree("replay", *sorted(glob.glob(FARM + "/*.jsonl"), reverse=True), "--json")
    checks.equal(one_file.json, end, "the order of the files changes nothing")


WORDS = {"harder": "harder", "lighter": "lighter", "on_target": "on target",
         "count_more": "count more", "recount_first": "re-count first",
         "cut_more_buds": "cut open more buds", "call_lead": "call the lead"}


def one_word():
    """Table, JSON and worksheet name a verdict, and the remedy of an open one, alike."""
    met = set()
    for at in ("2026-02-01", "2026-02-02T10:00", "2026-02-03", "2026-02-05T11:00", ""):
        when = ["--at", at] if at else []
        table = nthtree("replay", FARM, *when).out
        for block in nthtree("replay", FARM, "--json", *when).json["blocks"]:
            where = f"{block['block']} at {at or 'the end'}"
            sheet = nthtree("explain", block["block"], "--ledger", FARM, *when).out
            checks.that(f"  block: {WORDS[block['verdict']]}; " in table, f"{where}: the block")
            for pruner in block["pruners"]:
                word = WORDS[pruner["verdict"]]
                met.add(word)
                name = f"{pruner['person']} {pruner['name']}"
                lines = table[table.find(f"\n{block['block']} "):].splitlines()
                line = next((x for x in lines if x.startswith(f"  {name} ")), "")
                checks.that(f"  {word}  " in line + "  ", f"{where}: {name} in the table", line)
                told = sheet[sheet.find(f"  {name}: {pruner['counts']} count"):]
                checks.that(f"  verdict: {word}; " in told and
                            told.find(f"  verdict: {word}; ") == told.find("  verdict: "),
                            f"{where}: {name} on the worksheet", word)
    checks.that(len(met) >= 3, "several verdicts were met", met)


def never_silently_gone():
    """45 days after them, counts were gone without a word; one wild clock did it to everybody."""
    counts = {}
    for at in ("2026-03-22", "2026-03-25", "2029-01-01"):
        counts[at] = [(b["tag_counts"], b["verdict"]) for b in
                      nthtree("replay", FARM, "--json", "--at", at).json["blocks"]]
    checks.that(all(n > 0 for n, _ in counts["2026-03-25"][:1]), "counts stay", counts)
    checks.equal(counts["2026-03-25"], counts["2026-03-22"], "45 days change nothing")
    checks.equal(counts["2029-01-01"], counts["2026-03-22"], "nor do three years")
    with folder() as place:
        for path in glob.glob(FARM + "/*.jsonl"):
            shutil.copy(path, place)
        before = nthtree("replay", place, "--json").json
        wild = dict(next(r for r in RECORDS if r["kind"] == "tag_count"))
        device = "f" * 32
        wild.update(id=device + "-1", at_ms=before["at_ms"] + 45 * 86400000, tick=0)
        del wild["file"]
        with open(os.path.join(place, "wild.jsonl"), "w", encoding="utf-8") as file:
            file.write(json.dumps(wild, separators=(",", ":")) + "\n")
        after = nthtree("replay", place, "--json").json
        checks.equal(after["blocks"], before["blocks"], "one wild stamp moves nobody's numbers")
        checks.equal([p["device"] for p in after["written_ahead"]], [device], "its phone is named")
        for command in (("replay", place), ("verify", place), ("explain", "b1", "--ledger", place)):
            answer = nthtree(*command)
            checks.equal(answer.code, 0, f"{command[0]} goes on")
            checks.that(device in answer.out and "45 days ahead" in answer.out,
                        f"{command[0]} names the phone", answer.out[:400])


for part in (made_again, as_the_trade_does, three_seasons, another_season, rich_enough, realistic_spread, verdicts,
             replays, one_word, never_silently_gone):
    part()
checks.close()
