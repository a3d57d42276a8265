// SPDX-License-Identifier: Apache-2.0
// Which trees are counted, and what that costs.
#include <algorithm>
#include <cmath>

#include "advice/next/sampling_plan.h"
#include "advice/judged/standing.h"
#include "base/text.h"
#include "cli/explain/steps.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

std::string told(const advice::PlanWarning& warning) {
  const int stride = warning.stride, row = warning.row_length;
  const std::string better = "; every " + ordinal(warning.better_stride) + " is better";
  switch (warning.problem) {
    case advice::PlanProblem::too_few_trees:
      return base::print("fewer than 6 trees of the block are counted") + better;
    case advice::PlanProblem::stride_near_row:
      return "every " + ordinal(stride) +
             base::print(" creeps along rows of %d: its %lld trees stand in stripes, and %d "
                         "neighbouring places of a row, more than half, are never met", row,
                         static_cast<long long>(warning.trees), warning.unseen) + better;
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
  sheet.line(counted(block.rows, "row") + ", " +
             counted(static_cast<double>(block.trees()), "tree") + "; every " +
             ordinal(block.stride) + ", from tree " + num(block.stride_start) +
             " on, along the rows: " + counted(static_cast<double>(tagged.size()), "tree") +
             " in all");
  for (const auto& warning : advice::check_stride(block, block.stride)) {
    sheet.line("warning: " + told(warning));
  }
}

// What a closer or a looser mean would take.
void explain_precisions(const advice::Planting& planting, double cv, double wage,
                        Worksheet& sheet) {
  TextTable table({">the mean within ± %", ">every", ">trees", ">rows", ">minutes", ">cost"});
  for (const double percent : {20.0, 15.0, 10.0, 7.5, 5.0}) {
    const auto plan = advice::plan_sampling(
        planting, {.relative_half_width = percent / 100, .cv = cv},
        advice::seed_of(planting.block()->id));
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
  const advice::PlanWish wish{.relative_half_width = explained_half_width, .cv = cv};
  const advice::Planting planting = advice::planting_of(*it.block, it.farm->now_ms);
  const auto plan = advice::plan_sampling(planting, wish, advice::seed_of(block.id));
  sheet.line(base::print("wanted: the block's mean within ±%.0f %% at 90 %%, trees differing by "
                         "%s of it", 100 * wish.relative_half_width, plain(cv).c_str()));
  sheet.line("plan: every " + ordinal(plan.stride) + " tree, from tree " + num(plan.start) +
             " on (drawn by lot): " + counted(plan.trees, "tree") + " in " + num(plan.rows_met) +
             " of " + counted(block.rows, "row"));
  sheet.line("row/tree: " + listed(plan.tagged));
  const std::string n = num(plan.trees);
  if (plan.trees >= 2) {
    sheet.equation("half width, as a share of the mean", "t(0.95; " + num(plan.trees - 1) +
                   ") × " + num(cv) + " × √((1 - " + n + " ÷ " +
                   num(static_cast<double>(planting.bearing())) + ") ÷ " + n + ")",
                   plan.relative_half_width);
  }
  sheet.equation("minutes of counting", n + " × " + num(wish.seconds_per_count) + " ÷ 60",
                 plan.minutes);
  const double wage = it.farm->season.farm().wage_per_hour;
  if (wage > 0) {
    sheet.equation("what it costs", num(plan.minutes) + " ÷ 60 × " + num(wage),
                   plan.minutes / 60 * wage);
  }
  explain_precisions(planting, cv, wage, sheet);
}

}  // namespace

void explain_plan(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("Which trees are counted");
  explain_stride(*it.block->block, sheet);
  const auto standings =
      advice::block_standings(it.farm->season, it.block->id, it.farm->now_ms);
  explain_wish(it, standings.block_standing.tree_log_sd, sheet);
}

}  // namespace nthtree::cli
