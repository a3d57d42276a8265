// SPDX-License-Identifier: Apache-2.0
//
// One pruner apart from the others of a block, where the target is known only in part: what the
// answer against the crew says in a day of looking, beside the verdict against the target.
#pragma once

#include <cstdint>

namespace nthtree::oc {

struct AgainstPlan {
  int pruners = 8;
  int counts_most = 40;          // of each, looked at after every round
  int days = 100;
  double apart = 1;              // level of the first against that of all others
  double others_log_sd = 0;      // the others differ by so much
  double target_half_width = 0;  // 90 %, as a share
  bool unchecked = false;        // nobody was ever re-counted: they miss 8 % and differ by 6 %
  double cv = 0.25;
};

struct AgainstRates {
  double told_right = 0, told_wrong = 0;  // shares of days, of the first pruner: that way, the other
  double counts = 0;                      // own counts when first told; counts_most where never
  double verdict_right = 0;               // the verdict against the target told that way
  double mates_told = 0;                  // shares of mates told that they differ
  double covered = 0;                     // of the last intervals, those that hold the truth
};

AgainstRates simulate_against_crew(const AgainstPlan& plan, std::uint64_t seed);

}  // namespace nthtree::oc
