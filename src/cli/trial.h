// SPDX-License-Identifier: Apache-2.0
//
// A block whose every tree is known, and what the engine makes of a sample of it: the same plan,
// stop lines, standing and verdict as in the field, through a ledger of its own.
//
// The values stand as a lead's counts, which are right by definition: nothing is added for what
// people miss.
//
//   auto trial = read_trial(text);
//   TrialSample sample = sample_of(*trial, 9, 3);
//   auto run = verdict_run(*trial, sample, 240, 0.15);
#pragma once

#include <string_view>
#include <vector>

#include "advice/judged/acceptance.h"
#include "advice/judged/verdict.h"
#include "base/result.h"
#include "orchard/block.h"
#include "stats/stop_lines.h"
#include "stats/summary.h"

namespace nthtree::cli {

struct Trial {
  orchard::Block block;
  std::vector<double> values;  // in walking order, row by row
  stats::Summary summary;
};

// A table with the columns row, tree and value: rows 1 … R and in each row trees 1 … without a gap,
// in any order; values 0 … 5000. Errors name the line.
base::Result<Trial> read_trial(std::string_view csv);

struct TrialSample {
  int stride = 1, start = 1;
  std::vector<orchard::TreeAddress> trees;
  std::vector<double> values;
};
TrialSample sample_of(const Trial& trial, int stride, int start);

struct TrialStops {
  double precision = 0;          // relative standard error
  stats::TaylorLaw taylor;       // over the rows of the whole trial
  stats::IwaoLaw iwao;
  int green_after = 0, kuno_after = 0;  // trees; 0 where the sample ends before
};
TrialStops stops_of(const Trial& trial, const TrialSample& sample, double relative_half_width);

struct TrialVerdict {
  double target = 0;
  advice::Verdict first;
  int first_after = 0;           // trees; 0 where the sample ends before
  advice::Verdict last;
  advice::Acceptance acceptance;
};
// target: 1 … 5000 a tree, rounded to a whole spur; tolerance a fraction.
base::Result<TrialVerdict> verdict_run(const Trial& trial, const TrialSample& sample,
                                       double target, double tolerance);

// The first verdict of every start of a stride.
struct TrialStarts {
  int harder = 0, lighter = 0, on_target = 0, open = 0;
  int all() const { return harder + lighter + on_target + open; }
};
base::Result<TrialStarts> verdicts_of_starts(const Trial& trial, int stride, double target,
                                             double tolerance);

}  // namespace nthtree::cli
