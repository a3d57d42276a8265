// SPDX-License-Identifier: Apache-2.0
//
// What each person counted, added up for counting_bias.h: pairs of tag and check count, and the
// marks of numbers that were not counted. Internal to advice/. Tallies of blocks add up, so that
// one more count touches one block only.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "advice/counting_bias.h"
#include "ledger/season.h"

namespace nthtree::advice {

struct PersonTally {
  bool is_lead = false;
  int counts = 0, round_numbers = 0, repeats = 0, streaks = 0;
  double spurs = 0;
  double log_squares = 0, log_df = 0;  // of ln counts, within block and day
  int pairs = 0;
  double pair_sum = 0, pair_sum_squares = 0;
  std::vector<double> pair_logs;       // ln(check / tag) in time order within a block

  double mean_spurs() const { return counts ? spurs / counts : 0; }
  double pair_mean() const { return pairs ? pair_sum / pairs : 0; }
  double pair_squares() const {
    return pairs ? pair_sum_squares - pair_sum * pair_sum / pairs : 0;
  }
};

void add_tally(const ledger::Season& season, const ledger::BlockSeason& block,
               std::int64_t now_ms, std::map<std::string, PersonTally>& people);
CountingBias pool_counting(const std::map<std::string, PersonTally>& people);

}  // namespace nthtree::advice
