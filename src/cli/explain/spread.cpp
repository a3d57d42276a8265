// SPDX-License-Identifier: Apache-2.0
// How the counted trees differ; when enough are counted by the books' stop lines, beside our own
// rule.
#include <cmath>

#include "advice/known/tag_spread.h"
#include "advice/review/crew_board.h"
#include "base/text.h"
#include "cli/explain/steps.h"
#include "cli/reason_text.h"

namespace nthtree::cli {
namespace {

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
                 : "not reached: about " +
                       counted(std::ceil(line.trees_needed - spread.counts), "tree") + " more");
}
void explain_lines(const advice::TagSpread& spread, Worksheet& sheet) {
  const std::string d = num(spread.precision), m = num(spread.mean), n = num(spread.counts);
  sheet.equation("relative standard error aimed at", num(explained_half_width) + " ÷ 1.64485",
                 spread.precision);
  sheet.line("laws of variance against mean, from " +
             counted(spread.groups, "day of a person", "days of a person") + " on this farm");
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
    const double more = open ? row.verdict.expected_more_trees : 0;
    sheet.line("  " + row.person + ": " + word_of(row.verdict) + " after " +
               counted(row.standing.counts, "count") +
               (more > 0 ? ", about " + num(more) + " more" : ""));
  }
}

}  // namespace

void explain_spread(const ExplainedBlock& it, Worksheet& sheet) {
  sheet.step("How trees differ, and how well their mean is known");
  const auto spread = advice::tag_spread(it.farm->season, it.block->id, it.farm->now_ms,
                                           explained_half_width);
  if (spread.counts < 2) return sheet.line("fewer than two trees are counted");
  sheet.equation("mean of the tags as written", num(spread.total) + " ÷ " + num(spread.counts),
                 spread.mean);
  sheet.equation("standard deviation", "√(" + num(spread.squares) + " ÷ (" +
                 num(spread.counts) + " - 1))", spread.sd,
                 "(squares of the differences from the mean, summed)");
  sheet.equation("coefficient of variation", num(spread.sd) + " ÷ " + num(spread.mean), spread.cv);
  if (!(spread.mean > 0)) return;
  explain_shape(spread, sheet);
  explain_errors(spread, it.bearing_trees(), sheet);
  explain_lines(spread, sheet);
  explain_own_rule(it, sheet);
}

}  // namespace nthtree::cli
