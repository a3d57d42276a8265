#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""`nthtree explain`: every printed formula worked out again, and the target beside `target`'s."""
import json
import math
import re
import shutil
import statistics

from command_line import FARM, ROOT, Checks, folder, nthtree, read, target, write

checks = Checks()
# Two-sided 90 % points of Student's t, from any printed table (recalled: from memory; recomputed
# by the integral below).
T_TABLE = {4: 2.132, 8: 1.860, 13: 1.771}


def t_cumulative(x, df):
    """Student's distribution by Simpson's rule on its density: slow, plain, and not the engine's."""
    constant = math.exp(math.lgamma((df + 1) / 2) - math.lgamma(df / 2)) / math.sqrt(df * math.pi)
    steps, width = 2000, abs(x) / 2000
    def density(u):
        return constant * (1 + u * u / df) ** (-(df + 1) / 2)
    inner = sum((4 if i % 2 else 2) * density(i * width) for i in range(1, steps))
    half = width / 3 * (density(0) + density(abs(x)) + inner)
    return 0.5 + math.copysign(half, x)


def t_quantile(p, df):
    low, high = -100.0, 100.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if t_cumulative(middle, df) < p else (low, middle)
    return (low + high) / 2


def value_of(formula):
    """The number a printed formula comes to."""
    for sign, word in (("×", "*"), ("÷", "/"), ("√(", "sqrt("), ("ln(", "log("), (";", ","),
                       ("−", "-")):
        formula = formula.replace(sign, word)
    if not re.fullmatch(r"[-+*/()., 0-9a-zTN]*", formula):
        raise ValueError(formula)
    return eval(formula, {"__builtins__": {}}, {  # only what the pattern above lets through
        "max": max, "min": min, "sqrt": math.sqrt, "log": math.log, "exp": math.exp,
        "arsinh": math.asinh, "T": t_cumulative, "t": t_quantile,
        "z": statistics.NormalDist().inv_cdf, "N": statistics.NormalDist().cdf,
        "whole": lambda x: math.floor(x + 0.5)})


EQUATION = re.compile(r"^  ([^=]+) = (.+) = (-?[0-9.]+)(?: .*)?$")


def check_page(page, where):
    """Each equation of the page; a whole() may lie on the edge of the printed digits."""
    found = 0
    for line in page.splitlines():
        match = EQUATION.match(line)
        if not match:
            continue
        name, formula, printed = match.group(1), match.group(2), float(match.group(3))
        found += 1
        try:
            worked = value_of(formula)
        except (ValueError, SyntaxError, TypeError, ZeroDivisionError) as error:
            checks.that(False, f"{where}: {name} can be worked out", f"{formula}: {error}")
            continue
        # Six printed digits in, a few lost where nearly equal numbers are subtracted.
        scale = max([abs(float(x)) for x in re.findall(r"[0-9.]+[0-9]|[0-9]", formula)] + [1])
        within = max(abs(printed) * 2e-4, 3e-6 * min(scale, 1000), 1e-7)
        if formula.startswith("ln("):
            within = max(within, 6e-6)  # the sixth digit of a number just above 1
        checks.near(worked, printed, within, f"{where}: {name} = {formula}")
    return found


def every_block():
    steps = ["Trees in an area", "Fruits on a tree", "Flowering spurs on a tree",
             "Share of spurs that flower", "Spurs to leave on a tree", "unpruned tree",
             "When to prune", "Which trees are counted", "What people miss", "How trees differ", "What each pruner leaves",
             "The block as a whole", "Time and money"]
    for block in ("b1", "b2", "b3", "b4", "b5"):
        for at in ("2026-02-01", "2026-02-03T12:30", "2026-02-05", ""):
            answer = nthtree("explain", block, "--ledger", FARM, *(["--at", at] if at else []))
            where = f"{block} {at or 'at the end'}"
            checks.equal((answer.code, answer.err), (0, ""), where)
            for step in steps:
                checks.that(step in answer.out, f"{where}: has the step {step!r}")
            checks.that("nan" not in answer.out and "inf" not in answer.out.replace("info", ""),
                        f"{where}: no number that is none")
            if at == "2026-02-03T12:30" and block in ("b1", "b2"):
                for words in ("hours left, at least", "days of work left", "share of trees over",
                              "chance to be done by then", "each tree still to prune",
                              "90 % interval, low"):
                    checks.that(f"  {words}" in answer.out, f"{where}: tells {words!r}")
            plan = re.findall(r"^ +(20|15|10|7\.5|5) +(\d+) +(\d+) +(\d+) +(\d+) +([\d.]+)$",
                              answer.out, re.M)
            checks.equal(len(plan), 5, f"{where}: what five precisions take")
            took = [int(row[2]) for row in plan]
            checks.that(took == sorted(took) and took[0] < took[-1],
                        f"{where}: a closer mean takes more trees", took)
            for row in plan:
                checks.near(float(row[5]), int(row[2]) * 2 / 60 * 21, 0.01, f"{where}: its cost")
            enough = 25 if block != "b3" and block != "b5" or not at else 15
            checks.that(check_page(answer.out, where) >= enough, f"{where}: has {enough} equations")


