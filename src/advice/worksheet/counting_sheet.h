// SPDX-License-Identifier: Apache-2.0
//
// What the counting ratios of known/counting_bias.h were made of: every pair of tag and re-count on
// the farm, each person's own mean, and the crew's. For whoever checks one with a pencil.
//
//   CountingSheet sheet = counting_sheet(season, now_ms);
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "advice/known/agreement.h"
#include "advice/known/counting_bias.h"
#include "ledger/season.h"

namespace nthtree::advice {

struct CounterSheet {
  Counter counter;
  bool is_lead = false;        // counts right by definition
  std::vector<CountedTwice> pairs;
  double own_mean = 0;         // of ln((re-count + 0.5) ÷ (tag + 0.5))
  double squares = 0;          // about that mean
  double own_variance = 0;     // of the mean
  CountAgreement limits;       // of single pairs
  // Drawn towards the crew in the last round: what the variance between counters is made of.
  double drawn_mean = 0, drawn_variance = 0;
  double as_usual = 1;         // chance, in the last round, to count as the rest do
};

struct CountingSheet {
  CountingBias bias;
  CountingPrior prior;
  std::vector<CounterSheet> people;  // with a pair, over the whole farm
  CountAgreement limits;             // of the crew's pairs
  double one_variance = 0;           // of a single pair
  double between_before = 0;         // as the last round found it
  double mean = 0, mean_variance = 0, between = 0;  // of the crew

  const CounterSheet* of(const std::string& person) const;  // null where there is no pair
};

// Everybody with a tag count in that block, by id.
std::vector<std::string> counted_here(const ledger::BlockSeason& block);

CountingSheet counting_sheet(const ledger::Season& season, std::int64_t now_ms);

}  // namespace nthtree::advice
