// SPDX-License-Identifier: Apache-2.0
// What an unpruned tree carries, what is to come off it, and what leaving it would cost.
#include <utility>

#include "advice/review/consequences.h"
#include "base/text.h"
#include "cli/explain/steps.h"
#include "orchard/units.h"

namespace nthtree::cli {
namespace {

void explain_counts(const advice::Consequences& what, Worksheet& sheet) {
  const std::vector<double>& counts = what.before_counts;
  const double n = static_cast<double>(counts.size()), mean = what.unpruned_spurs.value;
  std::string sum, squares;
  for (const double x : counts) {
    sum += (sum.empty() ? "" : " + ") + num(x);
    squares += (squares.empty() ? "" : " + ") + num(x - mean) + " × " + num(x - mean);
  }
  sheet.equation("mean", "(" + sum + ") ÷ " + num(n), mean);
  if (n < 2) {
    return sheet.line("one tree: its mean is taken to lie within half and twice, " +
                      plain(what.unpruned_spurs.low) + " to " + plain(what.unpruned_spurs.high));
  }
  sheet.equation("standard deviation", "√((" + squares + ") ÷ " + num(n - 1) + ")",
                 what.before_sd);
  const std::string half = "t(0.95; " + num(n - 1) + ") × " + num(what.before_sd) + " ÷ √(" +
                           num(n) + ")";
  sheet.equation("low", num(mean) + " - " + half, what.unpruned_spurs.low);
  sheet.equation("high", num(mean) + " + " + half, what.unpruned_spurs.high);
}

void explain_thinning(const ExplainedBlock& it, const advice::Consequences& what,
                      Worksheet& sheet) {
  const orchard::Target& target = it.target.target;
  sheet.line("if nothing were pruned, at one fruitlet set on a flowering spur:");
  sheet.equation("fruitlets to thin by hand on a tree",
                 "max(0; " + num(what.unpruned_spurs.value) + " × " +
                 num(target.floral_fraction.value) + " - " + num(target.fruits_per_tree) + ")",
                 what.fruitlets_to_thin_per_tree);
  const double rate = it.farm->season.farm().hand_thinning_fruitlets_per_hour;
  if (!(rate > 0)) return;
  const double trees = it.us() ? target.trees_per_acre : target.trees_per_ha;
  sheet.equation(it.us() ? "hours of it an acre" : "hours of it a hectare",
                 num(what.fruitlets_to_thin_per_tree) + " × " + num(trees) + " ÷ " + num(rate),
                 it.us() ? orchard::per_acre_from_per_ha(what.thinning_hours_per_ha)
                         : what.thinning_hours_per_ha, "(fruitlets thinned an hour)");
}

}  // namespace

void explain_unpruned(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("What an unpruned tree carries");
  const auto what = advice::consequences(it.farm->season, it.block->id);
  if (what.before_counts.empty()) return sheet.line("no unpruned tree was counted");
  explain_counts(what, sheet);
  const double leave = it.target.target.spurs_to_leave_per_tree.value;
  const std::string carries = num(what.unpruned_spurs.value);
  sheet.equation("to take off", "max(0; " + carries + " - " + num(leave) + ")",
                 what.spurs_to_take.value,
                 "(about " + base::print("%.0f of ", what.limbs_worth_to_take) +
                 counted(it.block->block->limbs_per_tree, "limb", "limbs") + ")");
  sheet.equation("over target, as a share of it", carries + " ÷ " + num(leave) + " - 1",
                 what.over_fraction_unpruned);
  for (const auto& [name, year] : {std::pair{"to take off in an on-year", what.on_year},
                                   {"to take off in an off-year", what.off_year}}) {
    sheet.equation(name, "max(0; " + carries + " - " + num(year.spurs_to_leave) + ")",
                   year.spurs_to_take);
  }
  explain_thinning(it, what, sheet);
}

}  // namespace nthtree::cli
