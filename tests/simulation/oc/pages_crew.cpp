// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "advice/context.h"
#include "advice/next_tree_model.h"
#include "crew.h"
#include "day.h"
#include "drifting.h"
#include "pages.h"
#include "report.h"

namespace nthtree::oc {
namespace {

std::string calibration_table(const std::vector<Calibration>& bins) {
  Table table{{"said", "verdicts", "said on average", "right"}, {}};
  for (const Calibration& bin : bins) {
    if (bin.verdicts == 0) continue;
    table.add({percent(bin.low, 1) + " … " + percent(std::min(bin.high, 1.0), 1),
               number(bin.verdicts, 0), percent(bin.said), percent(bin.right)});
  }
  return table.markdown();
}

}  // namespace

std::vector<Page> crew_pages(const Effort& effort) {
  Table table{{"crew", "counts each yesterday", "alone: trees a right verdict", "with the crew",
               "saved", "alone: wrong", "crew: wrong", "crew: told to change within ½ t"}, {}};
  for (int pruners : {1, 4, 12, 40}) {
    for (int yesterday : {0, 4, 10, 20}) {
      CrewPlan plan;
      plan.pruners = pruners;
      plan.counts_yesterday = yesterday;
      plan.days = std::max(4, effort.days / (pruners > 12 ? 200 : 3 * pruners + 10));
      const CrewRates alone = simulate_crew(plan, false, effort.seed + 41);
      const CrewRates crew = simulate_crew(plan, true, effort.seed + 41);
      table.add({number(pruners, 0), number(yesterday, 0), number(alone.trees_per_right, 1),
                 number(crew.trees_per_right, 1),
                 percent(1 - crew.trees_per_right / alone.trees_per_right, 0),
                 percent(alone.wrong), percent(crew.wrong), percent(crew.told_within_half)});
    }
  }
  CrewPlan plan;
  plan.days = std::max(20, effort.days / 10);
  return {{"crew.md",
           "# A crew judged together, and a past day\n\nPruners differ by 20 %, a pruner moves by "
           "6 % overnight, spread 25 %. Alone: each from "
           "their own counts of the day, with nothing known before. A pruner counts until the "
           "first verdict, 80 trees at most.\n\n" + table.markdown()},
          {"calibration.md",
           "# Is 90 % sure right nine times in ten?\n\nA verdict is right when it is fair: to "
           "change, more than half a tolerance off that way; on target, less than one and a half "
           "off.\n\n## First verdicts at the lowest setting, 80 % sure\n\n" +
               calibration_table(calibrate_verdicts(plan, 0.8, effort.seed + 51)) +
               "\n## First verdicts at the default, 95 % sure\n\n" +
               calibration_table(calibrate_verdicts(plan, 0.95, effort.seed + 52)) +
               "\n## Standings: \"over the band\" and \"not over it\", after every count\n\n" +
               calibration_table(calibrate_standings(plan, effort.seed + 53))}};
}

std::vector<Page> drift_pages(const Effort& effort) {
  Table table{{"chart", "counts before", "run length in control", "+10 %", "+15 %", "+25 %",
               "−15 %", "slow, +0.3 % a count", "+15 %: × optimal", "bound, mean learnt"}, {}};
  const auto row = [&](const std::string& name, Chart chart, int before) {
    DriftPlan plan, check;
    plan.counts_before = check.counts_before = before;
    plan.runs = effort.days;
    check.runs = effort.days / 4;
    const double best = delay_of_step(Chart::optimal, plan, 0.15, effort.seed + 61).mean;
    const double step = delay_of_step(chart, plan, 0.15, effort.seed + 61).mean;
    // With the mean learnt from m counts, r counts after the change tell no more than
    // r m / (r + m) would with the mean known.
    const double bound = before > best ? best / (1 - best / before) : 0;
    table.add({name, number(before, 0),
               number(run_length_in_control(chart, check, effort.seed + 62), 0),
               number(delay_of_step(chart, plan, 0.10, effort.seed + 61).mean, 1),
               number(step, 1), number(delay_of_step(chart, plan, 0.25, effort.seed + 61).mean, 1),
               number(delay_of_step(chart, plan, -0.15, effort.seed + 61).mean, 1),
               number(delay_of_slope(chart, plan, 0.003, effort.seed + 63).mean, 1),
               number(step / best, 2), chart != Chart::ours ? "" : bound > 0 ? number(bound, 1)
                                                                             : "never"});
  };
  for (int before : {20, 50, 100, 200}) row("ours", Chart::ours, before);
  row("optimal CUSUM, mean and spread known", Chart::optimal, 50);
  row("three-sigma", Chart::shewhart, 50);
  row("EWMA, 0.2 and 2.86", Chart::ewma, 50);
  Plot plot{"Counts until a step is found (200 counts before)", "step, %", "counts", 10, 50, 0, 60,
            {{"ours", {}, {}}, {"optimal CUSUM", {}, {}}, {"three-sigma", {}, {}},
             {"EWMA", {}, {}}}, {15}};
  DriftPlan plan;
  plan.counts_before = 200;
  plan.runs = effort.days / 2;
  for (double step : {0.10, 0.125, 0.15, 0.20, 0.25, 0.35, 0.50}) {
    const Chart charts[] = {Chart::ours, Chart::optimal, Chart::shewhart, Chart::ewma};
    for (std::size_t i = 0; i < 4; ++i) {
      plot.lines[i].x.push_back(100 * step);
      plot.lines[i].y.push_back(delay_of_step(charts[i], plan, step, effort.seed + 64).mean);
    }
  }
  return {{"drift.md",
           "# How soon a change is found\n\nSpread 25 %. Delays in counts, of charts that had not "
           "alarmed before the change; ours and the optimal one are set to a run length of 400 "
           "in control. The optimal chart is told the mean and the spread; ours learns the mean "
           "from the counts before.\n\n![delays](drift_delay.svg)\n\n" + table.markdown()},
          {"drift_delay.svg", plot.svg()}};
}

namespace {

constexpr int trees_a_day = 120;

struct Walked {
  double counted = 0, pruned = 0, told = 0;
};

// One pruner's day with the app's own next tree: close at first, wide once all is steady.
Walked walk_adaptive(double ratio, int planned, int days, std::uint64_t seed) {
  ledger::BlockSeason block;
  block.block.emplace();
  block.block->rows = 40;
  block.block->trees_per_row = 97;
  advice::BlockContext context;
  context.block = &block;
  context.settings.stride = planned;
  context.settings.stride_floor = 2 * planned;
  Walked sum;
  base::Random seeds(seed);
  Ours ours({}, {.spread_df = 12});
  for (int day = 0; day < days; ++day) {
    TreeLine line({.ratio = ratio}, seeds.next());
    ours.restart();
    bool told = false;
    int counted = 0, tree = 3;  // the first count comes among the first trees
    while (tree <= trees_a_day && !told) {
      told = ours.add(line.next()) != VerdictKind::count_more;
      ++counted;
      if (told) break;
      const advice::Standing standing = ours.standing();
      const advice::Verdict verdict = advice::judge(standing, ours.settings());
      tree += advice::stride_for(context, standing, verdict).stride;
    }
    sum.counted += counted;
    sum.pruned += std::min(tree, trees_a_day);
    sum.told += told;
  }
  return {sum.counted / days, sum.pruned / days, sum.told / days};
}

}  // namespace

std::vector<Page> stride_pages(const Effort& effort) {
  Table table{{"true mean", "stride", "trees counted", "trees pruned meanwhile",
               "of a day of 120, share", "verdict within the day"}, {}};
  for (double ratio : {1.0, 1.15, 1.225, 1.4, 2.0, 3.0}) {
    for (int stride : {1, 5, 10, 20, 50, 100}) {
      Ours ours({}, {.spread_df = 12});
      const int counts = 120 / stride;
      if (counts < 1) continue;
      const Rates day = simulate_days(ours, {.ratio = ratio}, {effort.days / 4, counts, true},
                                      effort.seed + 71);
      table.add({signed_percent(ratio), number(stride, 0), number(day.trees_mean, 1),
                 number(day.trees_mean * stride, 0), percent(day.trees_mean * stride / 120, 0),
                 percent(1 - day.first_none)});
    }
    for (int planned : {50, 100}) {
      const Walked day = walk_adaptive(ratio, planned, effort.days / 4, effort.seed + 72);
      table.add({signed_percent(ratio), "adaptive, planned " + number(planned, 0),
                 number(day.counted, 1), number(day.pruned, 0),
                 percent(day.pruned / trees_a_day, 0), percent(day.told)});
    }
  }
  return {{"stride.md",
           "# What a stride costs\n\nTrees pruned before the first verdict, a day of 120 trees, "
           "spread 25 % known from 12 trees, nothing known of the pruner. At every 50th or 100th "
           "tree one day of one pruner tells only what a count or two can: far off, or nothing. "
           "That is what earlier days, the crew and the adaptive stride are for.\n\n" +
               table.markdown()}};
}

}  // namespace nthtree::oc
