// SPDX-License-Identifier: Apache-2.0
#include "seasons.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "ledger/json_text.h"
#include "orchard/target.h"
#include "preparations.h"
#include "work_week.h"
#include "year.h"

namespace nthtree::scenario {
namespace {

constexpr std::int64_t weeks_52_ms = 364 * std::int64_t{86400000};  // keeps Mondays
constexpr double usual_spurs_share = 2.1;  // of what a usual year's target leaves, on an unpruned tree
constexpr double taken_over = 0.4;  // of what the followed trees taught

const YearPlan year_plans[seasons_max] = {
    {.shows = "an on-year: nearly every spur flowers, and the crop is heavy",
     .floral_logit = 0.7, .set = 1.3},
    {.shows = "the off-year after it: few floral buds, so hardly anything is taken",
     .goal = 0.3, .floral_logit = -2.8, .set = 1.15, .later_days = 4},
    {.shows = "a full bloom again, and a frost night at pink",
     .floral_logit = 0.4, .set = 1.1, .later_days = -3, .frost_on_day = 74,
     .frost_low_c = -3.3, .alive_low_ground = 0.5, .alive_high_ground = 0.85},
};

double shifted(double share, double logit) {
  return 1 / (1 + std::exp(-std::log(share / (1 - share)) - logit));
}

// What an unpruned tree carries, the same every year.
double unpruned_spurs(const BlockPlan& plan) {
  const auto target = orchard::work_out_target(plan.block.target, plan.block.spacing,
                                               orchard::Estimate::exactly(plan.floral_fraction));
  return target ? usual_spurs_share * target->spurs_to_leave_per_tree.value : 0;
}

// Whichever of the goals is set, scaled; the factor is the farm's own by now.
void aim_at(double goal, const orchard::TargetInput& usual, orchard::TargetInput& target) {
  if (usual.yield) target.yield->amount = goal * usual.yield->amount;
  if (usual.fruits_per_tree) target.fruits_per_tree = std::round(goal * *usual.fruits_per_tree);
  if (usual.trunk) target.trunk->fruits_per_cm2 = goal * usual.trunk->fruits_per_cm2;
}

void begin(const Options& options, const YearPlan& year, const FarmPlan& usual, FarmPlan& farm) {
  for (std::size_t b = 0; b < farm.blocks.size(); ++b) {
    BlockPlan& plan = farm.blocks[b];
    plan.unpruned_spurs = unpruned_spurs(usual.blocks[b]);
    aim_at(year.goal, usual.blocks[b].block.target, plan.block.target);
    plan.floral_fraction = shifted(usual.blocks[b].floral_fraction, year.floral_logit);
    plan.block.green_tip_date = green_tip_date(options, plan);
  }
}

// Part of the way from the factor the farm has to what the followed trees say, in tenths.
void learn(const std::vector<FollowedTree>& trees, FarmPlan& farm) {
  std::map<std::size_t, std::pair<double, double>> sums;  // flowering, fruits
  for (const FollowedTree& tree : trees) {
    sums[tree.block].first += tree.flowering;
    sums[tree.block].second += tree.fruits;
  }
  for (const auto& [block, sum] : sums) {
    if (sum.second <= 0) continue;
    double& factor = farm.blocks[block].block.target.insurance_factor;
    const double own = std::clamp(sum.first / sum.second, 1.0, 4.0);
    factor = std::round(10 * ((1 - taken_over) * factor + taken_over * own)) / 10;
  }
}

}  // namespace

base::Result<std::vector<std::string>> live_seasons(const Options& options, const FarmPlan& usual,
                                                    base::Random& random, Diary& diary) {
  std::vector<std::string> truths;
  FarmPlan farm = usual;
  std::vector<FollowedTree> last;
  for (int i = 0; i < options.seasons; ++i) {
    const YearPlan& plan = year_plans[i];
    Options of_year = options;
    of_year.monday_ms -= (options.seasons - 1 - i) * weeks_52_ms;
    begin(of_year, plan, usual, farm);
    i == 0 ? set_up_farm(of_year, farm, diary) : set_up_blocks(of_year, farm, diary);
    if (const auto prepared = prepare_blocks(of_year, farm, random, diary); !prepared) {
      return prepared.error();
    }
    Year year(plan, of_year, farm, random, diary);
    year.temperatures();
    WorkWeek week(of_year, farm, random, diary);
    week.run();
    last = year.rest(week.tagged(), last);
    truths.push_back(truth_json(farm, of_year).insert(
        1, "\n \"shows\": " + ledger::json_quoted(plan.shows) + ","));
    learn(last, farm);
  }
  return truths;
}

}  // namespace nthtree::scenario
