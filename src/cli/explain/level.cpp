// SPDX-License-Identifier: Apache-2.0
// How a pruner's level came about: every day's counts, every night, every piece of advice.
#include <cmath>

#include "advice/worksheet/standing_sheet.h"
#include "base/text.h"
#include "cli/explain/steps.h"

namespace nthtree::cli {
namespace {

void explain_day(const advice::LevelStep& step, double factor, double target, double overnight,
                 Worksheet& sheet) {
  if (step.n == 0) return;
  const std::string day = day_text(step.day), n = num(step.n);
  sheet.equation(day + ", mean share of the target", "(" + num(step.tags) + " × " + num(factor) +
                 " + " + num(step.checks) + ") ÷ (" + n + " × " + num(target) + ")",
                 step.mean_share, "(tags with what is missed, and re-counts)");
  sheet.equation(day + ", variance of one count", num(step.spread) + " × " + num(step.inflation),
                 step.variance_of_one, "(relative to the level: spread, neighbours alike)");
  const std::string one = num(step.variance_of_one);
  if (step.flat) {
    sheet.equation(day + ", level", num(step.mean_share) + " × 1", step.mean_after);
    sheet.equation(day + ", its variance", one + " ÷ " + n, step.variance_after);
    return;
  }
  const std::string before = num(step.variance_before);
  if (step.night_variance > 0) {
    sheet.equation(day + ", what the nights before added to the variance",
                   num(step.nights) + " × " + num(overnight) + " × " + num(overnight),
                   step.night_variance,
                   "(a level may move by 6 % a night, 7 nights at most; common practice)");
  }
  sheet.equation(day + ", level", "(" + num(step.mean_before) + " ÷ " + before + " + " + n + " × " +
                 num(step.mean_share) + " ÷ " + one + ") ÷ (1 ÷ " + before + " + " + n + " ÷ " +
                 one + ")", step.mean_after);
  sheet.equation(day + ", its variance", "1 ÷ (1 ÷ " + before + " + " + n + " ÷ " + one + ")",
                 step.variance_after);
}

void explain_told(const advice::StandingSheet& work, const advice::LevelStep& step, double target,
                  Worksheet& sheet) {
  if (step.variance_before > work.flat_variance) return;
  const std::string level = "exp(" + plain(step.mean_before) + ")";
  sheet.line("told to leave " + counted(std::fabs(step.told_spurs), "spur") +
             (step.told_spurs > 0 ? " fewer" : " more"));
  sheet.equation("ln(level) moves by", num(work.advice_taken) + " × ln(max(0.2 × " + level +
                 "; " + level + " - " + num(step.told_spurs) + " ÷ " + num(target) + ") ÷ " +
                 level + ")", step.told_log, "(three quarters of what was told)");
  const double told = step.told_log / work.advice_taken;
  const std::string share = num(work.advice_share_sd), sd = num(work.advice_sd);
  sheet.equation("its variance", num(step.variance_before) + " + " + share + " × " + num(told) +
                 " × " + share + " × " + num(told) + " + " + sd + " × " + sd, step.variance_after,
                 "(give or take half of it)");
}

}  // namespace

void explain_level(const advice::StandingSheet& work, const advice::PrunerSheet& pruner,
                   Worksheet& sheet) {
  const double factor = pruner.row.counter.ratio.value, target = pruner.row.standing.target.value;
  if (!(target > 0)) return;
  const advice::LevelStep* last_day = nullptr;
  const auto in_logs = [&] {  // a segment ends: from shares to logarithms
    if (!last_day) return;
    const std::string level = num(last_day->mean_after);
    sheet.equation("ln(level)", "ln(" + level + ")", std::log(last_day->mean_after));
    sheet.line("its variance: " + plain(last_day->variance_after) + ", as it is");
    last_day = nullptr;
  };
  for (const advice::LevelStep& step : pruner.steps) {
    switch (step.kind) {
      case advice::LevelStep::Kind::start:
        sheet.line("from other blocks and days: ln(level) " + plain(step.mean_after) +
                   ", variance " + plain(step.variance_after));
        break;
      case advice::LevelStep::Kind::advised:
        in_logs();
        explain_told(work, step, target, sheet);
        break;
      case advice::LevelStep::Kind::day:
        if (step.parts > 0 || !step.looks.empty()) {
          explain_mixed_day(step, sheet);
        } else {
          explain_day(step, factor, target, work.overnight_sd, sheet);
        }
        if (step.n > 0 || !step.looks.empty()) last_day = &step;
        break;
    }
  }
  in_logs();
}

}  // namespace nthtree::cli