def the_same_target():
    """What explain says is what target says of the same settings and buds."""
    lines = [json.loads(line) for name in ("farm", "phone_l1", "phone_l2")
             for line in read(f"{FARM}/{name}.jsonl").splitlines()]
    for block in ("b1", "b2", "b3", "b4", "b5"):
        settings = next(r["body"] for r in lines if r["kind"] == "block" and
                        r["body"]["block"] == block)
        branches = []
        for r in lines:
            body = r["body"]
            if r["kind"] == "bud_sample" and body["block"] == block:
                branches.append({
                    "row": body["row"], "tree": body["tree"], "position": body["position"],
                    "floral": body["spur_floral"] + body["terminal_floral"],
                    "vegetative": body["spur_vegetative"] + body["terminal_vegetative"]})
        answer = target({**settings, "branches": branches})
        checks.equal((answer.code, answer.err), (0, ""), f"target of {block}")
        worked, page = answer.json, nthtree("explain", block, "--ledger", FARM).out
        for name, key in (("spurs to leave", "spurs_to_leave_per_tree"),
                          ("at least", "spurs_to_leave_per_tree_low"),
                          ("at most", "spurs_to_leave_per_tree_high"),
                          ("flowering spurs", "flowering_spurs_per_tree"),
                          ("seeds at bloom", "seeds_per_tree_at_bloom"),
                          ("floral fraction", "floral_fraction"),
                          ("trees an acre", "trees_per_acre"),
                          ("in an off-year", None)):
            match = re.search(rf"^  {name} = .* = (-?[0-9.]+)", page, re.M)
            checks.that(match is not None, f"{block}: explain has {name!r}")
            expected = worked["off_year"]["spurs_to_leave_per_tree"] if key is None else worked[key]
            if match:
                checks.near(float(match.group(1)), expected, abs(expected) * 1e-5,
                            f"{block}: {name} in explain and in target")
        replayed = nthtree("replay", FARM, "--json").json["blocks"]
        there = next(b for b in replayed if b["block"] == block)
        checks.equal(there["target_spurs_per_tree"], worked["spurs_to_leave_per_tree"],
                     f"{block}: replay and target agree")


def own_factor_variance(flowering, fruits):
    """Linearised ratio of sums, with four trees' worth of a scatter of 35 % known before."""
    n, ratio = len(fruits), sum(flowering) / sum(fruits)
    gaps = [(a - ratio * b) / (sum(flowering) / n) for a, b in zip(flowering, fruits)]
    return (4 * 0.35 ** 2 + sum(g * g for g in gaps)) / (4 + n - 1) / n


