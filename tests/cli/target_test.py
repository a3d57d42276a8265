#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""`nthtree target`: paper arithmetic, published worked examples, every way in."""
import json
import math
import os
import random

from command_line import ROOT, Checks, folder, nthtree, target, write

checks = Checks()


def worked(request, what):
    answer = target(request)
    checks.equal((answer.code, answer.err), (0, ""), what)
    return answer.json if answer.code == 0 else {}


def on_paper():
    """Common practice, no source."""
    def spurs(fruits, insurance, floral):
        return worked({"fruits_per_tree": fruits, "insurance_factor": insurance,
                       "floral_fraction": floral}, f"{fruits} × {insurance} ÷ {floral}")
    checks.equal(spurs(113, 1.5, 1).get("flowering_spurs_per_tree"), 170, "113 × 1.5 = 170")
    checks.equal(spurs(73, 1.8, 1).get("flowering_spurs_per_tree"), 131, "73 × 1.8 = 131")
    on_year = spurs(73, 1.8, 0.9)
    checks.equal(on_year.get("spurs_to_leave_per_tree"), 146, "131 ÷ 0.9 = 146")
    checks.equal(spurs(73, 1.8, 0.3).get("spurs_to_leave_per_tree"), 437, "131 ÷ 0.3 = 437")
    checks.equal(on_year.get("seeds_per_tree_at_bloom"), 6550, "131 × 5 × 10 = 6,550")
    checks.equal(spurs(219, 1, 1).get("seeds_per_tree_at_bloom"), 10950, "219 spurs: 10,950")
    checks.equal(on_year.get("on_year"), {"floral_fraction": 0.9, "spurs_to_leave_per_tree": 146},
                 "on-year beside the target")
    checks.equal(on_year.get("off_year"), {"floral_fraction": 0.3, "spurs_to_leave_per_tree": 437},
                 "off-year beside the target")
    checks.that("spurs_to_leave_per_tree_low" not in on_year, "no interval where none is known")
    checks.equal((on_year.get("trees_per_acre"), on_year.get("trees_per_ha")), (None, None),
                 "no spacing, no trees in an area")
    three_by_eleven = worked({"fruits_per_tree": 100, "floral_fraction": 0.5,
                              "row_spacing_ft": 11, "tree_spacing_ft": 3}, "3 ft × 11 ft")
    checks.equal(three_by_eleven.get("trees_per_acre"), 1320, "3 ft × 11 ft = 1,320 an acre")
    # An acre is 43,560 sq ft, a hectare 10,000 m².
    one_acre = worked({"fruits_per_tree": 100, "floral_fraction": 0.5, "row_spacing_ft": 43.56,
                       "tree_spacing_ft": 1}, "43.56 ft × 1 ft")
    checks.near(one_acre.get("trees_per_acre"), 1000, 1e-8, "43,560 sq ft an acre")
    checks.near(worked({"fruits_per_tree": 100, "floral_fraction": 0.5, "row_spacing_m": 4,
                        "tree_spacing_m": 1}, "4 m × 1 m").get("trees_per_ha"), 2500, 1e-8,
                "10,000 m² a hectare")


