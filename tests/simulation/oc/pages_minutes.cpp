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

std::string eye_of(const MinutesPlan& plan) {
  if (plan.eye <= 0) return "none";
  return number(plan.eye, 2) + (plan.eyes_known ? "" : ", new");
}

void add_days(const Measured& one, Table& table) {
  for (const double ratio : shown_levels) {
    const LevelRates& level = one.at(ratio);
    const auto day = [&](int n) {
      return percent(level.right[static_cast<std::size_t>(n - 1)], 0);
    };
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

bool is_usual(const MinutesPlan& plan) { return plan.limb_cv == 0.45 && plan.eyes_known; }

void add_against(const Measured& one, Table& table) {
  if (!is_usual(one.plan)) return;
  for (const double ratio : {2.0, 1.4, 0.775, 0.6}) {
    const LevelRates& level = one.at(ratio);
    const auto share = [&](const std::array<double, minute_days>& days, int n) {
      return percent(days[static_cast<std::size_t>(n - 1)], 0);
    };
    table.add({name_of(one.plan.design), eye_of(one.plan), signed_percent(ratio),
               share(level.against, 1), share(level.against, 2), share(level.against, 3),
               share(level.right, 1), share(level.right, 2), share(level.right, 3),
               percent(level.against_wrong)});
  }
}

// What was aimed at, and what a test that is told everything reaches with the same minutes.
void add_aim(const Measured& one, Table& table, std::uint64_t seed) {
  const Design design = one.plan.design;
  const bool shown = design == Design::limbs || design == Design::limbs_scores ||
                     design == Design::limbs_walk || design == Design::scores_walk;
  if (!is_usual(one.plan) || !shown || (one.plan.eye != 0.75 && design != Design::limbs)) return;
  struct Aim { double ratio; int day; const char* wanted; };
  for (const Aim& aim : {Aim{1.4, 2, "90 %"}, {0.6, 2, "90 %"}, {1.225, 3, "60 %"},
                         {0.775, 3, "60 %"}}) {
    const double right = one.at(aim.ratio).right[static_cast<std::size_t>(aim.day - 1)];
    table.add({name_of(design), signed_percent(aim.ratio), number(aim.day, 0), aim.wanted,
               percent(right, 0), percent(told_bound(one.plan, aim.ratio, aim.day, seed), 0)});
  }
}

// Ranked sets beside limbs alone and scores of as many minutes, as variances of a day's mean.
Table ranked_sets(std::uint64_t seed) {
  Table table{{"limb spread", "eye", "some limbs", "limbs and own scores", "sets of 2", "sets of 3",
               "sets of 4"}, {}};
  for (const double limb_cv : {0.3, 0.45, 0.6}) {
    for (const double eye : {0.6, 0.75, 0.9}) {
      const MinutesPlan plan{.design = Design::limbs_scores, .limb_cv = limb_cv, .eye = eye};
      const MinutesPlan alone{.design = Design::limbs, .limb_cv = limb_cv};
      const auto set = [&](int trees) { return number(ranked_variance(plan, trees, seed), 4); };
      table.add({number(limb_cv, 2), number(eye, 2), number(share_of(alone).variance, 4),
                 number(share_of(plan).variance, 4), set(2), set(3), set(4)});
    }
  }
  return table;
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

const char* const about_minutes =
    "# What a minute of counting is worth\n\nCrews of twelve at ten minutes a pruner and day, trees "
    "of 250 spurs that differ by 25 % (known from 12 trees), about 20 limbs that differ within a "
    "tree as said, a third of it because they shrink upwards. A whole tree takes 305 s, a tree of "
    "some limbs 50 s and 15 s a limb, a look 5 s; the lead's walk is half an hour a day, 30 looks a "
    "pruner, the tagged trees among them. An eye's scale is off by 15 % anew each morning, its "
    "slope 0.85 give or take 0.10; twenty pairs of each eye are known from the days before "
    "(\"new\": none). Size classes explain half of the spread; 85 of 100 taps are right. Each cell: "
    "how many of the pruners had a right answer by the end of that day; a verdict is right when it "
    "is fair.\n\n";
const char* const about_cost =
    "\n## Minutes\n\nOf the pruner and of the lead by head, until the first verdict (all five days "
    "where there was none), for each right one. The bound: Wald's test told every variance, at what "
    "the design's minutes bring.\n\n";
const char* const about_aims =
    "\n## What was aimed at, and its bound\n\nLimbs that differ by 0.45, eyes of 0.75. The bound: "
    "Wald's test that is told every variance, of hands that stay as they are overnight, with the "
    "same trees, limbs and looks.\n\n";
const char* const about_crew =
    "\n## Against the crew, and against the target\n\nLimbs that differ by 0.45. How many were told "
    "by the end of that day that they leave more, or fewer, than the others, and rightly so; beside "
    "it the verdict against the target, known exactly here. Unfairly: told so of less than half a "
    "tolerance, or the wrong way, over five days.\n\n";
const char* const about_ranks =
    "\n## Ranked sets\n\nThe variance of a day's mean at ten minutes, relative: smaller is better. "
    "Of each set of trees, ranked by eye, one is counted by its best number of limbs.\n\n";

}  // namespace

std::vector<Page> minutes_pages(const Effort& effort) {
  Table days{{"design", "limb spread", "eye", "trees × limbs", "true mean", "day 1", "day 2",
              "day 3", "day 5"}, {}};
  Table minutes{{"design", "limb spread", "eye", "trees × limbs", "true mean",
                 "minutes a right answer", "whole trees", "ratio", "Wald's bound"}, {}};
  Table errors{{"design", "limb spread", "eye", "told change at +½ t", "at −½ t",
                "at the target", "told the wrong way"}, {}};
  Table against{{"design", "eye", "true mean", "crew, day 1", "day 2", "day 3", "target, day 1",
                 "day 2", "day 3", "told unfairly"}, {}};
  Table aims{{"design", "true mean", "by the end of day", "aimed at", "right", "bound"}, {}};
  Measured whole;
  for (const MinutesPlan& plan : plans()) {
    const Measured one = measure(plan, effort);
    if (plan.design == Design::whole_trees) whole = one;
    add_days(one, days);
    add_minutes(one, whole, minutes);
    add_errors(one, errors);
    add_against(one, against);
    add_aim(one, aims, effort.seed + 82);
  }
  return {{"minutes.md",
           about_minutes + days.markdown() + about_cost + minutes.markdown() + about_aims +
               aims.markdown() + about_crew + against.markdown() + about_ranks +
               ranked_sets(effort.seed + 83).markdown() + "\n## Errors over five days\n\n" +
               errors.markdown()}};
}

}  // namespace nthtree::oc
