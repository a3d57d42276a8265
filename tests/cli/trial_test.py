#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""`nthtree trial` on the apple uniformity trial of 1918, and `nthtree varieties`.

Batchelor and Reed (1918), J. Agric. Research 12:245-283: data by way of the R package agridat,
statistics of strides recomputed with R 4.2.2. The same numbers are worked out here again, plainly.
"""
import csv
import json
import math
import os
import statistics

from command_line import FARM, ROOT, Checks, folder, nthtree, write

checks = Checks()
TRIAL = os.path.join(ROOT, "scenarios", "apple_trial_1918", "trees.csv")
VARIETIES = os.path.join(ROOT, "assets", "varieties.json")
# stride: variance of the systematic mean over all starts, of a random sample as large.
RECOMPUTED = {4: (578.9714605, 212.2543199), 7: (709.0370695, 424.5086397),
              8: (745.8807398, 495.2600797), 14: (1757.139748, 919.7687194),
              16: (1261.999681, 1061.271599), 28: (5243.500797, 1910.288879)}


def trees():
    with open(TRIAL, encoding="utf-8") as file:
        return [float(row["value"]) for row in csv.DictReader(file)]


def strides():
    answer = nthtree("trial", TRIAL, "--json")
    checks.equal((answer.code, answer.err), (0, ""), "the trial")
    out, values = answer.json, trees()
    checks.equal((out["trees"]["rows"], out["trees"]["trees"]), (8, 224), "8 rows, 224 trees")
    checks.near(out["trees"]["mean"], 303.7678571, 5.1e-8, "mean")
    checks.near(out["trees"]["sd"], 125.8901209, 5.1e-8, "standard deviation")
    by_stride = {one["stride"]: one for one in out["strides"]}
    checks.that(set(range(2, 30)) <= set(by_stride), "every stride up to the row and one more")
    for stride, (systematic, drawn) in RECOMPUTED.items():
        one = by_stride[stride]
        checks.near(one["variance"], systematic, systematic * 1e-8, f"every {stride}th: variance")
        checks.near(one["variance_random"], drawn, drawn * 1e-8, f"every {stride}th: at random")
    for stride, one in by_stride.items():
        means = [statistics.fmean(values[start::stride]) for start in range(stride)]
        checks.near(one["lowest_mean"], min(means), 1e-8, f"every {stride}th: lowest mean")
        checks.near(one["highest_mean"], max(means), 1e-8, f"every {stride}th: highest mean")
    checks.that(by_stride[28]["ratio"] > 2.7 and by_stride[28]["warned"],
                "a stride as long as the row is 2.7 times worse than random, and warned of")
    checks.that(by_stride[9]["ratio"] < 1.5 and not by_stride[9]["warned"],
                "every 9th is not, and is not")
    for stride, one in by_stride.items():
        checks.equal(one["places"], len({i % 28 for i in range(0, 28 * stride, stride)}),
                     f"every {stride}th: places of a row ever met")
    for stride in (6, 10, 16, 21):
        checks.that(by_stride[stride]["ratio"] > 1.1 and by_stride[stride]["warned"],
                    f"every {stride}th shares a factor with the row: worse than random, warned of")
    checks.that(not any(out["plan"]["stride"] == stride and one["warned"]
                        for stride, one in by_stride.items()), "no plan is one that is warned of")


def one_sample():
    out = nthtree("trial", TRIAL, "--stride", "8", "--start", "1", "--json").json["sample"]
    checks.equal(out["trees"], 28, "every 8th: 28 trees")
    checks.near(out["mean"], 280.2142857, 5.1e-8, "every 8th from 1: mean")
    checks.near(out["variance_random"], 461.9684193, 5.1e-8, "variance, as if drawn at random")
    checks.near(out["variance_successive"], 510.0746528, 5.1e-8, "by successive differences")


def line(total_of, values, stride, start):
    """After how many trees a running total first reaches a line."""
    total = 0
    for n, value in enumerate(values[start - 1::stride], 1):
        total += value
        wanted = total_of(n)
        if n >= 2 and wanted is not None and total >= wanted:
            return n
    return None


def stopping():
    values, precision = trees(), 0.10 / 1.6448536269514722
    rows = [values[i:i + 28] for i in range(0, 224, 28)]
    means, variances = [statistics.fmean(r) for r in rows], [statistics.variance(r) for r in rows]
    def slope(x, y):
        mx, my = statistics.fmean(x), statistics.fmean(y)
        b = sum((u - mx) * (v - my) for u, v in zip(x, y)) / sum((u - mx) ** 2 for u in x)
        return my - b * mx, b
    intercept, b = slope([math.log(m) for m in means], [math.log(v) for v in variances])
    alpha, beta = slope(means, [m + v / m - 1 for m, v in zip(means, variances)])
    def green(n):
        return math.exp(math.log(precision ** 2 / math.exp(intercept)) / (b - 2)
                        + (b - 1) / (b - 2) * math.log(n))
    def kuno(n):
        left = precision ** 2 - (beta - 1) / n
        return (alpha + 1) / left if left > 0 else None
    for stride, start in ((1, 1), (3, 2), (5, 4)):
        out = nthtree("trial", TRIAL, "--stride", str(stride), "--start", str(start),
                      "--json").json["stop_lines"]
        checks.near(out["taylor_a"], math.exp(intercept), 1e-8 * math.exp(intercept), "Taylor's a")
        checks.near(out["taylor_b"], b, 1e-10, "Taylor's b")
        checks.near(out["iwao_alpha"], alpha, 1e-9 * abs(alpha), "Iwao's alpha")
        checks.near(out["iwao_beta"], beta, 1e-9, "Iwao's beta")
        checks.equal(out["green_after"], line(green, values, stride, start) if b < 2 else None,
                     f"every {stride}th: Green stops there")
        checks.equal(out["kuno_after"], line(kuno, values, stride, start),
                     f"every {stride}th: Kuno stops there")


def verdicts():
    def verdict(wanted, stride=9, start=3):
        return nthtree("trial", TRIAL, "--stride", str(stride), "--start", str(start),
                       "--target", str(wanted), "--json").json["verdict"]
    checks.equal(verdict(150)["first"], "harder", "trees of 304 against 150: harder")
    checks.equal(verdict(700)["first"], "lighter", "trees of 304 against 700: lighter")
    checks.that(verdict(150)["first_after"] <= 12, "and within a dozen trees", verdict(150))
    # Trees that differ by 41 %, nothing known of that before, and some that bear a sixth of the
    # mean: METHODS.md has 10 days of 100 told wrongly there. The 33 starts share their first trees.
    wrong = right = twice = 0
    for stride in (9, 11, 13):
        starts = verdict(304, stride)["starts"]
        checks.equal(sum(starts.values()), stride, "every start has its say")
        wrong += starts["harder"] + starts["lighter"]
        right += verdict(203, stride)["starts"]["harder"]
        twice += verdict(152, stride)["starts"]["harder"]
    checks.equal(twice, 33, "twice as heavy as wanted: harder from every start")
    checks.that(wrong <= 5, "on target, few of 33 starts are told to change", wrong)
    checks.that(right >= 22, "half as heavy again as wanted: harder from most starts", right)
    checks.that(verdict(304)["acceptance"] != "accepted" or verdict(304)["tost_p"] <= 0.05,
                "accepted only by two one-sided tests")
    page = nthtree("trial", TRIAL, "--stride", "9", "--start", "3", "--target", "240")
    for words in ("2.74", "warns", "Green 1970", "Kuno 1969", "our own rule", "two one-sided"):
        checks.that(words in page.out, f"the page says {words!r}", page.out[-600:])


def refusals():
    with folder() as place:
        for text, words in (("", ["no row"]), ("row,tree\n1,1\n", ["value", "missing"]),
                            ("row,tree,value\n1,1,x\n", ["line 2", "not a number"]),
                            ("row,tree,value\n1,1,5\n1,1,6\n", ["line 3", "twice"]),
                            ("row,tree,value\n1,1,5\n1,3,6\n", ["row 1 tree 3", "follow"]),
                            ("row,tree,value\n1,1,5\n", ["12 to"]),
                            ("row,tree,value\n1.5,1,5\n", ["whole"]),
                            ("row,tree,value\n1,1,9000\n", ["9000", "0 to 5000"])):
            checks.refused(nthtree("trial", write(place + "/t.csv", text)), words, repr(text))
    checks.refused(nthtree("trial", TRIAL, "--stride", "0"), ["--stride", "1 to 224"], "stride 0")
    checks.refused(nthtree("trial", TRIAL, "--stride", "2.5"), ["--stride", "whole"], "stride 2.5")
    checks.refused(nthtree("trial", TRIAL, "--stride", "5", "--start", "6"), ["--start", "1 to 5"],
                   "a start past the stride")
    checks.refused(nthtree("trial", TRIAL, "--target", "many"), ["--target", "not a number"], "many")


def varieties():
    shipped = nthtree("varieties", VARIETIES, "--json").json["varieties"]
    checks.that(len(shipped) >= 12, "12 varieties and more", len(shipped))
    for one in shipped:
        for key, value in one.items():
            checks.that(key == "name" or len(value["source"]) >= 10,
                        f"{one['name']}: {key} has a source or says that it has none")
    honeycrisp = {"variety": "Honeycrisp", "fruits_per_tree": 100, "floral_fraction": 1}
    with folder() as place:
        farm = place + "/farm"
        os.mkdir(farm)
        checks.equal(nthtree("import", FARM + "/farm.jsonl", "--ledger", farm).code, 0, "a farm")
        paper = write(place + "/own.csv", "kind,at,author,variety,insurance_factor,source\n"
                      "variety,2026-01-20 09:00,m1,honeycrisp,2.2,own trial\n")
        checks.equal(nthtree("import", paper, "--ledger", farm).code, 0, "the farm's own value")
        one = nthtree("varieties", VARIETIES, "Honeycrisp", "--ledger", farm, "--json").json
        checks.equal(one["insurance_factor"], {"value": 2.2, "source": "set by this farm: own trial"},
                     "stands in the preset's place")
        before = next(v for v in shipped if v["name"] == "Honeycrisp")
        checks.equal(one["seeds_per_fruit"], before["seeds_per_fruit"], "the rest as it came")
        def spurs(*more):
            return nthtree("target", "--varieties", VARIETIES, *more,
                           given=json.dumps(honeycrisp)).json
        checks.equal(spurs()["flowering_spurs_per_tree"], 180, "as shipped: 1.8 × 100")
        checks.equal(spurs("--ledger", farm)["flowering_spurs_per_tree"], 220, "own: 2.2 × 100")
        checks.that("2.2*" in nthtree("varieties", VARIETIES, "--ledger", farm).out, "marked")
        bad = write(place + "/bad.csv", "kind,at,author,variety,insurance_factor\n"
                    "variety,2026-01-21 09:00,m1,honeycrisp,9\n")
        checks.refused(nthtree("import", bad, "--ledger", farm), ["insurance_factor", "0.5 to 5"],
                       "a factor of 9")
        back = write(place + "/back.csv", "kind,at,author,variety\n"
                     "variety,2026-01-22 09:00,m1,Honeycrisp\n")
        checks.equal(nthtree("import", back, "--ledger", farm).code, 0, "given back")
        checks.equal(spurs("--ledger", farm)["flowering_spurs_per_tree"], 180, "as it came again")
        checks.equal(nthtree("verify", farm).code, 0, "the ledger is in order")
    checks.refused(nthtree("varieties", VARIETIES, "Nonesuch"), ["Nonesuch", "Gala"], "unknown name")
    checks.refused(nthtree("target", "--ledger", FARM, given="{}"), ["--varieties"],
                   "a ledger without varieties")


for part in (strides, one_sample, stopping, verdicts, refusals, varieties):
    part()
checks.close()
