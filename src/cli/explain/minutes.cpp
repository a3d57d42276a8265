// SPDX-License-Identifier: Apache-2.0
// The components behind counts of some limbs and looks: limbs, eyes, and a day that holds either.
#include <cmath>

#include "advice/worksheet/standing_sheet.h"
#include "cli/explain/steps.h"

namespace nthtree::cli {
namespace {

void explain_eye(const ExplainedBlock& it, const advice::EyeSheet& sheet_of,
                 const advice::BlockSpread& spread, Worksheet& sheet) {
  const advice::Eye& eye = sheet_of.eye;
  sheet.line(who(it, sheet_of.person) + ", eye: " + counted(eye.pairs, "pair") + ", " +
             num(std::round(eye.pairs_borrowed)) + " of others; slope " + plain(eye.slope) +
             " ± " + plain(eye.slope_sd) + ", scatter " + plain(eye.scatter));
  const std::string slope = num(eye.slope) + " × " + num(eye.slope) + " × " + num(spread.variance);
  sheet.equation("correlation with the tree",
                 "√(" + slope + " ÷ (" + slope + " + " + num(eye.scatter) + "))",
                 eye.correlation, eye.counts ? "(its looks count)" : "(its looks do not count)");
}

}  // namespace

void explain_components(const ExplainedBlock& it, const advice::StandingSheet& work,
                        Worksheet& sheet) {
  const advice::LimbSheet& limbs = work.limbs;
  if (limbs.trees > 0) {
    sheet.equation("limbs of one tree, variance relative to their mean",
                   "(" + num(limbs.prior_df) + " × " + num(limbs.prior_cv) + " × " +
                       num(limbs.prior_cv) + " + " + num(limbs.squares) + ") ÷ (" +
                       num(limbs.prior_df) + " + " + num(limbs.df) + ")",
                   limbs.variance,
                   "(" + counted(limbs.trees, "tree") + ", and 19 real ones before)");
    sheet.equation("5 of 20 limbs leave open, relative to the tree",
                   num(limbs.variance) + " × " + num(limbs.step_factor) + " × (1 ÷ 5 - 1 ÷ 20)",
                   limbs.variance * limbs.step_factor * (1.0 / 5 - 1.0 / 20),
                   "(an even step leaves three quarters of random limbs)");
  }
  for (const advice::EyeSheet& eye : work.eyes) explain_eye(it, eye, work.spread, sheet);
}

void explain_mixed_day(const advice::LevelStep& step, Worksheet& sheet) {
  const std::string day = day_text(step.day);
  if (step.n > 0) {
    sheet.line(day + ": " + counted(step.n, "count") + ", " + num(step.parts) +
               " of some limbs, mean share " + plain(step.mean_share) +
               "; each weighs by its own variance");
    sheet.equation(day + ", variance of one whole count",
                   num(step.spread) + " × " + num(step.inflation), step.variance_of_one);
  }
  if (step.parts > 0) {
    sheet.equation(day + ", what limbs left out add to it, on average",
                   num(step.open) + " ÷ " + num(step.parts), step.open / step.parts);
  }
  for (const advice::LevelStep::Looks& looks : step.looks) {
    sheet.line(day + ": " + counted(looks.scores, "look") + " add a share of " +
               plain(looks.share) + " with variance " + plain(looks.variance) +
               " (METHODS.md, more from a minute)");
  }
  sheet.line(day + ": level " + plain(step.mean_after) + ", variance " +
             plain(step.variance_after));
}

}  // namespace nthtree::cli
