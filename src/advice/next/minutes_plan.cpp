// SPDX-License-Identifier: Apache-2.0
#include "advice/next/minutes_plan.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

#include "advice/internal/boundary.h"
#include "advice/internal/context.h"
#include "advice/internal/current.h"
#include "stats/allocation.h"

namespace nthtree::advice {
namespace {

constexpr double counts_usual = 10;  // what is usual weighs as much as so many measured counts
constexpr int trees_a_day_least = 2;       // one tree a day would tie everything to its own luck
constexpr int days_most = 30;

// Measured against usual seconds, so that few measurements move a little.
struct Ratio {
  double measured = 0, usual = 0, counts = 0;
  void add(double seconds, double usually) {
    if (seconds <= 0) return;
    measured += seconds;
    usual += usually;
    counts += 1;
  }
  double factor() const {
    if (counts == 0) return 1;
    return (counts_usual + counts * measured / usual) / (counts_usual + counts);
  }
};

// Typical limbs of a tree here: what people counted, else what the block's settings say.
int limbs_of(const ledger::BlockSeason& block, std::int64_t cut_ms) {
  double sum = 0, n = 0;
  for_current(block.part_counts, cut_ms, [&](const auto& entry) {
    sum += entry.body.counted.draw.limbs;
    n += 1;
  });
  const int settings = block.block ? block.block->limbs_per_tree : 0;
  return std::max(2, n > 0 ? static_cast<int>(std::lround(sum / n)) : settings);
}

int people_at_work(const BlockContext& context) {
  std::set<std::string> people;
  for (const auto& [person, evidence] : context.here->people) {
    if (!evidence.counts.empty()) people.insert(person);
  }
  return std::max<int>(1, static_cast<int>(people.size()));
}

// The best eye among those who score their own trees, or walk: 0 where none counts yet.
double correlation_of(const EyeModel& eyes, bool leads, const ledger::Season& season) {
  double best = 0;
  for (const auto& [name, eye] : eyes.eyes()) {
    const orchard::Person* person = season.person(name);
    const bool is_lead = person && person->role != orchard::Role::pruner;
    if (eye.counts && is_lead == leads) best = std::max(best, eye.correlation);
  }
  return std::min(best, 0.95);
}

// Nights until Wald's line is reached by the level itself, where half the pruners so far off have
// been told.
int days_until_told(const Settings& settings, double count_variance, double day_variance) {
  const double t = settings.tolerance_fraction;
  const double near = std::log1p(t / 2), far = std::log1p(1.5 * t);
  const double off = std::log1p(std::max(far_off, 2 * t));
  const Boundary line = boundary_for(BandSide::over, 1 - settings.sureness, 0.10,
                                     (far - near) / std::sqrt(count_variance));
  const double night = Movement{}.day_sd * Movement{}.day_sd;
  double known = 0;  // precision
  for (int day = 1; day <= days_most; ++day) {
    if (known > 0) known = 1 / (1 / known + night);
    known += 1 / day_variance;
    const double root = std::sqrt(known);
    if ((off - near) * root >= z_to_change(line, (far - near) * root)) return day;
  }
  return 0;
}

}  // namespace

MinutesWish minutes_wish(const ledger::Season& season) {
  const ledger::FarmSettings& farm = season.farm();
  return {farm.pruner_minutes_per_day.value_or(0), farm.lead_minutes_per_day.value_or(0)};
}

CountingSeconds counting_seconds(const ledger::BlockSeason& block, std::int64_t now_ms) {
  CountingSeconds seconds;
  Ratio whole, part, look;
  for_current(block.tag_counts, now_ms,
              [&](const auto& entry) { whole.add(entry.body.seconds, seconds.whole_tree); });
  for_current(block.part_counts, now_ms, [&](const auto& entry) {
    const double limbs = static_cast<double>(entry.body.counted.limbs.size());
    part.add(entry.body.counted.seconds, seconds.tree + seconds.limb * limbs);
  });
  for_current(block.eye_scores, now_ms,
              [&](const auto& entry) { look.add(entry.body.seconds, seconds.look); });
  seconds.whole_tree *= whole.factor();
  seconds.tree *= part.factor();
  seconds.limb *= part.factor();
  seconds.look *= look.factor();
  return seconds;
}

MinutesPlan plan_minutes(const ledger::Season& season, const std::string& block,
                         const MinutesWish& wish, std::int64_t now_ms) {
  MinutesPlan plan;
  const ledger::BlockSeason* found = season.block(block);
  if (!found || !found->block || wish.pruner <= 0) return plan;
  const BlockContext context = make_context(season, *found, now_ms, cut_for(season, now_ms));
  const StandingModel& model = context.model;
  plan.seconds = counting_seconds(*found, context.cut_ms);
  plan.limbs_in_tree = limbs_of(*found, context.cut_ms);
  const double trees = model.spread.variance * model.spread.inflation();
  const stats::ShareSpread spread{trees, model.spread.limb_variance, plan.limbs_in_tree,
                                  step_factor, correlation_of(model.eyes, false, season)};
  const auto share = stats::share_out({60 * wish.pruner, plan.seconds.tree, plan.seconds.limb,
                                       plan.seconds.whole_tree, plan.seconds.look},
                                      spread, trees_a_day_least);
  if (!share) return plan;
  plan.trees = share->units;
  plan.limbs = share->parts < plan.limbs_in_tree ? share->parts : 0;
  plan.looks = share->looks;
  plan.minutes = share->cost / 60;
  plan.over_budget = share->cost > 60 * wish.pruner;
  plan.gain = trees * plan.seconds.whole_tree / share->cost / share->variance;
  double known = 1 / share->variance;
  const double walk = correlation_of(model.eyes, true, season);
  if (wish.lead > 0) {
    const double looks = 60 * wish.lead / plan.seconds.look;
    plan.walk_looks = static_cast<int>(looks / people_at_work(context));
    known += plan.walk_looks * walk * walk / trees;
  }
  const double count_variance = trees + part_variance(model.spread.limb_variance, plan.limbs,
                                                      plan.limbs_in_tree);
  plan.days = days_until_told(context.settings, count_variance, 1 / known);
  return plan;
}

}  // namespace nthtree::advice
