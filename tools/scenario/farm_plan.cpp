// SPDX-License-Identifier: Apache-2.0
#include "farm_plan.h"

#include <algorithm>
#include <cmath>

#include "base/random.h"
#include "base/text.h"
#include "ledger/json_text.h"
#include "orchard/units.h"

namespace nthtree::scenario {
namespace {

using orchard::FruitSize;
using orchard::YieldUnit;

constexpr std::int64_t day_ms = 24 * 3600 * 1000;
constexpr std::size_t chapel_hill = 3;  // old trees, of which some were planted again
constexpr int pruners_on_one_phone_first = 6;  // p7 and p8 share

BlockPlan block(const char* id, const char* name, const char* variety, int rows, int trees,
                orchard::Spacing spacing, int limbs) {
  BlockPlan plan;
  plan.block.id = id;
  plan.block.name = name;
  plan.block.variety = variety;
  plan.block.rows = rows;
  plan.block.trees_per_row = trees;
  plan.block.spacing = spacing;
  plan.block.limbs_per_tree = limbs;
  return plan;
}

orchard::Spacing feet(double row, double tree) {
  // Rounded to the centimetre, as a tape gives it.
  const auto cm = [](double ft) { return std::round(orchard::metres_from_feet(ft) * 100) / 100; };
  return {cm(row), cm(tree)};
}

orchard::YieldGoal yield(double amount, YieldUnit unit, FruitSize size, double pack_out) {
  orchard::YieldGoal goal;
  goal.amount = amount;
  goal.unit = unit;
  goal.fruit_size = size;
  goal.pack_out_fraction = pack_out;
  return goal;
}

std::vector<BlockPlan> plan_blocks() {
  BlockPlan bench = block("b1", "Lower Bench", "Honeycrisp", 43, 94, feet(12, 3), 20);
  bench.block.target.yield = yield(1350, YieldUnit::boxes_per_acre, {80, {}, {}}, 0.92);
  bench.block.target.insurance_factor = 1.8;
  bench.green_tip_after_days = 56;
  bench.floral_fraction = 0.68;

  BlockPlan mill = block("b2", "Mill Side", "Gala", 36, 101, feet(11, 3), 18);
  mill.block.target.yield = yield(48, YieldUnit::t_per_ha, {{}, 165, {}}, 0.9);
  mill.block.target.insurance_factor = 1.8;
  mill.green_tip_after_days = 52;
  mill.floral_fraction = 0.82;

  BlockPlan stone = block("b3", "Stone Wall", "Fuji", 38, 80, {4.0, 1.2}, 22);
  stone.block.target.fruits_per_tree = 110;
  stone.block.target.insurance_factor = 1.5;
  stone.green_tip_after_days = 54;
  stone.floral_fraction = 0.47;
  stone.tree_k = 20;
  stone.trees_cut = 14;

  BlockPlan chapel = block("b4", "Chapel Hill", "McIntosh", 34, 74, feet(14, 5), 26);
  chapel.block.target.yield = yield(38, YieldUnit::bins_per_acre, {{}, {}, 76}, 0.88);
  chapel.block.target.insurance_factor = 2.0;
  chapel.green_tip_after_days = 58;
  chapel.floral_fraction = 0.9;

  BlockPlan young = block("b5", "New Ground", "WA 38", 26, 61, feet(11, 3), 12);
  young.block.target.trunk =
      orchard::TrunkGoal{.girth_mm = 112, .diameter_mm = {}, .fruits_per_cm2 = 5};
  young.block.target.insurance_factor = 1.5;
  young.green_tip_after_days = 53;
  young.floral_fraction = 0.58;
  young.before_over_target = 1.7;
  young.trees_cut = 9;
  return {bench, mill, stone, chapel, young};
}

PrunerPlan pruner(const char* id, const char* name, const char* shows) {
  PrunerPlan plan;
  plan.person = {id, name, orchard::Role::pruner, true};
  plan.shows = shows;
  return plan;
}

std::vector<PrunerPlan> plan_pruners() {
  std::vector<PrunerPlan> all = {
      pruner("p1", "Ana", "steady, counts limb by limb"),
      pruner("p2", "Mateo", "steady"),
      pruner("p3", "Priya", "leaves too many at first, is told to go harder, and does"),
      pruner("p4", "Tomasz", "over-prunes: leaves a quarter too few all week"),
      pruner("p5", "Leilani", "steady and quick"),
      pruner("p6", "Kofi", "steady, but writes most counts as a multiple of five"),
      pruner("p7", "Yusuf", "steady; shares a phone with p8"),
      pruner("p8", "Ingrid", "a little high, inside the band; shares a phone with p7"),
      pruner("p9", "Minh", "drifts: leaves more and more from the second afternoon on"),
      pruner("p10", "Rosa", "prunes to target but misses one spur in six when counting"),
      pruner("p11", "Dmitri", "on target on the whole, but uneven from tree to tree"),
      pruner("p12", "Amara", "steady, slow and careful"),
  };
  const double misses[] = {0.03, 0.06, 0.05, 0.07, 0.09, 0.06, 0.05, 0.04, 0.07, 0.16, 0.06, 0.02};
  const double pace[] = {22, 27, 25, 29, 33, 28, 26, 24, 27, 26, 25, 19};
  const double levels[] = {0.01, -0.02, 0.27, -0.28, 0.03, 0.0, -0.02, 0.07, -0.01, 0.01, 0.0, -0.03};
  for (std::size_t i = 0; i < all.size(); ++i) {
    all[i].gang = i < 6 ? 0 : 1;
    all[i].miss_share = misses[i];
    all[i].trees_per_hour = pace[i];
    all[i].level = levels[i];
  }
  all[0].by_limbs = true;
  all[2].advised_on_day = 1;
  all[2].level_after_advice = 0.02;
  all[5].rounds_to_fives = 0.75;
  all[8].drift_day = 1.5;
  all[8].drift_per_day = 0.15;
  all[10].own_k = 11;
  return all;
}

// Another crew for every seed: who is off stays the same, how far and how well each one counts
// and sees does not, so that no seed is chosen for what it shows.
void draw_crew(std::vector<PrunerPlan>& pruners, base::Random& random) {
  for (PrunerPlan& plan : pruners) {
    plan.level = plan.level * (0.6 + 0.8 * random.uniform()) + 0.06 * random.normal();
    plan.level_after_advice += 0.05 * random.normal();
    plan.drift_per_day *= 0.6 + 0.8 * random.uniform();
    plan.miss_share = std::min(0.25, plan.miss_share * std::exp(0.3 * random.normal()));
    plan.trees_per_hour *= std::exp(0.08 * random.normal());
    plan.eye_scatter *= std::exp(0.3 * random.normal());
  }
}

// A smaller or larger crew: the first ones keep their parts, further ones are steady.
void resize_crew(std::vector<PrunerPlan>& pruners, int wanted) {
  const auto known = static_cast<int>(pruners.size());
  if (wanted < known) pruners.resize(static_cast<std::size_t>(wanted));
  for (int i = known; i < wanted; ++i) {
    PrunerPlan plan = pruner(base::print("p%d", i + 1).c_str(),
                             base::print("Hand %d", i + 1).c_str(), "steady");
    plan.gang = i % 2;
    plan.level = 0.04 * ((i * 7) % 5 - 2) / 2;
    plan.miss_share = 0.03 + 0.01 * ((i * 5) % 7);
    plan.trees_per_hour = 22 + (i * 3) % 9;
    pruners.push_back(plan);
  }
}

void hand_out_devices(FarmPlan& farm) {
  int next = 1;  // 0 is the manager's
  for (std::size_t i = 0; i < farm.pruners.size(); ++i) {
    const bool shares = i == pruners_on_one_phone_first + 1;
    farm.pruners[i].device = shares ? farm.pruners[i - 1].device : next++;
  }
  for (std::size_t i = 0; i < farm.leads.size(); ++i) farm.lead_devices.push_back(next++);
  farm.devices = next;
}

std::string number_field(const char* name, double value) {
  return base::print("\"%s\": %s", name, base::shortest(value).c_str());
}

}  // namespace

int FarmPlan::block_of(int gang, int day, int days) const {
  // Two thirds of the days in the gang's first block, the rest in its second; the last pruners
  // finish the young block on the last day (see work_week.cpp).
  const int first_days = std::max(1, days * 2 / 3);
  return day < first_days ? gang : gang + 2;
}

std::string green_tip_date(const Options& options, const BlockPlan& plan) {
  return base::iso_minute(options.monday_ms + plan.green_tip_after_days * day_ms).substr(0, 10);
}

FarmPlan plan_farm(const Options& options) {
  FarmPlan farm;
  farm.name = "Oxbow Lantern Farm";
  farm.folder = "oxbow_lantern";
  farm.blocks = plan_blocks();
  base::Random start_random(options.seed + 1);
  for (BlockPlan& plan : farm.blocks) {
    plan.block.stride = options.stride;
    plan.block.stride_start = 1 + static_cast<int>(start_random.below(
        static_cast<std::uint64_t>(options.stride)));
    plan.block.green_tip_date = green_tip_date(options, plan);
    plan.block.stride_floor = std::max(options.stride, 100);
    plan.block.rows = std::max(1, static_cast<int>(std::lround(plan.block.rows * options.scale)));
    // The trees set a little less than the farm believes.
    plan.true_insurance = 1.15 * plan.block.target.insurance_factor;
  }
  farm.pruners = plan_pruners();
  resize_crew(farm.pruners, options.pruners);
  if (options.drawn) {
    base::Random crew_random(options.seed + 2);
    draw_crew(farm.pruners, crew_random);
    farm.blocks[chapel_hill].size_step = 0.35;
    farm.folder = "oxbow_lantern_every_50th";
  }
  if (options.seasons > 0) farm.folder = "oxbow_lantern_seasons";
  farm.leads = {{"l1", "Teresa", orchard::Role::lead, true},
                {"l2", "Hiroshi", orchard::Role::lead, true}};
  farm.manager = {"m1", "Wren", orchard::Role::manager, true};
  hand_out_devices(farm);
  return farm;
}

std::string truth_json(const FarmPlan& plan, const Options& options) {
  std::string text = "{\n";
  text += base::print(" \"seed\": %llu,\n", static_cast<unsigned long long>(options.seed));
  text += base::print(" \"days\": %d,\n \"stride\": %d,\n", options.days, options.stride);
  text += base::print(" \"first_day\": \"%s\",\n",
                      base::iso_minute(options.monday_ms).substr(0, 10).c_str());
  text += " " + number_field("lead_miss_share", plan.lead_miss_share) + ",\n \"blocks\": [\n";
  for (const BlockPlan& b : plan.blocks) {
    text += "  {\"block\": \"" + b.block.id + "\", " +
            number_field("floral_fraction", b.floral_fraction) + ", " +
            number_field("told_target", b.told_target) + ", " + number_field("tree_k", b.tree_k) +
            ", " + number_field("before_over_target", b.before_over_target) + "}" +
            (&b == &plan.blocks.back() ? "\n" : ",\n");
  }
  text += " ],\n \"pruners\": [\n";
  for (const PrunerPlan& p : plan.pruners) {
    text += "  {\"person\": \"" + p.person.id + "\", \"shows\": " + ledger::json_quoted(p.shows) +
            ", " + number_field("level", p.level) + ", " +
            number_field("level_after_advice", p.level_after_advice) + ", " +
            base::print("\"advised_on_day\": %d, ", p.advised_on_day) +
            number_field("drift_per_day", p.drift_per_day) + ", " +
            number_field("drift_day", p.drift_day) + ", " +
            number_field("drift_most", p.drift_per_day > 0 ? p.drift_most : 0) + ", " +
            number_field("miss_share", p.miss_share) + ", " +
            number_field("rounds_to_fives", p.rounds_to_fives) + ", " +
            (options.drawn ? number_field("eye_scatter", p.eye_scatter) + ", " : "") +
            number_field("trees_per_hour", p.trees_per_hour) + "}" +
            (&p == &plan.pruners.back() ? "\n" : ",\n");
  }
  return text + " ]\n}\n";
}

}  // namespace nthtree::scenario
