// SPDX-License-Identifier: Apache-2.0
//
// How a person's own counts compare with the lead's re-counts of the same trees: people miss
// spurs, each in their own measure. And signs that numbers were not counted at all.
//
// The log ratio check ÷ tag is normal with a mean per counter, drawn from the crew's mean (normal
// hierarchical model; empirical Bayes, B. Efron and C. Morris, JASA 70, 1975). Before the first
// pair of a crew the prior stands: tag counts miss about 8 %, give or take 8 %, and one person in
// ten counts unlike the rest, by anything from half to double (common practice, no source): a
// prior with heavy tails, so that nobody's counting is taken for known before it was looked at.
// The lead's own tag counts have ratio 1 by definition.
//
//   CountingBias bias = counting_bias(season, now_ms);
//   double true_spurs = tag * bias.of("p3").ratio.value;
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "ledger/season.h"
#include "orchard/target.h"
#include "stats/belief_mixture.h"

namespace nthtree::advice {

enum class CountingSign {
  copies,        // the same number again and again: too many repeats
  digits,        // too many numbers that end in 0 or 5
  too_even,      // far less spread than the crew's trees have
  ratio_moved,   // check ÷ tag changed lately: look at how this person counts
  misses_many,   // the ratio is surely off by more than 15 %
};

// A tag and the lead's re-count of the same tree. Half a spur is added to both, so that a tree of
// none has a logarithm too.
struct CountedTwice {
  double tag = 0, check = 0;
  double log_ratio() const;  // ln((check + 0.5) ÷ (tag + 0.5))
};

// What is believed before the first pair: people miss some 8 %, give or take 8 %, and differ from
// each other by 6 % (common practice, no source; no published figure was found). One pair
// scatters by 10 %. The weights say how many observations that belief is worth.
struct CountingPrior {
  double log_mean = 0.077, log_mean_sd = 0.08;
  double between_sd = 0.06, between_weight = 3;
  double one_sd = 0.10, one_weight = 4;
  // One person in ten, known as if from ten people, counts unlike the rest: every bud for a spur,
  // one side of the tree, a number from the day before. Five times as wide as the others' prior.
  double off_chance = 0.10, off_weight = 10, off_log_sd = 0.50;
  double lead_log_sd = 0.02;  // a lead's own counts define the truth, but for the day's form
};

struct Counter {
  std::string person;
  int pairs = 0;                // trees with both a tag count and a check count
  orchard::Estimate ratio;      // check ÷ tag, pooled, 90 %: multiply a tag count by it
  orchard::Estimate own_ratio;  // from own pairs alone; {0,0,0} where there are none
  stats::BeliefMixture log_ratio;  // of ln(check ÷ tag), posterior: as this crew counts, or off
  double log_mean = 0;          // of it: mean and standard deviation
  double log_sd = 0;
  double log_sd_of_one = 0;     // scatter of a single pair
  double pooled_share = 1;      // 1: all from the crew; 0: all from own pairs
  int counts = 0;               // tag counts seen
  std::vector<CountingSign> signs;
  double digit_share = 0;       // of tag counts, those that end in 0 or 5
  double repeat_share = 0;      // of tag counts, those equal to the one before
  double spread_ratio = 1;      // own coefficient of variation against the crew's

  // Signs that numbers were copied, rounded or made up; they need no re-count to be seen.
  bool may_not_be_counted() const;
};

struct CountingBias {
  orchard::Estimate crew_ratio;  // a new counter's expected ratio, 90 %
  double crew_log_mean = 0, crew_log_sd_between = 0, crew_log_mean_sd = 0;
  double log_sd_of_one = 0;
  double off_chance = 0;         // of a new counter, to count unlike the crew
  int pairs = 0;
  std::map<std::string, Counter> counters;

  // A person without any count gets the crew's numbers.
  Counter of(const std::string& person) const;
  // What is believed of somebody before their first pair.
  stats::BeliefMixture newcomer() const;
};

// Over all blocks. A tag count pairs with the first later check count of that tree in the block.
CountingBias counting_bias(const ledger::Season& season, std::int64_t now_ms);

}  // namespace nthtree::advice