def published():
    # Cornell Cooperative Extension ENYCHP, "Performing Floral Bud Evaluations on Honeycrisp Ahead
    # of Precision Pruning" (2025), block 3: 68 floral of 100 buds, 1.8 × 100 ÷ 0.68 = 265.
    cornell = worked({"fruits_per_tree": 100, "insurance_factor": 1.8, "floral_buds": 68,
                      "vegetative_buds": 32}, "Cornell, block 3")
    checks.equal(cornell.get("flowering_spurs_per_tree"), 180, "Cornell: 180 flower buds")
    checks.equal(cornell.get("spurs_to_leave_per_tree"), 265, "Cornell: 265 buds in all")
    checks.that(cornell.get("spurs_to_leave_per_tree_low", 999) < 265 <
                cornell.get("spurs_to_leave_per_tree_high", 0), "Cornell: an interval around 265")
    # The other three blocks of the same table: 40, 85 and 53 floral of 100.
    for floral, expected in ((40, 450), (85, 212), (53, 340)):
        other = worked({"fruits_per_tree": 100, "insurance_factor": 1.8, "floral_buds": floral,
                        "vegetative_buds": 100 - floral}, f"Cornell, {floral} % floral")
        checks.equal(other.get("spurs_to_leave_per_tree"), expected, f"180 ÷ 0.{floral}, recomputed")
    # Ontario Ministry of Agriculture, Orchard Network (2014): 1,500 boxes of 100 count an acre at
    # 11 × 4 ft, factor 2; printed for "1000" trees, which are 990 (so 151.5 fruits, not 150).
    ontario = worked({"yield": 1500, "unit": "boxes_per_acre", "count_per_box": 100,
                      "row_spacing_ft": 11, "tree_spacing_ft": 4, "insurance_factor": 2,
                      "floral_fraction": 1}, "Ontario")
    checks.equal(ontario.get("trees_per_acre"), 990, "Ontario: 990 trees an acre")
    checks.near(ontario.get("fruits_per_tree"), 150, 1.6, "Ontario: about 150 fruits a tree")
    checks.that(12 <= ontario.get("flowering_spurs_per_tree", 0) / 24 <= 14,
                "Ontario: 12-14 buds on each of 24 branches")
    by_branch = worked({"yield": 1500, "unit": "boxes_per_acre", "count_per_box": 100,
                        "row_spacing_ft": 11, "tree_spacing_ft": 4, "insurance_factor": 2,
                        "floral_fraction": 1, "bearing_branches_per_tree": 24,
                        "limbs_per_tree": 12}, "Ontario, by branch")
    checks.that(12 <= by_branch.get("flowering_spurs_per_branch", 0) <= 14,
                "Ontario: 12-14 buds on a branch, told by the program")
    checks.near(by_branch.get("spurs_to_leave_per_limb"),
                by_branch.get("spurs_to_leave_per_tree", 0) / 12, 1e-9, "spurs on a limb")
    checks.equal(ontario.get("flowering_spurs_per_branch"), None, "no branches, no spurs a branch")
    # A bushel of apples is 42 lb: 1,500 boxes of 40 lb are 60,000 lb, that is 1,428.6 bushels.
    packed = worked({"yield": 1500, "unit": "boxes_per_acre", "count_per_box": 88, "box_lb": 40,
                     "row_spacing_ft": 12, "tree_spacing_ft": 3, "floral_fraction": 1}, "boxes")
    checks.near(packed.get("packed_bushels_per_acre"), 60000 / 42, 1e-6, "bushels beside boxes")
    checks.near(packed.get("packed_boxes_per_acre"), 1500, 1e-6, "and the boxes themselves")
    bushels = worked({"yield": 60000 / 42, "unit": "bushels_per_acre", "count_per_box": 88,
                      "box_lb": 40, "row_spacing_ft": 12, "tree_spacing_ft": 3,
                      "floral_fraction": 1}, "the same in bushels")
    checks.near(bushels.get("fruits_per_tree"), packed.get("fruits_per_tree", 0), 1e-9,
                "a goal in bushels is the same goal")
    # Good Fruit Grower, June 2015, p. 34: 1,500 boxes an acre, 3 × 12 ft, about 180 flower buds.
    grower = worked({"yield": {"amount": 1500, "unit": "boxes_per_acre",
                               "fruit_size": {"count_per_box": 80}}, "row_spacing_ft": 12,
                     "tree_spacing_ft": 3, "insurance_factor": 1.8, "floral_fraction": 1},
                    "Good Fruit Grower")
    checks.equal(grower.get("trees_per_acre"), 1210, "3 × 12 ft: 1,210 trees an acre")
    checks.near(grower.get("flowering_spurs_per_tree"), 180, 2, "about 180 flower buds")
    # UMass Extension, "Crop load guide for young apple trees" (2017): 2 in trunk, 81 and 122.
    for load, fruits in ((4, 81), (6, 122)):
        umass = worked({"trunk": {"diameter_mm": 50.8, "fruits_per_cm2": load},
                        "floral_fraction": 0.6}, f"UMass, {load} a cm²")
        checks.equal(round(umass.get("fruits_per_tree", 0)), fruits, f"UMass: {fruits} fruits")


