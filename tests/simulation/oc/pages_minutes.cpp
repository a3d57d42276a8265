// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "minutes.h"
#include "pages.h"
#include "report.h"

namespace nthtree::oc {
namespace {

constexpr double shown_levels[] = {1.15, 0.85, 1.225, 0.775, 1.4, 0.6, 2.0};

struct Measured {
  MinutesPlan plan;
  std::vector<LevelRates> levels;
  const LevelRates& at(double ratio) const {
    return *std::find_if(levels.begin(), levels.end(),
                         [&](const LevelRates& level) { return level.ratio == ratio; });
  }
};

Measured measure(const MinutesPlan& plan, const Effort& effort) {
  return {plan, simulate_minutes(plan, std::max(10, effort.days / 10), effort.seed + 81)};
}

std::string what(const MinutesPlan& plan) {
  const stats::Share share = share_of(plan);
  std::string text = number(share.units, 0) + " × ";
  text += plan.design == Design::whole_trees ? "whole" : number(share.parts, 0);
  if (share.looks > 0) text += ", " + number(share.looks, 0) + " looks";
  return text;
}

std::string eye_of(const MinutesPlan& plan) { return plan.eye <= 0 ? "none" : number(plan.eye, 2) + (plan.eyes_known ? "" : ", new"); }

void add_days(const Measured& one, Table& table) {
  for (const double ratio : shown_levels) {
    const LevelRates& level = one.at(ratio);
    const auto day = [&](int n) { return percent(level.right[static_cast<std::size_t>(n - 1)], 0); };
    table.add({name_of(one.plan.design), number(one.plan.limb_cv, 2), eye_of(one.plan),
               what(one.plan), signed_percent(ratio), day(1), day(2), day(3), day(5)});
  }
}

void add_minutes(const Measured& one, const Measured& whole, Table& table) {
  for (const double ratio : {1.4, 1.225}) {
    const double ours = one.at(ratio).minutes_per_right;
    const double bound = ratio == 1.225 ? minutes_bound(one.plan, ratio) : 0;
    table.add({name_of(one.plan.design), number(one.plan.limb_cv, 2), eye_of(one.plan),
               what(one.plan), signed_percent(ratio), number(ours, 0),
               number(whole.at(ratio).minutes_per_right, 0),
               number(ours / whole.at(ratio).minutes_per_right, 2),
               bound > 0 ? number(bound, 0) : ""});
  }
}

void add_errors(const Measured& one, Table& table) {
  double wrong_way = 0, seen = 0;
  for (const LevelRates& level : one.levels) {
    if (level.ratio == 1) continue;
    wrong_way += level.wrong_way * level.seen;
    seen += level.seen;
  }
  table.add({name_of(one.plan.design), number(one.plan.limb_cv, 2), eye_of(one.plan),
             percent(one.at(1.075).told_change), percent(one.at(0.925).told_change),
             percent(one.at(1.0).told_change), percent(wrong_way / seen, 2)});
}

std::vector<MinutesPlan> plans() {
  std::vector<MinutesPlan> all = {{.design = Design::whole_trees}};
  for (const double limb_cv : {0.3, 0.45, 0.6}) {
    all.push_back({.design = Design::limbs, .limb_cv = limb_cv});
    all.push_back({.design = Design::limbs_classes, .limb_cv = limb_cv});
    for (const double eye : {0.6, 0.75, 0.9}) {
      for (const Design design : {Design::limbs_scores, Design::limbs_walk, Design::scores_walk}) {
        if (design == Design::scores_walk && (limb_cv != 0.45 || eye != 0.75)) continue;
        all.push_back({.design = design, .limb_cv = limb_cv, .eye = eye});
      }
    }
  }
  MinutesPlan unknown{.design = Design::limbs_walk, .eye = 0.75};
  unknown.eyes_known = false;
  all.push_back(unknown);
  return all;
}

}  // namespace

std::vector<Page> minutes_pages(const Effort& effort) {
  Table days{{"design", "limb spread", "eye", "trees × limbs", "true mean", "day 1", "day 2",
              "day 3", "day 5"}, {}};
  Table minutes{{"design", "limb spread", "eye", "trees × limbs", "true mean",
                 "minutes a right answer", "whole trees", "ratio", "Wald's bound"}, {}};
  Table errors{{"design", "limb spread", "eye", "told change at +½ t", "at −½ t", "at the target",
                "told the wrong way"}, {}};
  Measured whole;
  for (const MinutesPlan& plan : plans()) {
    const Measured one = measure(plan, effort);
    if (plan.design == Design::whole_trees) whole = one;
    add_days(one, days);
    add_minutes(one, whole, minutes);
    add_errors(one, errors);
  }
  return {{"minutes.md",
           "# What a minute of counting is worth\n\nCrews of twelve at ten minutes a pruner and "
           "day, trees of 250 spurs that differ by 25 % (known from 12 trees), about 20 limbs that "
           "differ within a tree as said, a third of it because they shrink upwards. A whole tree "
           "takes 305 s, a tree of some limbs 50 s and 15 s a limb, a look 5 s; the lead's walk is "
           "half an hour a day, 30 looks a pruner, the tagged trees among them. An eye's scale is "
           "off by 15 % anew each morning, its slope 0.85 give or take 0.10; twenty pairs of each "
           "eye are known from the days before (\"new\": none). Size classes explain half of the spread; 85 of 100 "
           "taps are right. Each cell: how many of the pruners had a right answer by the end of "
           "that day; a verdict is right when it is fair.\n\n" + days.markdown() +
           "\n## Minutes\n\nOf the pruner and of the lead by head, until the first verdict (all five "
           "days where there was none), for each right one. The bound: Wald's test told every variance, at what the "
           "design's minutes bring.\n\n" + minutes.markdown() +
           "\n## Errors over five days\n\n" + errors.markdown()}};
}

}  // namespace nthtree::oc
