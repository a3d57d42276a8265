// SPDX-License-Identifier: Apache-2.0
//
// How far a re-count may lie from its tag: limits of agreement for the pairs of a person and of the
// crew (stats/limits_of_agreement.h; Bland and Altman 1986). On logarithms, because counts differ
// by more where there is more to count: so they are limits of re-count ÷ tag. The counting ratio
// (counting_bias.h) says what is missed on average; these say what a single tag is worth.
//
//   CountAgreements all = count_agreements(season, now_ms);
//   if (all.crew.known) show(all.crew.low, all.crew.high);   // 0.93 … 1.27
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "advice/known/counting_bias.h"
#include "ledger/season.h"

namespace nthtree::advice {

struct CountAgreement {
  bool known = false;          // three pairs or more
  int pairs = 0;
  double ratio = 1;            // re-count ÷ tag on average (geometric)
  double low = 1, high = 1;    // of 19 in 20 pairs
  double log_mean = 0, log_sd = 0;
  double size_correlation = 0; // of the log ratio with the size of the tree
};

CountAgreement agreement_of(const std::vector<CountedTwice>& pairs);

struct CountAgreements {
  CountAgreement crew;         // everybody's pairs, leads' tags left out
  std::map<std::string, CountAgreement> people;
};

CountAgreements count_agreements(const ledger::Season& season, std::int64_t now_ms);

}  // namespace nthtree::advice
