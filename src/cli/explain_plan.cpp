// SPDX-License-Identifier: Apache-2.0
// Which trees are counted and what that costs; how the counted ones differ; when enough are
// counted by the books' stop lines, beside our own rule.
#include <algorithm>
#include <cmath>

#include "advice/review/crew_board.h"
#include "advice/next/sampling_plan.h"
#include "advice/known/tag_spread.h"
#include "advice/judged/standing.h"
#include "base/text.h"
#include "cli/explain_steps.h"
#include "cli/reason_text.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

constexpr double aimed_half_width = 0.10;

std::string told(const advice::PlanWarning& warning) {
  const int stride = warning.stride, row = warning.row_length;
  const std::string better = base::print("; every %dth is better", warning.better_stride);
  switch (warning.problem) {
    case advice::PlanProblem::too_few_trees:
      return base::print("fewer than 6 trees of the block are counted") + better;
    case advice::PlanProblem::stride_near_row:
      return base::print("every %dth creeps along rows of %d: its %lld trees stand in stripes, and "
                         "%d neighbouring places of a row, more than half, are never met", stride,
                         row, static_cast<long long>(warning.trees), warning.unseen) + better;
    case advice::PlanProblem::stride_divides_row:
    case advice::PlanProblem::stride_multiple_of_row:
    case advice::PlanProblem::stride_shares_factor: break;
  }
  const char* how = warning.problem == advice::PlanProblem::stride_divides_row
                        ? "divides rows"
                        : warning.problem == advice::PlanProblem::stride_multiple_of_row
                        ? "is a multiple of rows" : "shares a factor with rows";
  return base::print("a stride of %d %s of %d: places of a row ever looked at %d ÷ %d, that is "
                     "%d, under two thirds of the %lld that its trees could stand at", stride, how,
                     row, row, row / warning.places_met, warning.places_met,
                     static_cast<long long>(std::min<std::int64_t>(row, warning.trees))) + better;
}

void explain_stride(const orchard::Block& block, Worksheet& sheet) {
  const auto tagged = advice::tagged_trees(block, block.stride, block.stride_start);
  sheet.line(base::print("%d rows, %lld trees; every %dth, from tree %d on, along the rows: %zu "
                         "trees in all", block.rows, static_cast<long long>(block.trees()),
                         block.stride, block.stride_start, tagged.size()));
  for (const auto& warning : advice::check_stride(block, block.stride)) {
    sheet.line("warning: " + told(warning));
  }
}

// What a closer or a looser mean would take.
void explain_precisions(const orchard::Block& block, double cv, double wage, Worksheet& sheet) {
  TextTable table({">the mean within ± %", ">every", ">trees", ">rows", ">minutes", ">cost"});
  for (const double percent : {20.0, 15.0, 10.0, 7.5, 5.0}) {
    const auto plan = advice::plan_sampling(
        block, {.relative_half_width = percent / 100, .cv = cv}, advice::seed_of(block.id));
    table.row({plain(percent), std::to_string(plan.stride), std::to_string(plan.trees),
               std::to_string(plan.rows_met), base::print("%.0f", plan.minutes),
               wage > 0 ? base::print("%.2f", plan.minutes / 60 * wage) : "no wage set"});
  }
  sheet.block(table.text("  "));
}

constexpr std::size_t trees_listed = 24;

std::string listed(const std::vector<orchard::TreeAddress>& trees) {
  std::string text;
  for (std::size_t i = 0; i < std::min(trees_listed, trees.size()); ++i) {
    text += base::print("%s%d/%d", i ? ", " : "", trees[i].row, trees[i].tree);
  }
  return text + (trees.size() > trees_listed ? ", …" : "");
}

