// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "farm.h"
#include "pages.h"
#include "report.h"
#include "unchecked.h"

namespace nthtree::oc {
namespace {

std::string share(int part, int whole, int digits = 1) {
  return whole > 0 ? percent(static_cast<double>(part) / whole, digits) : "";
}

struct Arm {
  const char* name;
  FarmPlan plan;
};

std::vector<Arm> arms() {
  FarmPlan plain;
  FarmPlan unchecked = plain, known = plain, alike = plain, told = plain;
  unchecked.recounts_a_day = 0;
  known.off_share = known.missed_log_sd = 0;
  alike = known;
  alike.row_log_sd = alike.day_log_sd = alike.block_log_sd = 0;
  told.advice_given = true;
  return {{"four re-counts a day", plain},
          {"nobody re-counted", unchecked},
          {"everybody counts alike, four re-counts a day", known},
          {"the same, rows and days alike too", alike},
          {"four re-counts a day, advice given and taken", told}};
}

}  // namespace

std::vector<Page> farm_pages(const Effort& effort) {
  const int farms = std::max(4, effort.days / 25);
  Table drift{{"farm", "counts", "false drift flags", "counts between them"}, {}};
  Table advice{{"farm", "told to change within half a tolerance, a day", "told the wrong way",
                "beyond 1½ tolerances: told rightly by the evening", "asked to count on",
                "asked to re-count first", "90 % intervals that hold", "too low",
                "\"about N more\" came within N"}, {}};
  for (const Arm& arm : arms()) {
    const FarmDay sum = play_farms(arm.plan, farms, effort.seed + 81);
    drift.add({arm.name, number(sum.counts, 0), number(sum.false_drift, 0),
               number(static_cast<double>(sum.counts) / std::max(1, sum.false_drift), 0)});
    advice.add({arm.name, share(sum.told_near, sum.near), share(sum.told_wrong_way, sum.intervals),
                share(sum.right, sum.far), share(sum.silent, sum.far),
                share(sum.recount_first, sum.far), share(sum.covered, sum.intervals),
                share(sum.missed_low, sum.intervals),
                share(sum.promises_kept, sum.promises, 0) + " of " + number(sum.promises, 0)});
  }
  return {{"farm.md",
           "# Whole farms, looked at every hour\n\n" + number(farms, 0) +
               " farms a row: three blocks of five days, twelve pruners who differ by 15 %, six "
               "counts each a day in two rows; rows differ by 8 %, days by 4 %, blocks by 6 %; "
               "people miss 8 %, give or take 6 %, one in ten anything from half to double. Nobody "
               "drifts. `./tools/play_farm SEED` shows one of them day by day.\n\n## Drift flags "
               "that were false\n\n" + drift.markdown() + "\n## Advice\n\n" + advice.markdown()}};
}

std::vector<Page> unchecked_pages(const Effort& effort) {
  Table table{{"the rest of the crew", "re-counts of this pruner", "told to change at +½ t",
               "at −½ t", "the wrong way", "right at +1½ t", "at −1½ t",
               "asked to re-count at ±1½ t", "on target, counts half: told lighter",
               "90 % intervals that hold"}, {}};
  for (bool mates_checked : {false, true}) {
    for (int recounts : {0, 1, 2, 5}) {
      const auto at = [&](double ratio, double seen, std::uint64_t more) {
        UncheckedPlan plan;
        plan.days = effort.days / 4;
        plan.recounts = recounts;
        plan.mates_checked = mates_checked;
        plan.ratio = ratio;
        plan.seen = seen;
        return simulate_unchecked(plan, effort.seed + 91 + more);
      };
      const UncheckedRates up = at(1.075, 0, 1), down = at(0.925, 0, 2);
      const UncheckedRates over = at(1.225, 0, 3), under = at(0.775, 0, 4), half = at(1, 0.5, 5);
      const double all = (up.covered + down.covered + over.covered + under.covered) / 4;
      table.add({mates_checked ? "three re-counts each" : "nobody re-counted",
                 number(recounts, 0), percent(up.told_change), percent(down.told_change),
                 percent(std::max(over.told_wrong_way, under.told_wrong_way)),
                 percent(over.right), percent(under.right), percent((over.asked + under.asked) / 2),
                 percent(half.right), percent(all)});
    }
  }
  return {{"unchecked.md",
           "# Pruners nobody re-counted, and what a re-count buys\n\nA pruner in a crew of eight, "
           "looked at after each of forty counts; spread 25 %; how people count is drawn anew each "
           "day: most miss 8 %, give or take 6 %, one in ten anything from half to double. The "
           "first trees are the ones re-counted.\n\n" + table.markdown()}};
}

}  // namespace nthtree::oc