def later_in_the_year():
    """An exercise, the second pass, harvest and return bloom, written on paper and read in."""
    rows = ["kind,at,author,exercise,block,row,tree,round,spurs,floral_clusters,vegetative_spurs,"
            "fruits,floral_spurs,limbs_in_tree,start,step,limbs"]
    for person, misses in (("p1", 6), ("p2", 14), ("p5", 20)):
        for tree, spurs in ((3, 210), (10, 260), (17, 310), (24, 240)):
            for turn in (1, 2):
                rows.append(f"exercise_count,2026-02-09 09:0{turn},{person},e1,b1,1,{tree},{turn},"
                            f"{spurs - misses + 3 * turn},,,,")
    for tree in (3, 10, 17, 24, 31, 38, 45):
        rows.append(f"cluster_count,2026-04-20 10:00,l1,,b1,1,{tree},,,{150 + tree},{60 + tree},,")
        rows.append(f"harvest_count,2026-09-10 10:00,l1,,b1,1,{tree},,,,,{88 + tree // 3},")
        rows.append(f"return_bloom,2027-04-20 10:00,l1,,b1,1,{tree},,240,,,,{120 + tree}")
    rows[1:] = [row + ",,,," for row in rows[1:]]
    rows.append("part_clusters,2026-04-20 11:00,l1,,b1,2,9,,,,14,,,20,2,4,8 9 10 7 10")
    with folder() as place:
        farm = place + "/farm"
        shutil.copytree(FARM, farm)
        paper = write(place + "/later.csv", "\n".join(rows) + "\n")
        added = nthtree("import", paper, "--ledger", farm)
        checks.equal((added.code, added.err), (0, ""), "read in")
        page = nthtree("explain", "b1", "--ledger", farm)
        checks.equal((page.code, page.err), (0, ""), "explained")
        for step in ("Counting exercise e1", "Second pass", "What the season taught"):
            checks.that(step in page.out, f"has the step {step!r}")
        check_page(page.out, "b1, the year after")
        def printed(name):
            match = re.search(rf"^  {re.escape(name)} = .* = (-?[0-9.]+)", page.out, re.M)
            return float(match.group(1)) if match else None
        checks.near(printed("clusters of row 2 tree 9, from 5 of its 20 limbs"), 4 * 44, 1e-9,
                    "a tree of its limbs")
        checks.near(printed("floral clusters on a tree"), (7 * 174 + 176) / 8, 1e-9,
                    "mean of eight trees")
        fruits = [88 + tree // 3 for tree in (3, 10, 17, 24, 31, 38, 45)]
        own = 7 * 174 / sum(fruits)
        factor = printed("next year's insurance factor")
        checks.that(factor is not None and min(own, 1.8) <= factor <= max(own, 1.8),
                    "next year's factor lies between this block's own and the one in use", factor)
        checks.near(printed("return bloom"), sum(120 + tree for tree in (3, 10, 17, 24, 31, 38, 45))
                    / (7 * 240), 1e-6, "return bloom: the ratio of sums")
        checks.near(printed("variance of ln(own factor)"), own_factor_variance(
            [150 + tree for tree in (3, 10, 17, 24, 31, 38, 45)], fruits), 1e-7,
            "how sure the block's own factor is")
        checks.near(printed("floral fraction"), (7 * 174 + 44) / (7 * 174 + 7 * 84 + 58), 1e-6,
                    "clusters seen take the place of buds cut open")
        early = nthtree("explain", "b1", "--ledger", farm, "--at", "2026-02-08")
        checks.that("Second pass" not in early.out and "Counting exercise" not in early.out,
                    "nothing of it is known before")


def stride_warned_of():
    """A stride that meets few places of a row, in words with the arithmetic and a better one."""
    block = next(json.loads(line) for line in read(f"{FARM}/farm.jsonl").splitlines()
                 if '"block":"b1"' in line)
    checks.equal((block["body"]["rows"], block["body"]["trees_per_row"]), (43, 94), "rows of b1")
    block["body"]["target"]["floral_fraction"] = 0.7
    for stride, words in ((24, "shares a factor with rows of 94: places of a row ever looked at 94 ÷ 2, that is 47"),
                          (47, "divides rows of 94: places of a row ever looked at 94 ÷ 47, that is 2"),
                          (188, "is a multiple of rows of 94: places of a row ever looked at 94 ÷ 94, that is 1"),
                          (93, "creeps along rows of 94"), (283, "creeps along rows of 94"),
                          (1000, "fewer than 6 trees")):
        with folder() as place:
            block["body"]["stride"], block["body"]["stride_start"] = stride, 1
            farm = write(place + "/farm.jsonl", json.dumps(block) + "\n")
            page = nthtree("explain", "b1", "--ledger", farm)
            checks.equal((page.code, page.err), (0, ""), f"stride {stride}")
            warned = [x for x in page.out.splitlines() if "warning:" in x]
            checks.that(len(warned) >= 1 and any(words in x for x in warned),
                        f"stride {stride}: says {words!r}", page.out[:900])
            better = re.search(r"every (\d+)(?:st|nd|rd|th) is better", " ".join(warned))
            checks.that(better is not None, f"stride {stride}: tells a better one")
            block["body"]["stride"] = int(better.group(1))
            again = nthtree("explain", "b1", "--ledger",
                            write(place + "/farm.jsonl", json.dumps(block) + "\n"))
            checks.that("warning:" not in again.out, f"{stride}: nothing is said against the better")


def in_feet_and_acres():
    """12 × 3 ft is 1,210 trees an acre: 43,560 ÷ 36. A US farm's page has no metre in it."""
    lines = [json.loads(line) for line in read(f"{FARM}/farm.jsonl").splitlines()]
    farm = next(r for r in lines if r["kind"] == "farm")
    block = next(r for r in lines if r["kind"] == "block" and r["body"]["block"] == "b1")
    block["body"]["target"]["floral_fraction"] = 0.7
    block["body"]["row_spacing_m"], block["body"]["tree_spacing_m"] = 3.6576, 0.9144
    for us, wanted, strange in (
            (True, ["trees an acre = 43560 ÷ (12 × 3) = 1210 ", "fruits an acre", "lb a fruit",
                    "in bushels an acre"], ["in metres", "kg a", "grams a fruit"]),
            (False, ["trees a hectare = 10000 ÷ (3.6576 × 0.9144) = ", "fruits a hectare",
                     "grams a fruit", "in bushels a hectare"], ["in feet", "lb a fruit"])):
        farm["body"]["us_units"] = us
        with folder() as place:
            path = write(place + "/farm.jsonl", json.dumps(farm) + "\n" + json.dumps(block) + "\n")
            page = nthtree("explain", "b1", "--ledger", path)
            checks.equal((page.code, page.err), (0, ""), f"US units: {us}")
            check_page(page.out, f"US units: {us}")
            for words in wanted:
                checks.that(words in page.out, f"US units {us}: has {words!r}", page.out[:700])
            for words in strange:
                checks.that(words not in page.out, f"US units {us}: has no {words!r}")


def to_the_end():
    """Nothing that a verdict is made of is only printed: each comes from the line above it."""
    page = nthtree("explain", "b1", "--ledger", FARM, "--at", "2026-02-04").out
    for words in ("harder: a", "harder: b", "lighter: a", "lighter: b", "harder: z of a first count",
                  "harder: counts' worth known", "what the counts are worth",
                  "spread of the block's trees, squared", "degrees of freedom",
                  "the target's standard deviation, of its ln", "their mean", "variance of one pair",
                  "crew's mean of ln(ratio)", "standard deviation, target included"):
        checks.that(re.search(rf"^  {re.escape(words)} = ", page, re.M) is not None,
                    f"{words!r} is derived")
    checks.that("ln((re-count + 0.5) ÷ (tag + 0.5))" in page, "the half that is added is said")
    total = int(re.search(r"(\d+) tag counts, (\d+) re-counts", nthtree(
        "replay", FARM, "--at", "2026-02-04").out).group(2))
    per_person = [(int(a), int(b or 0)) for a, b in re.findall(
        r"counts?, (\d+) of them re-counted(?:, since the last advice; before it \d+ counts?, "
        r"(\d+) re-counted)?$", page, re.M)]
    checks.equal(sum(a + b for a, b in per_person), total,
                 "re-counts from before the advice are counted alike on both pages")


def every_reason():
    """Each id of advice/README.md has its sentence; and one is one, two are two."""
    listed = read(f"{ROOT}/src/advice/README.md")
    rows = [line.split("|")[1] for line in listed[listed.find("| id"):].splitlines()
            if line.startswith("| `")]
    ids = {name for row in rows for name in re.findall(r"`([a-z_]+_[a-z_]+)`", row)}
    checks.that(len(ids) > 50, "the ids of the page", len(ids))
    told = set(re.findall(r'^    \{"([a-z_]+)",', read(f"{ROOT}/src/cli/reason_text.cpp"), re.M))
    checks.equal(sorted(ids - told), [], "reasons without words on the command line")
    for at in ("2026-02-02T09:00", "2026-02-02T10:00", "2026-02-04", ""):
        for block in ("b1", "b2", "b3"):
            when = ["--at", at] if at else []
            for page in (nthtree("explain", block, "--ledger", FARM, *when).out,
                         nthtree("replay", FARM, *when).out):
                wrong = re.findall(r"(?<![\d./])1 (?:counts|trees|re-counts|pairs|branches|spurs|rows|"
                                   r"tag counts|days|buds)\b", page)
                checks.equal(wrong, [], f"{block} {at}: one is one")


def tables():
    for df, printed in T_TABLE.items():
        checks.near(t_quantile(0.95, df), printed, 0.0006, f"t(0.95; {df}) as tables print it")


for part in (tables, in_feet_and_acres, to_the_end, every_reason, every_block, the_same_target, stride_warned_of, later_in_the_year):
    part()
checks.close()