def ways_in():
    base = {"row_spacing_m": 3.5, "tree_spacing_m": 1, "floral_fraction": 0.6}
    wanted = None
    acres = 2.4710538146717
    box = 19.05087954
    for unit, amount in (("kg_per_ha", 50000), ("t_per_ha", 50), ("kg_per_acre", 50000 / acres),
                         ("t_per_acre", 50 / acres), ("lb_per_acre", 50000 / acres / 0.45359237),
                         ("boxes_per_ha", 50000 / box), ("boxes_per_acre", 50000 / acres / box),
                         ("bins_per_ha", 50000 / 400), ("bins_per_acre", 50000 / acres / 400)):
        for request in ({"yield": amount, "unit": unit, "fruit_grams": 200, "bin_kg": 400},
                        {"yield": {"amount": amount, "unit": unit, "bin_kg": 400,
                                   "fruit_size": {"grams": 200}}}):
            fruits = worked({**base, **request}, unit).get("fruits_per_tree")
            wanted = wanted or fruits
            checks.near(fruits, wanted, 1e-6, f"the same goal in {unit}")
    checks.near(wanted, 50000 / 0.2 / (10000 / 3.5), 1e-6, "50 t/ha of 200 g on 2,857 trees")
    packed = worked({**base, "yield": 50, "unit": "t_per_ha", "fruit_grams": 200,
                     "pack_out_fraction": 0.8}, "pack-out").get("fruits_per_tree")
    checks.near(packed, wanted / 0.8, 1e-6, "a pack-out of 80 % needs a quarter more")
    # "100 count" is 190.5 g in a 42 lb and 181.4 g in a 40 lb box: ask for the box.
    def by_box(field):
        return worked({**base, "yield": 50, "unit": "t_per_ha", "count_per_box": 100, **field},
                      "100 count").get("fruits_per_tree", 0)
    checks.near(by_box({"box_lb": 40}) / by_box({"box_lb": 42}), 42 / 40, 1e-9, "40 and 42 lb boxes")
    checks.near(by_box({}), by_box({"box_lb": 42}), 1e-9, "42 lb where nothing is said")
    feet = worked({**base, "row_spacing_m": 3.3528, "tree_spacing_m": 0.9144, "yield": 50,
                   "unit": "t_per_ha", "fruit_grams": 200}, "metres")
    metres = worked({"floral_fraction": 0.6, "row_spacing_ft": 11, "tree_spacing_ft": 3, "yield": 50,
                     "unit": "t_per_ha", "fruit_grams": 200}, "feet")
    checks.equal(feet, metres, "11 × 3 ft are 3.3528 × 0.9144 m")