void explain_wish(const ExplainedBlock& it, double cv, Worksheet& sheet) {
  const orchard::Block& block = *it.block->block;
  const advice::PlanWish wish{.relative_half_width = aimed_half_width, .cv = cv};
  const auto plan = advice::plan_sampling(block, wish, advice::seed_of(block.id));
  sheet.line(base::print("wanted: the block's mean within ±%.0f %% at 90 %%, trees differing by "
                         "%s of it", 100 * wish.relative_half_width, plain(cv).c_str()));
  sheet.line(base::print("plan: every %dth tree, from tree %d on (drawn by lot): %d trees in %d "
                         "of %d rows", plan.stride, plan.start, plan.trees, plan.rows_met,
                         block.rows));
  sheet.line("row/tree: " + listed(plan.tagged));
  const std::string n = num(plan.trees);
  if (plan.trees >= 2) {
    sheet.equation("half width, as a share of the mean", "t(0.95; " + num(plan.trees - 1) +
                   ") × " + num(cv) + " × √((1 - " + n + " ÷ " +
                   num(static_cast<double>(block.trees())) + ") ÷ " + n + ")",
                   plan.relative_half_width);
  }
  sheet.equation("minutes of counting", n + " × " + num(wish.seconds_per_count) + " ÷ 60",
                 plan.minutes);
  const double wage = it.farm->season.farm().wage_per_hour;
  if (wage > 0) {
    sheet.equation("what it costs", num(plan.minutes) + " ÷ 60 × " + num(wage),
                   plan.minutes / 60 * wage);
  }
  explain_precisions(block, cv, wage, sheet);
}

std::string fit_told(double chi_squared, double df, double p) {
  if (df <= 0) return "too few counts to tell how well";
  return base::print("χ² %.2f on %.0f degrees of freedom, p %.2g: %s", chi_squared, df, p,
                     p < 0.05 ? "it does not fit well" : "it fits");
}

void explain_shape(const advice::TagSpread& spread, Worksheet& sheet) {
  if (spread.poisson) {
    sheet.line("no more spread than Poisson's; no finite k fits; " +
               fit_told(spread.nb_chi_squared, spread.nb_df, spread.nb_p));
  } else {
    if (spread.k_moments > 0) {
      sheet.equation("negative binomial, k by moments", num(spread.mean) + " × " +
                     num(spread.mean) + " ÷ (" + num(spread.sd) + " × " + num(spread.sd) + " - " +
                     num(spread.mean) + ")", spread.k_moments);
    }
    sheet.line(base::print("k by maximum likelihood %s ± %s; %s", plain(spread.k).c_str(),
                           plain(spread.k_se).c_str(),
                           fit_told(spread.nb_chi_squared, spread.nb_df, spread.nb_p).c_str()));
  }
  if (!(spread.log_sd > 0)) return sheet.line("log-normal: not with a tree of no spurs");
  sheet.line(base::print("log-normal: logarithms %s ± %s; %s", plain(spread.log_mean).c_str(),
                         plain(spread.log_sd).c_str(),
                         fit_told(spread.ln_chi_squared, spread.ln_df, spread.ln_p).c_str()));
  sheet.line(base::print("likelier: %s, by a factor exp(%.2f)",
                         spread.shape == advice::SpreadShape::log_normal ? "log-normal" :
                         spread.poisson ? "Poisson" : "negative binomial",
                         std::fabs(spread.likelihood_gain)));
}

void explain_errors(const advice::TagSpread& spread, double trees, Worksheet& sheet) {
  const std::string n = num(spread.counts);
  sheet.equation("finite population correction", "1 - " + n + " ÷ " + num(trees),
                 spread.correction);
  sheet.equation("standard error, as if drawn at random", "√(" + num(spread.correction) + ") × " +
                 num(spread.sd) + " ÷ √(" + n + ")", spread.se_random);
  sheet.equation("by differences of trees that follow each other",
                 "√(" + num(spread.correction) + " ÷ " + n + " × " +
                 num(spread.successive_squares) + " ÷ (2 × (" + n + " - 1)))",
                 spread.se_successive, "(Wolter's v2; smaller where neighbours are alike)");
}

void told(const advice::StopLine& line, const advice::TagSpread& spread, Worksheet& sheet) {
  sheet.line(line.reached
                 ? "reached: stop estimating"
                 : base::print("not reached: about %.0f trees more",
                               std::ceil(line.trees_needed - spread.counts)));
}

