// SPDX-License-Identifier: Apache-2.0
//
// A block's mean by double sampling as the books have it: many tags, some of them counted again,
// by the ratio and the regression estimator (W. G. Cochran, Sampling Techniques, 3rd ed. 1977,
// ch. 12). Every tag weighs the same, whoever pruned how much; tags of leads, who count right by
// definition, are left out. The block's own mean (judged/acceptance.h) weighs by trees pruned and
// lets old days fade.
//
//   DoubleSample sample = double_sample(season, *season.block("b1"));
//   if (sample.known) show(sample.ratio.mean, sample.regression.mean);
#pragma once

#include "ledger/season.h"
#include "stats/double_sampling.h"

namespace nthtree::advice {

struct DoubleSample {
  bool known = false;           // three trees with both counts or more
  double tagged = 0, recounted = 0;  // trees
  double tag_sum = 0;           // of all tags
  double pair_tag_sum = 0, pair_check_sum = 0;  // of the trees with both
  stats::TwoPhaseEstimate ratio, regression;    // 90 %
  // A re-count pays where it costs more than this many tags; 0 where the two are unrelated.
  double pays_above = 0;
};

DoubleSample double_sample(const ledger::Season& season, const ledger::BlockSeason& block);

}  // namespace nthtree::advice
