// SPDX-License-Identifier: Apache-2.0
// The share of spurs that flower: trees as clusters, upper against lower branches, what is still
// to be cut.
#include <cmath>

#include "advice/worksheet/floral_sheet.h"
#include "base/text.h"
#include "cli/explain/steps.h"
#include "cli/text_table.h"

namespace nthtree::cli {
namespace {

void explain_interval(const advice::FloralRatio& ratio, double trees, Worksheet& sheet) {
  const double p = ratio.fraction.value;
  const std::string n = num(ratio.buds), both = num(p) + " × " + num(1 - p);
  sheet.equation("variance between trees", num(trees) + " ÷ " + num(trees - 1) + " × " +
                 num(ratio.squares) + " ÷ (" + n + " × " + n + ")", ratio.variance,
                 "(Cochran 1977, 3.12)");
  sheet.equation("standard error", "√(" + num(ratio.variance) + ")", std::sqrt(ratio.variance),
                 "of the floral fraction");
  sheet.equation("design effect", num(ratio.variance) + " ÷ (" + both + " ÷ " + n + ")",
                 ratio.design_effect, "(against as many unrelated buds)");
  sheet.equation("logit", "ln(" + num(p) + " ÷ " + num(1 - p) + ")", ratio.logit);
  sheet.equation("its 90 % half width", "t(0.95; " + num(ratio.df) + ") × √(" +
                 num(ratio.variance) + ") ÷ (" + both + ")", ratio.half_width);
  const std::string at = num(ratio.drawn_in_at);
  sheet.equation("drawn in", at + " × arsinh(" + num(ratio.half_width) + " ÷ " + at + ")",
                 ratio.drawn_in, "(arsinh x = ln(x + √(x × x + 1)); " + at +
                 " by coverage, between the plain interval and Wilson's)");
  sheet.equation("floral fraction, low", "1 ÷ (1 + exp(" + plain(ratio.drawn_in - ratio.logit) +
                 "))", ratio.fraction.low);
  sheet.equation("floral fraction, high", "1 ÷ (1 + exp(" + plain(-ratio.drawn_in - ratio.logit) +
                 "))", ratio.fraction.high);
}

// The table of trees, and the interval from it: on the logit, with the variance between trees.
void explain_ratio(const advice::FloralSheet& work, Worksheet& sheet) {
  const advice::FloralRatio& ratio = work.ratio;
  TextTable table({"row", "tree", ">floral", ">buds", ">expected", ">square of the difference"});
  for (const advice::FloralTree& tree : work.trees) {
    table.row({std::to_string(tree.tree.row), std::to_string(tree.tree.tree), plain(tree.floral),
               plain(tree.buds), base::print("%.3f", tree.expected),
               base::print("%.4f", tree.square)});
  }
  sheet.block(table.text("  "));
  sheet.equation("floral fraction", num(ratio.floral) + " ÷ " + num(ratio.buds),
                 ratio.fraction.value);
  if (ratio.shows_spread) {
    return explain_interval(ratio, static_cast<double>(work.trees.size()), sheet);
  }
  sheet.line(base::print("interval %.4g to %.4g: the trees show no spread to work it out from; "
                         "the engine takes the cautious one", ratio.fraction.low,
                         ratio.fraction.high));
}

// Upper against lower branches of the same trees: the table, and the test from it.
void explain_positions(const advice::FloralSheet& work, Worksheet& sheet) {
  const advice::PositionTest& test = work.positions;
  if (!test.known) return sheet.line("upper against lower: two trees with buds of both are wanted");
  TextTable table({"row", "tree", ">upper, floral", ">buds", ">lower, floral", ">buds",
                   ">apart, squared"});
  for (const advice::PositionTree& tree : work.position_trees) {
    table.row({std::to_string(tree.tree.row), std::to_string(tree.tree.tree),
               plain(tree.upper_floral), plain(tree.upper_buds), plain(tree.lower_floral),
               plain(tree.lower_buds), base::print("%.8f", tree.apart_squared)});
  }
  sheet.block(table.text("  "));
  sheet.line("apart: (floral - upper fraction × buds) ÷ all upper buds, less that of the lower");
  sheet.equation("upper fraction", num(test.upper_floral) + " ÷ " + num(test.upper_buds),
                 test.upper);
  sheet.equation("lower fraction", num(test.lower_floral) + " ÷ " + num(test.lower_buds),
                 test.lower);
  if (test.squares <= 0) return sheet.line("all trees show the same difference: no test");
  sheet.equation("standard error of the difference", "√(" + num(test.trees) + " ÷ " +
                 num(test.df) + " × " + num(test.squares) + ")", test.standard_error);
  sheet.equation("t", "(" + num(test.upper) + " - " + num(test.lower) + ") ÷ " +
                 num(test.standard_error), test.t);
  sheet.equation("p, two-sided", "2 × T(" + plain(-std::fabs(test.t)) + "; " + num(test.df) + ")",
                 test.p, test.p < 0.05 ? "(they differ)" : "(no difference beyond chance)");
}

// Trees whose half width would meet the wish, and the branches they are short of.
void explain_wish(const advice::FloralSheet& work, const advice::FloralWish& wish,
                  const std::string& what_for, Worksheet& sheet) {
  const double m = static_cast<double>(work.trees.size());
  const auto told = [&](double trees, double half) {
    sheet.equation("half width with " + num(trees) + " trees",
                   "t(0.95; " + num(trees - 1) + ") × √(" + num(m) + " × " + num(wish.variance) +
                   " ÷ " + num(trees) + ")", half);
  };
  if (wish.at_least_unrelated) {
    sheet.equation("variance, at least that of unrelated buds", num(wish.mixed) + " × " +
                   num(1 - wish.mixed) + " ÷ " + num(work.ratio.buds), wish.variance_least);
  }
  sheet.equation(base::print("wanted %s: ±%.0f %% of the fraction", what_for.c_str(),
                             100 * wish.relative),
                 num(wish.relative) + " × " + num(work.ratio.fraction.value), wish.wanted);
  if (wish.half_width_before > 0) told(wish.trees - 1, wish.half_width_before);
  told(wish.trees, wish.half_width);
  if (wish.branches_more <= 0) return sheet.line("enough trees are cut " + what_for);
  sheet.line(counted(wish.trees - m, "tree") + " more, of " + plain(work.branches_a_tree) +
             " branches each: about " +
             counted(wish.branches_more, "more branch", "more branches") + " " + what_for);
}

}  // namespace

void explain_floral(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("Share of spurs that flower");
  const advice::FloralSheet work = advice::floral_sheet(*it.block);
  if (work.clusters_seen) {
    sheet.line("floral clusters are visible: every spur of " +
               counted(work.cluster_trees, "tree") +
               " looked at; the buds cut open before no longer count");
    return explain_ratio(work, sheet);
  }
  const advice::FloralFraction& floral = work.found;
  if (!floral.known) {
    sheet.line("no buds cut yet; typed in: " + plain(it.target.floral_fraction.value));
    return;
  }
  sheet.line(counted(floral.buds, "bud") + " on " + counted(floral.branches, "branch", "branches") +
             " of " + counted(floral.trees, "tree") +
             base::print(": %d on spurs, %d at the ends of short shoots; ", floral.spur_buds,
                         floral.terminal_buds) +
             counted(floral.lateral_left_out, "lateral bud") + " on one-year wood left out");
  explain_ratio(work, sheet);
  if (floral.trees < 2) {
    return sheet.line("one tree shows no spread: about " +
                      counted(floral.branches_more, "more branch", "more branches") +
                      ", of other trees");
  }
  explain_positions(work, sheet);
  explain_wish(work, work.to_begin, "to begin with", sheet);
  explain_wish(work, work.for_verdicts, "for verdicts", sheet);
}

}  // namespace nthtree::cli