void explain_lines(const advice::TagSpread& spread, Worksheet& sheet) {
  const std::string d = num(spread.precision), m = num(spread.mean), n = num(spread.counts);
  sheet.equation("relative standard error aimed at", num(aimed_half_width) + " ÷ 1.64485",
                 spread.precision);
  sheet.line(base::print("laws of variance against mean, from %d days of a person on this farm",
                         spread.groups));
  const advice::StopLine& green = spread.green;
  if (green.known) {
    const std::string a = num(green.first), b = num(green.second);
    sheet.equation("Green 1970, trees needed", a + " × exp((" + b + " - 2) × ln(" + m + ")) ÷ (" +
                   d + " × " + d + ")", green.trees_needed,
                   "(Taylor: variance is " + plain(green.first) + " × mean^" +
                   plain(green.second) + ")");
    if (green.total_needed > 0) {
      sheet.equation("Green's line at " + n + " trees", "exp((ln(" + d + " × " + d + " ÷ " + a +
                     ") + (" + b + " - 1) × ln(" + n + ")) ÷ (" + b + " - 2))",
                     green.total_needed, "spurs in all; counted: " + plain(spread.total));
    }
    told(green, spread, sheet);
  } else {
    sheet.line("Green 1970: not known yet; the days' means are too few or too much alike for "
               "Taylor's law");
  }
  const advice::StopLine& kuno = spread.kuno;
  const std::string alpha = num(kuno.first), beta = num(kuno.second);
  sheet.equation("Kuno 1969, trees needed", "((" + alpha + " + 1) ÷ " + m + " + " + beta +
                 " - 1) ÷ (" + d + " × " + d + ")", kuno.trees_needed,
                 "(Iwao: variance is (α + 1) mean + (β - 1) mean²)");
  // With few trees over the least number the line runs off: six printed digits would not carry it.
  if (kuno.total_needed > 0 && spread.counts > 1.3 * (kuno.second - 1) / spread.precision /
                                                   spread.precision) {
    sheet.equation("Kuno's line at " + n + " trees", "(" + alpha + " + 1) ÷ (" + d + " × " + d +
                   " - (" + beta + " - 1) ÷ " + n + ")", kuno.total_needed,
                   "spurs in all; counted: " + plain(spread.total));
  }
  told(kuno, spread, sheet);
}

void explain_own_rule(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.line("our own rule stops a decision, not an estimate, and for each pruner (below):");
  for (const auto& row : advice::crew_board(it.farm->season, it.block->id, it.farm->now_ms)) {
    if (row.standing.counts == 0) continue;
    const bool open = advice::remedy_of(row.verdict) == advice::Remedy::count_more;
    sheet.line(base::print("  %s: %s after %d counts%s", row.person.c_str(),
                           word_of(row.verdict).c_str(), row.standing.counts,
                           open ? base::print(", about %.0f more",
                                              std::ceil(row.verdict.expected_more_trees)).c_str()
                                : ""));
  }
}

}  // namespace

void explain_plan(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("Which trees are counted");
  explain_stride(*it.block->block, sheet);
  const auto standings =
      advice::block_standings(it.farm->season, it.block->id, it.farm->now_ms);
  explain_wish(it, standings.block_standing.tree_log_sd, sheet);
}

void explain_spread(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("How trees differ, and how well their mean is known");
  const auto spread = advice::tag_spread(it.farm->season, it.block->id, it.farm->now_ms,
                                           aimed_half_width);
  if (spread.counts < 2) return sheet.line("fewer than two trees are counted");
  sheet.equation("mean of the tags as written", num(spread.total) + " ÷ " + num(spread.counts),
                 spread.mean);
  sheet.line("standard deviation " + plain(spread.sd));
  sheet.equation("coefficient of variation", num(spread.sd) + " ÷ " + num(spread.mean), spread.cv);
  if (!(spread.mean > 0)) return;
  explain_shape(spread, sheet);
  explain_errors(spread, static_cast<double>(it.block->block->trees()), sheet);
  explain_lines(spread, sheet);
  explain_own_rule(it, sheet);
}

}  // namespace nthtree::cli
