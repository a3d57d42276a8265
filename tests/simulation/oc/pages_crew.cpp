// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "advice/internal/context.h"
#include "advice/internal/next_tree_model.h"
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
  plan.spreads_differ = true;
  plan.days = std::max(20, effort.days / 10);
  CrewPlan many = plan;  // few verdicts are as unsure as that
  many.days = 8 * plan.days;
  return {{"crew.md",
           "# A crew judged together, and a past day\n\nPruners differ by 20 %, a pruner moves by "
           "6 % overnight, spread 25 %. Alone: each from "
           "their own counts of the day, with nothing known before. A pruner counts until the "
           "first verdict, 80 trees at most.\n\n" + table.markdown()},
          {"calibration.md",
           "# Is 90 % sure right nine times in ten?\n\nA verdict is right when it is fair: to "
           "change, more than half a tolerance off that way; on target, less than one and a half "
           "off. Crews of twelve with ten counts each yesterday; spreads of 15, 25, 35 and 45 % in "
           "turn, which nobody is told.\n\n## First verdicts at the lowest setting, 80 % sure\n\n" +
               calibration_table(calibrate_verdicts(many, 0.8, effort.seed + 51)) +
               "\n## First verdicts at the default, 95 % sure\n\n" +
               calibration_table(calibrate_verdicts(plan, 0.95, effort.seed + 52)) +
               "\n## Standings: \"over the band\" and \"not over it\", after every count\n\n" +
               calibration_table(calibrate_standings(plan, effort.seed + 53))}};
}

namespace {

// Delays of one chart, all after the same counts in control.
void add_delays(const std::string& name, Chart chart, const DriftPlan& plan, const Effort& effort,
                double optimal_step, Table& table) {
  DriftPlan check = plan;
  check.runs = plan.runs / 4;
  const auto step = [&](double size) {
    return delay_of_step(chart, plan, size, effort.seed + 61).mean;
  };
  const double found = step(0.15), before = plan.counts_before;
  // With the mean learnt from m counts, r counts after the change tell no more than r m / (r + m)
  // would with the mean known.
  const double bound = before > optimal_step ? optimal_step / (1 - optimal_step / before) : 0;
  const bool learns = chart == Chart::ours || chart == Chart::learning;
  table.add({name, learns ? number(before, 0) : "",
             number(run_length_in_control(chart, check, effort.seed + 62), 0),
             number(step(0.10), 1), number(found, 1), number(step(0.25), 1),
             number(step(-0.15), 1),
             number(delay_of_slope(chart, plan, 0.003, effort.seed + 63).mean, 1),
             number(found / optimal_step, 2),
             !learns ? "" : bound > 0 ? number(bound, 1) : "never"});
}

}  // namespace

std::vector<Page> drift_pages(const Effort& effort) {
  Table table{{"chart", "counts before", "run length in control", "+10 %", "+15 %", "+25 %",
               "−15 %", "slow, +0.3 % a count", "+15 %: × optimal", "bound, mean learnt"}, {}};
  DriftPlan plan;
  plan.runs = effort.days;
  const double best = delay_of_step(Chart::optimal, plan, 0.15, effort.seed + 61).mean;
  DriftPlan check = plan;
  check.runs = std::max(50, effort.days / 4);
  const double wanted = run_length_in_control(Chart::optimal, check, effort.seed + 62);
  const auto same_length = [&](Chart chart) {
    return set_to_run_length(chart, check, wanted, effort.seed + 65);
  };
  for (int before : {20, 50, 100, 200}) {
    plan.counts_before = check.counts_before = before;
    add_delays("ours", Chart::ours, plan, effort, best, table);
    for (Chart chart : {Chart::ours, Chart::learning}) {
      DriftPlan set = same_length(chart);
      set.runs = plan.runs;
      add_delays(chart == Chart::ours ? "ours, at the optimal one's run length"
                                      : "likelihood ratio, mean learnt, the same",
                 chart, set, effort, best, table);
    }
  }
  plan.counts_before = 50;
  add_delays("optimal CUSUM, mean and spread known", Chart::optimal, plan, effort, best, table);
  add_delays("three-sigma", Chart::shewhart, plan, effort, best, table);
  add_delays("EWMA, 0.2 and 2.86", Chart::ewma, plan, effort, best, table);
  Plot plot{"Counts until a step is found (200 counts before)", "step, %", "counts", 10, 50, 0, 60,
            {{"ours", {}, {}}, {"optimal CUSUM", {}, {}}, {"three-sigma", {}, {}},
             {"EWMA", {}, {}}}, {15}};
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
           "alarmed before the change; the optimal one is set to a run length of 400 in control, "
           "ours to 400 as if its mean were known. The optimal chart is told the mean and the "
           "spread; ours learns the mean from the counts before, and so does the likelihood-ratio chart beside it (Pollak and "
           "Siegmund 1991): both also set, by simulation, to the run length the optimal one "
           "measures. \"Bound, mean learnt\": the optimal delay r₀ as r = r₀ m ÷ (m − r₀), as much "
           "information with the mean learnt from those m counts alone; never, where m ≤ r₀.\n\n![delays](drift_delay.svg)\n\n" + table.markdown()},
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
