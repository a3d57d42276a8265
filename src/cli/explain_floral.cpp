// SPDX-License-Identifier: Apache-2.0
// The share of spurs that flower: trees as clusters, upper against lower branches, what is still
// to be cut.
#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

#include "advice/known/floral.h"
#include "base/text.h"
#include "cli/explain_steps.h"
#include "cli/text_table.h"
#include "stats/cluster_proportion.h"
#include "stats/quantiles.h"

namespace nthtree::cli {
namespace {

constexpr double confidence = 0.90;

struct TreeBuds {
  double floral = 0, buds = 0;
};

using PairsByTree = std::map<orchard::TreeAddress, stats::StratumPair>;  // a: upper, b: lower

using BudsByTree = std::map<orchard::TreeAddress, TreeBuds>;

void add_buds(const orchard::TreeAddress& tree, double floral, double buds, BudsByTree& trees) {
  if (buds <= 0) return;
  trees[tree].floral += floral;
  trees[tree].buds += buds;
}

BudsByTree buds_by_tree(const ExplainedBlock& it) {
  BudsByTree trees;
  for (const auto& entry : it.block->bud_samples) {
    if (entry.withdrawn) continue;
    add_buds(entry.body.tree, entry.body.floral(),
             entry.body.floral() + entry.body.vegetative(), trees);
  }
  return trees;
}

BudsByTree clusters_by_tree(const ExplainedBlock& it) {
  BudsByTree trees;
  for (const auto& entry : it.block->cluster_counts) {
    if (entry.withdrawn) continue;
    add_buds(entry.body.tree, entry.body.floral_clusters,
             entry.body.floral_clusters + entry.body.vegetative_spurs, trees);
  }
  return trees;
}

// The table of trees, and the interval from it: on the logit, with the variance between trees.
void explain_ratio(const BudsByTree& trees, const orchard::Estimate& fraction, Worksheet& sheet) {
  double y = 0, n = 0, squares = 0;
  for (const auto& [tree, buds] : trees) y += buds.floral, n += buds.buds;
  const double p = fraction.value;
  TextTable table({"row", "tree", ">floral", ">buds", ">expected", ">square of the difference"});
  for (const auto& [tree, buds] : trees) {
    const double difference = buds.floral - p * buds.buds;
    squares += difference * difference;
    table.row({std::to_string(tree.row), std::to_string(tree.tree), plain(buds.floral),
               plain(buds.buds), base::print("%.3f", p * buds.buds),
               base::print("%.4f", difference * difference)});
  }
  sheet.block(table.text("  "));
  sheet.equation("floral fraction", num(y) + " ÷ " + num(n), p);
  const double m = static_cast<double>(trees.size());
  if (m < 2 || squares <= 0 || p <= 0 || p >= 1) {
    sheet.line(base::print("interval %.4g to %.4g: the trees show no spread to work it out from; "
                           "the engine takes the cautious one", fraction.low, fraction.high));
    return;
  }
  const double v = m / (m - 1) * squares / (n * n);
  sheet.equation("variance between trees", num(m) + " ÷ " + num(m - 1) + " × " + num(squares) +
                 " ÷ (" + num(n) + " × " + num(n) + ")", v, "(Cochran 1977, 3.12)");
  sheet.equation("design effect", num(v) + " ÷ (" + num(p) + " × " + num(1 - p) + " ÷ " + num(n) +
                 ")", v / (p * (1 - p) / n), "(against as many unrelated buds)");
  const double centre = std::log(p / (1 - p));
  const double t = stats::t_quantile((1 + confidence) / 2, m - 1);
  const double half = t * std::sqrt(v) / (p * (1 - p));
  sheet.equation("logit", "ln(" + num(p) + " ÷ " + num(1 - p) + ")", centre);
  sheet.equation("its 90 % half width", "t(0.95; " + num(m - 1) + ") × √(" + num(v) + ") ÷ (" +
                 num(p) + " × " + num(1 - p) + ")", half);
  const double left = stats::drawn_in_half_width(half);
  sheet.equation("drawn in", "2.5 × arsinh(" + num(half) + " ÷ 2.5)", left,
                 "(arsinh x = ln(x + √(x × x + 1)))");
  sheet.equation("floral fraction, low", "1 ÷ (1 + exp(" + plain(left - centre) + "))",
                 fraction.low);
  sheet.equation("floral fraction, high", "1 ÷ (1 + exp(" + plain(-left - centre) + "))",
                 fraction.high);
}

PairsByTree pairs_by_tree(const ExplainedBlock& it) {
  PairsByTree trees;
  for (const auto& entry : it.block->bud_samples) {
    const ledger::BudSample& sample = entry.body;
    const double buds = sample.floral() + sample.vegetative();
    if (entry.withdrawn || buds <= 0) continue;
    auto& pair = trees[sample.tree];
    const bool upper = sample.position == ledger::BranchPosition::upper;
    (upper ? pair.successes_a : pair.successes_b) += sample.floral();
    (upper ? pair.trials_a : pair.trials_b) += buds;
  }
  std::erase_if(trees, [](const auto& tree) {
    return tree.second.trials_a <= 0 || tree.second.trials_b <= 0;
  });
  return trees;
}

// Upper against lower branches of the same trees: the table, and the test from it.
void explain_positions(const PairsByTree& trees, Worksheet& sheet) {
  std::vector<stats::StratumPair> pairs;
  stats::StratumPair all;
  for (const auto& [tree, pair] : trees) {
    pairs.push_back(pair);
    all.successes_a += pair.successes_a, all.trials_a += pair.trials_a;
    all.successes_b += pair.successes_b, all.trials_b += pair.trials_b;
  }
  const auto test = stats::compare_strata(pairs, confidence);
  if (!test) return sheet.line("upper against lower: two trees with buds of both are wanted");
  TextTable table({"row", "tree", ">upper, floral", ">buds", ">lower, floral", ">buds",
                   ">apart, squared"});
  double squares = 0;
  for (const auto& [tree, pair] : trees) {
    const double apart = (pair.successes_a - test->proportion_a * pair.trials_a) / all.trials_a -
                         (pair.successes_b - test->proportion_b * pair.trials_b) / all.trials_b;
    squares += apart * apart;
    table.row({std::to_string(tree.row), std::to_string(tree.tree), plain(pair.successes_a),
               plain(pair.trials_a), plain(pair.successes_b), plain(pair.trials_b),
               base::print("%.8f", apart * apart)});
  }
  sheet.block(table.text("  "));
  sheet.line("apart: (floral - upper fraction × buds) ÷ all upper buds, less that of the lower");
  sheet.equation("upper fraction", num(all.successes_a) + " ÷ " + num(all.trials_a),
                 test->proportion_a);
  sheet.equation("lower fraction", num(all.successes_b) + " ÷ " + num(all.trials_b),
                 test->proportion_b);
  if (squares <= 0) return sheet.line("all trees show the same difference: no test");
  sheet.equation("standard error of the difference", "√(" + num(test->clusters) + " ÷ " +
                 num(test->df) + " × " + num(squares) + ")", test->standard_error);
  sheet.equation("t", "(" + num(test->proportion_a) + " - " + num(test->proportion_b) + ") ÷ " +
                 num(test->standard_error), test->t);
  sheet.equation("p, two-sided", "2 × T(" + plain(-std::fabs(test->t)) + "; " + num(test->df) + ")",
                 test->p_value, test->p_value < 0.05 ? "(they differ)"
                                                     : "(no difference beyond chance)");
}

// Trees whose half width would meet the wish, and the branches they are short of.
void explain_wish(const stats::ClusterProportion& seen, double wanted, const std::string& what_for,
                  int branches_more, double branches_a_tree, Worksheet& sheet) {
  const double m = static_cast<double>(seen.clusters), n = seen.trials, p = seen.proportion;
  const double v = seen.standard_error * seen.standard_error;
  // All or none floral is no proof that every bud is: half a bud either way, as the engine has it.
  const double mixed = std::clamp(p, 0.5 / n, 1 - 0.5 / n), least = mixed * (1 - mixed) / n;
  const auto needed = stats::clusters_for_half_width(seen, std::max(0.005, wanted * p));
  const auto half = [&](double in_all) {
    return stats::t_quantile((1 + confidence) / 2, in_all - 1) *
           std::sqrt(m * std::max(v, least) / in_all);
  };
  const auto told = [&](double in_all) {
    sheet.equation("half width with " + num(in_all) + " trees",
                   "t(0.95; " + num(in_all - 1) + ") × √(" + num(m) + " × " +
                   num(std::max(v, least)) + " ÷ " + num(in_all) + ")", half(in_all));
  };
  if (least > v) sheet.equation("variance, at least that of unrelated buds",
                                num(mixed) + " × " + num(1 - mixed) + " ÷ " + num(n), least);
  sheet.equation(base::print("wanted %s: ±%.0f %% of the fraction", what_for.c_str(),
                             100 * wanted), num(wanted) + " × " + num(p), wanted * p);
  const double in_all = std::max(m, needed ? static_cast<double>(*needed) : m);
  if (in_all > m) told(in_all - 1);
  told(in_all);
  if (branches_more <= 0) return sheet.line("enough trees are cut " + what_for);
  sheet.line(base::print("%s trees more, of %g branches each: about %d more branches %s",
                         plain(in_all - m).c_str(), branches_a_tree, branches_more,
                         what_for.c_str()));
}

void explain_branches_more(const BudsByTree& trees, const advice::FloralFraction& floral,
                           Worksheet& sheet) {
  std::vector<stats::ClusterPart> parts;
  for (const auto& [tree, buds] : trees) parts.push_back({parts.size(), buds.floral, buds.buds});
  const auto seen = stats::cluster_proportion(parts, confidence);
  if (!seen) return;
  const double each = static_cast<double>(floral.branches) / floral.trees;
  explain_wish(*seen, advice::half_width_to_begin, "to begin with", floral.branches_more, each,
               sheet);
  explain_wish(*seen, advice::half_width_for_verdicts, "for verdicts",
               floral.branches_for_verdicts, each, sheet);
}

}  // namespace

void explain_floral(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("Share of spurs that flower");
  if (it.target.source == advice::FloralSource::clusters_seen) {
    const auto pass = advice::second_pass(*it.block);
    sheet.line(base::print("floral clusters are visible: every spur of %d trees looked at; the "
                           "buds cut open before no longer count", pass.trees));
    return explain_ratio(clusters_by_tree(it), pass.floral_fraction, sheet);
  }
  const auto floral = advice::floral_fraction(*it.block);
  if (!floral.known) {
    sheet.line("no buds cut yet; typed in: " + plain(it.target.target.floral_fraction.value));
    return;
  }
  sheet.line(base::print("%d buds on %d branches of %d trees: %d on spurs, %d at the ends of short "
                         "shoots; %d lateral buds on one-year wood left out", floral.buds,
                         floral.branches, floral.trees, floral.spur_buds, floral.terminal_buds,
                         floral.lateral_left_out));
  explain_ratio(buds_by_tree(it), floral.fraction, sheet);
  if (floral.trees < 2) {
    return sheet.line(
        base::print("one tree shows no spread: about %d more branches, of other trees",
                    floral.branches_more));
  }
  explain_positions(pairs_by_tree(it), sheet);
  explain_branches_more(buds_by_tree(it), floral, sheet);
}

}  // namespace nthtree::cli