def floral_samples():
    buds = {"fruits_per_tree": 73, "insurance_factor": 1.8}
    arrays = worked({**buds, "floral_buds": [9, 7, 8, 10, 6, 9, 8, 7, 9, 8],
                     "vegetative_buds": [3, 4, 2, 4, 5, 2, 3, 6, 2, 4], "branches_per_tree": 2},
                    "ten branches of five trees")
    rows = [{"tree": i // 2 + 1, "position": "lower" if i % 2 else "upper", "floral": f,
             "vegetative": v} for i, (f, v) in enumerate(zip(
                 [9, 7, 8, 10, 6, 9, 8, 7, 9, 8], [3, 4, 2, 4, 5, 2, 3, 6, 2, 4]))]
    checks.equal(worked({**buds, "branches": rows}, "the same as a list"), arrays,
                 "branches as a list and as two lists")
    checks.near(arrays.get("floral_fraction"), 81 / 116, 1e-11, "81 floral of 116 buds")
    # Ratio estimator over trees (Cochran 1977, 3.12), worked out here again.
    trees = [(16, 7), (18, 6), (15, 7), (15, 9), (17, 6)]
    squares = sum((f - 81 / 116 * (f + v)) ** 2 for f, v in trees)
    checks.near(arrays.get("floral_sample", {}).get("standard_error"),
                math.sqrt(5 / 4 * squares) / 116, 1e-9, "the fraction's standard error over trees")
    checks.equal(arrays.get("floral_sample", {}).get("trees"), 5, "five trees")
    checks.equal(arrays.get("spurs_to_leave_per_tree"), 188, "131 ÷ 0.698 = 188")
    for end, other in (("low", "high"), ("high", "low")):
        checks.equal(arrays.get("spurs_to_leave_per_tree_" + end),
                     math.floor(131 / arrays.get("floral_fraction_" + other, 1) + 0.5),
                     f"the target's {end} end from the fraction's {other} end")
    # references: trees, not branches, are the clusters; where trees differ, branches taken as
    # independent understate the variance.
    apart = {**buds, "floral_buds": [11, 11, 3, 3, 10, 10, 4, 4, 9, 9],
             "vegetative_buds": [1, 1, 9, 9, 2, 2, 8, 8, 3, 3]}
    by_tree = worked({**apart, "branches_per_tree": 2}, "trees apart, two branches each")
    answer = target(apart)
    checks.equal(answer.code, 0, "the same, every branch on its own")
    checks.that("branches_per_tree is not given: each of the 10 branches is taken for a tree of its "
                "own" in answer.err, "branches without their trees fell into the clustering trap "
                "without a warning", answer.err)
    by_branch = answer.json
    def width(answer):
        return answer.get("floral_fraction_high", 0) - answer.get("floral_fraction_low", 0)
    checks.that(width(by_tree) > 1.2 * width(by_branch) > 0,
                "branches of one tree resemble each other and are not counted twice")
    interval = worked({**buds, "floral_fraction": 0.6, "floral_fraction_low": 0.5,
                       "floral_fraction_high": 0.7}, "an interval typed in")
    checks.equal([interval.get("spurs_to_leave_per_tree" + end) for end in ("_low", "", "_high")],
                 [187, 218, 262], "131 ÷ 0.7, 0.6, 0.5")


def consequences():
    """Arithmetic only: 620 spurs where 146 are wanted, 90 % floral, 20 limbs, 12 × 3 ft."""
    block = {"fruits_per_tree": 73, "insurance_factor": 1.8, "floral_fraction": 0.9,
             "unpruned_spurs_per_tree": 620, "limbs_per_tree": 20, "row_spacing_ft": 12,
             "tree_spacing_ft": 3, "hand_thinning_fruitlets_per_hour": 1000}
    unpruned = worked(block, "an unpruned tree").get("unpruned", {})
    checks.near(unpruned.get("over_target_fraction"), 620 / 146 - 1, 1e-9, "3.2 times too many")
    checks.equal(unpruned.get("spurs_to_take_per_tree"), 474, "620 - 146")
    checks.equal(unpruned.get("limbs_worth_to_take"), 15, "474 ÷ 620 of 20 limbs")
    checks.equal(unpruned.get("seeds_per_tree_at_bloom"), 27900, "620 × 0.9 × 5 × 10")
    checks.equal(unpruned.get("fruitlets_to_thin_per_tree"), 485, "620 × 0.9 × 1 - 73")
    checks.near(unpruned.get("thinning_hours_per_ha"), 485 * 1210 * 2.4710538146717 / 1000, 1e-6,
                "485 on 1,210 trees an acre at 1,000 an hour")
    bare = worked({**block, "unpruned_spurs_per_tree": 60}, "a bare tree").get("unpruned", {})
    checks.equal((bare.get("spurs_to_take_per_tree"), bare.get("fruitlets_to_thin_per_tree")),
                 (0, 0), "nothing is taken where too few are left")
    presets = os.path.join(ROOT, "assets", "varieties.json")
    plain = {"fruits_per_tree": 100, "floral_fraction": 1}
    # Ontario Ministry of Agriculture, Orchard Network (2014), table footnote: factor by variety.
    for variety, spurs in (("Jonagold", 250), ("Empire", 200), ("mcintosh", 200), ("Gala", 180)):
        answer = nthtree("target", "--varieties", presets,
                         given=json.dumps({**plain, "variety": variety}))
        checks.equal(answer.json["flowering_spurs_per_tree"] if answer.code == 0 else answer.err,
                     spurs, f"the preset of {variety}")
    own = nthtree("target", "--varieties", presets,
                  given=json.dumps({**plain, "variety": "Gala", "insurance_factor": 1.2}))
    checks.equal(own.json["flowering_spurs_per_tree"], 120, "what the block says goes first")
    for request, words in (({**plain, "variety": "Plum"}, ["variety", "Plum", "Honeycrisp"]),
                           (plain, ["variety", "missing"])):
        checks.refused(nthtree("target", "--varieties", presets, given=json.dumps(request)), words,
                       "presets for " + str(request.get("variety")))
    checks.refused(nthtree("target", "--varieties", "/no/such/file", given=json.dumps(plain)),
                   ["/no/such/file"], "no presets")


