// SPDX-License-Identifier: Apache-2.0
#include "crew.h"

#include <cmath>
#include <string>

#include "advice/internal/standing_model.h"

namespace nthtree::oc {
namespace {

struct Pruner {
  std::string name;
  double level = 0;  // ln(true mean ÷ target) on the day judged
  TreeLine trees;
  VerdictKind told = VerdictKind::count_more;
  int counted = 0;
};

constexpr double crew_target = 180;

advice::BlockEvidence empty_block() {
  advice::BlockEvidence block;
  block.block = "b";
  block.has_target = true;
  block.target_spurs = crew_target;
  block.target.spurs_to_leave_per_tree = orchard::Estimate::exactly(crew_target);
  return block;
}

void add_count(advice::PersonEvidence& person, const Counted& count, std::int64_t at_ms,
               std::int64_t day) {
  advice::CountPoint point;
  point.at_ms = at_ms;
  point.day = day;
  point.spurs = count.tag;
  point.share_tag = count.tag / crew_target;
  person.add(point);
}

// Fair where the truth asks for it: to change beyond half a tolerance, on target within one and a
// half; between, either.
bool is_right(VerdictKind told, double level, double tolerance) {
  const double share = std::exp(level) - 1;
  switch (told) {
    case VerdictKind::harder: return share > tolerance / 2;
    case VerdictKind::lighter: return share < -tolerance / 2;
    case VerdictKind::on_target: return std::fabs(share) < 1.5 * tolerance;
    case VerdictKind::count_more: break;
  }
  return false;
}

class Season {
 public:
  Season(const CrewPlan& plan, std::uint64_t seed) : plan_(plan), together_(empty_block()) {
    base::Random random(seed);
    for (int i = 0; i < plan.pruners; ++i) {
      const double yesterday = plan.crew_log_mean + plan.between_log_sd * random.normal();
      const double today = yesterday + plan.day_log_sd * random.normal();
      const std::string name = "p" + std::to_string(100 + i);
      TreeLine past({.ratio = std::exp(yesterday), .cv = plan.cv}, random.next());
      for (int n = 0; n < plan.counts_yesterday; ++n) {
        add_count(together_.people[name], past.next(), n + 1, 1);
      }
      crew_.push_back({name, today, TreeLine({.ratio = std::exp(today), .cv = plan.cv},
                                             random.next())});
    }
  }

  std::vector<Pruner>& crew() { return crew_; }

  // One more tree of that pruner; where they stand now, with the crew and yesterday or alone.
  advice::Standing count(Pruner& pruner, bool pooled) {
    add_count(together_.people[pruner.name], pruner.trees.next(), 1000 + ++clock_, 2);
    ++pruner.counted;
    advice::StandingInput input;
    input.bias = &exact_;
    if (pooled) {
      input.here = &together_;
      return *advice::model_standings(input).of(pruner.name);
    }
    advice::BlockEvidence alone = empty_block();
    for (const advice::CountPoint& point : together_.people[pruner.name].counts) {
      if (point.day == 2) alone.people[pruner.name].add(point);
    }
    input.here = &alone;
    return advice::model_standings(input).pruners.front();
  }

 private:
  CrewPlan plan_;
  advice::BlockEvidence together_;
  advice::CountingBias exact_;
  std::vector<Pruner> crew_;
  std::int64_t clock_ = 0;
};

}  // namespace

CrewRates simulate_crew(const CrewPlan& plan, bool pooled, std::uint64_t seed) {
  CrewRates rates;
  const advice::Settings settings;
  base::Random seeds(seed);
  double all = 0, right = 0, wrong = 0, open = 0, trees = 0, within = 0, told_within = 0;
  for (int day = 0; day < plan.days; ++day) {
    Season season(plan, seeds.next());
    // All work side by side: each counts a tree, then the next round begins.
    for (int round = 0; round < plan.counts_most; ++round) {
      for (Pruner& pruner : season.crew()) {
        if (pruner.told != VerdictKind::count_more) continue;
        pruner.told = advice::kind_of(season.count(pruner, pooled), settings);
      }
    }
    for (const Pruner& pruner : season.crew()) {
      const bool fair = is_right(pruner.told, pruner.level, settings.tolerance_fraction);
      all += 1;
      trees += pruner.counted;
      open += pruner.told == VerdictKind::count_more;
      right += fair;
      wrong += !fair && pruner.told != VerdictKind::count_more;
      const bool inside =
          std::fabs(std::exp(pruner.level) - 1) < settings.tolerance_fraction / 2;
      within += inside;
      told_within += inside && (pruner.told == VerdictKind::harder ||
                                pruner.told == VerdictKind::lighter);
    }
  }
  rates.trees_per_right = right > 0 ? trees / right : 0;
  rates.trees = trees / all;
  rates.right = right / all;
  rates.wrong = wrong / all;
  rates.open = open / all;
  rates.told_within_half = within > 0 ? told_within / within : 0;
  return rates;
}

namespace {

CrewPlan plan_of_day(const CrewPlan& plan, int day) {
  CrewPlan today = plan;
  if (plan.spreads_differ) today.cv = 0.15 + 0.10 * (day % 4);
  return today;
}

std::vector<Calibration> bins_of_sureness() {
  return {{0.0, 0.80}, {0.80, 0.875}, {0.875, 0.925}, {0.925, 0.975}, {0.975, 1.01}};
}

void note(std::vector<Calibration>& bins, double said, bool right) {
  for (Calibration& bin : bins) {
    if (said < bin.low || said >= bin.high) continue;
    ++bin.verdicts;
    bin.said += said;
    bin.right += right;
  }
}

void finish(std::vector<Calibration>& bins) {
  for (Calibration& bin : bins) {
    if (bin.verdicts == 0) continue;
    bin.said /= bin.verdicts;
    bin.right /= bin.verdicts;
  }
}

}  // namespace

std::vector<Calibration> calibrate_verdicts(const CrewPlan& plan, double sureness,
                                            std::uint64_t seed) {
  std::vector<Calibration> bins = bins_of_sureness();
  advice::Settings settings;
  settings.sureness = sureness;
  base::Random seeds(seed);
  for (int day = 0; day < plan.days; ++day) {
    Season season(plan_of_day(plan, day), seeds.next());
    for (int round = 0; round < plan.counts_most; ++round) {
      for (Pruner& pruner : season.crew()) {
        if (pruner.told != VerdictKind::count_more) continue;
        const advice::Verdict verdict = advice::judge(season.count(pruner, true), settings);
        pruner.told = verdict.kind;
        if (verdict.kind == VerdictKind::count_more) continue;
        note(bins, verdict.sureness,
             is_right(verdict.kind, pruner.level, settings.tolerance_fraction));
      }
    }
  }
  finish(bins);
  return bins;
}

std::vector<Calibration> calibrate_standings(const CrewPlan& plan, std::uint64_t seed) {
  std::vector<Calibration> bins = bins_of_sureness();
  base::Random seeds(seed);
  const double band = std::log1p(advice::Settings{}.tolerance_fraction);
  for (int day = 0; day < plan.days; ++day) {
    Season season(plan_of_day(plan, day), seeds.next());
    for (int round = 0; round < 12; ++round) {
      for (Pruner& pruner : season.crew()) {
        const double said = season.count(pruner, true).probability_over;
        note(bins, said, pruner.level > band);
        note(bins, 1 - said, pruner.level <= band);
      }
    }
  }
  finish(bins);
  return bins;
}

}  // namespace nthtree::oc
