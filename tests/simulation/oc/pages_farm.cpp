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

std::string counts_between(int counts, const DriftTally& tally) {
  return number(static_cast<double>(counts) / std::max(1, tally.false_flags), 0);
}

void add_false_flags(const char* name, const FarmDay& sum, Table& table) {
  table.add({name, number(sum.counts, 0), number(sum.drift.false_flags, 0),
             counts_between(sum.counts, sum.drift),
             counts_between(sum.counts, sum.drift_as_it_was)});
}

// One block, pruned for days on end.
FarmPlan one_block(int days) {
  FarmPlan plan;
  plan.days = plan.days_a_block = days;
  return plan;
}

std::string delay(const DriftTally& tally) {
  return number(static_cast<double>(tally.counts_until) / std::max(1, tally.found), 1) + " (" +
         number(tally.found, 0) + ")";
}

Table delays(int farms, std::uint64_t seed) {
  constexpr int days_after = 15;
  Table table{{"change", "counts before it", "ours", "the chart before"}, {}};
  for (const int before : {24, 60}) {
    for (const double step : {0.15, 0.25, -0.15}) {
      FarmPlan plan = one_block(days_after);
      plan.days_a_block = plan.days += before / plan.counts_a_day;
      plan.step = step;
      plan.step_after = before;
      const FarmDay sum = play_farms(plan, farms, seed);
      table.add({signed_percent(1 + step), number(before, 0), delay(sum.drift),
                 delay(sum.drift_as_it_was)});
    }
  }
  return table;
}

std::string kept_text(const FarmDay& sum) {
  if (sum.promises == 0) return "none was said";
  return share(sum.promises_kept, sum.promises, 0) + " of " + number(sum.promises, 0);
}

}  // namespace

std::vector<Page> farm_pages(const Effort& effort) {
  const int farms = std::max(4, effort.days / 25);
  Table drift{{"farm", "counts", "false drift flags", "counts between them",
               "by the chart before"}, {}};
  Table advice{{"farm", "told to change within half a tolerance, a day", "told the wrong way",
                "beyond 1½ tolerances: told rightly by the evening", "asked to count on",
                "asked to re-count first", "90 % intervals that hold", "too low",
                "\"about N more\" came within N"}, {}};
  for (const Arm& arm : arms()) {
    const FarmDay sum = play_farms(arm.plan, farms, effort.seed + 81);
    add_false_flags(arm.name, sum, drift);
    advice.add({arm.name, share(sum.told_near, sum.near), share(sum.told_wrong_way, sum.intervals),
                share(sum.right, sum.far), share(sum.silent, sum.far),
                share(sum.recount_first, sum.far), share(sum.covered, sum.intervals),
                share(sum.missed_low, sum.intervals), kept_text(sum)});
  }
  const int few = std::max(2, farms / 4);
  add_false_flags("four re-counts a day, one block for ten days",
                  play_farms(one_block(10), 2 * few, effort.seed + 82), drift);
  add_false_flags("four re-counts a day, one block for thirty days",
                  play_farms(one_block(30), few, effort.seed + 83), drift);
  return {{"farm.md",
           "# Whole farms, looked at every hour\n\n" + number(farms, 0) +
               " farms a row: three blocks of five days, twelve pruners who differ by 15 %, six "
               "counts each a day in two rows; rows differ by 8 %, days by 4 %, blocks by 6 %; "
               "people miss 8 %, give or take 6 %, one in ten anything from half to double. Nobody "
               "drifts. `./tools/play_farm SEED` shows one of them day by day.\n\n## Drift flags "
               "that were false\n\nBeside ours the chart that it replaced, on the same counts: a "
               "count's spread that of the trees alone, its scale that of the level as known by "
               "now; a long run is the level in both. Of one block for ten or thirty days there "
               "are fewer farms.\n\n" +
               drift.markdown() +
               "\n## How soon a change is found\n\nCounts from the change to the flag, in "
               "brackets the changes found within fifteen days, of those who had no flag before. "
               "One block, everybody changes.\n\n" +
               delays(few, effort.seed + 84).markdown() + "\n## Advice\n\n" +
               advice.markdown()}};
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