def properties():
    """Drawn requests: order and units change nothing, intervals hold their value, no NaN."""
    chance = random.Random(2026)
    for _ in range(60):
        trees = chance.randint(2, 8)
        branches = [{"tree": 1 + i // 2, "position": "lower" if i % 2 else "upper",
                     "floral": chance.randint(1, 12), "vegetative": chance.randint(1, 12)}
                    for i in range(2 * trees)]
        row, tree = chance.uniform(2.5, 6), chance.uniform(0.7, 3)
        request = {"yield": {"amount": chance.uniform(15, 60), "unit": "t_per_ha",
                             "fruit_size": {"grams": chance.uniform(140, 260)}},
                   "insurance_factor": round(chance.uniform(1, 2.5), 2), "row_spacing_m": row,
                   "tree_spacing_m": tree, "branches": branches}
        answer = worked(request, "a drawn block")
        shuffled = chance.sample(branches, len(branches))
        checks.equal(worked({**request, "branches": shuffled}, "shuffled"), answer,
                     "the order of the branches changes nothing")
        in_feet = {k: v for k, v in request.items() if "spacing" not in k}
        in_feet.update(row_spacing_ft=row / 0.3048, tree_spacing_ft=tree / 0.3048)
        checks.near(worked(in_feet, "in feet").get("fruits_per_tree"),
                    answer.get("fruits_per_tree"), 1e-8 * answer.get("fruits_per_tree", 0),
                    "feet or metres change nothing")
        for name in ("floral_fraction", "spurs_to_leave_per_tree"):
            low, value, high = (answer.get(name + end, -1) for end in ("_low", "", "_high"))
            checks.that(0 < low <= value <= high, f"{name}: low ≤ value ≤ high", (low, value, high))
        more = worked({**request, "insurance_factor": request["insurance_factor"] + 0.1}, "more")
        checks.that(more.get("spurs_to_leave_per_tree", -1) >= answer["spurs_to_leave_per_tree"],
                    "more insurance never leaves fewer spurs")
        flat = json.dumps(answer)
        checks.that("NaN" not in flat and "Infinity" not in flat, "every number is one")


def forms():
    request = {"fruits_per_tree": 73, "insurance_factor": 1.8, "floral_fraction": 0.9}
    with folder() as place:
        path = write(place + "/block.json", json.dumps(request))
        checks.equal(nthtree("target", path).out, target(request).out, "from a file")
    block = {"block": "b1", "name": "Lower Bench", "variety": "Gala", "rows": 40,
             "trees_per_row": 90, "row_spacing_m": 3.5, "tree_spacing_m": 1,
             "target": {"fruits_per_tree": 113, "insurance_factor": 1.5, "floral_fraction": 0.9}}
    settings = worked(block, "a block's settings as a ledger has them")
    checks.equal(settings.get("spurs_to_leave_per_tree"), 189, "170 ÷ 0.9 = 189")
    unknown = target({**request, "insurence_factor": 3})
    checks.equal(unknown.code, 0, "an unknown field is no error")
    checks.that("insurence_factor" in unknown.err, "but it is told", unknown.err)
    checks.equal(unknown.json, target(request).json, "and not used")


for part in (on_paper, published, ways_in, floral_samples, consequences, properties,
             forms):
    part()
checks.close()
