// SPDX-License-Identifier: Apache-2.0
//
// How one person's counts of one day, up to the next advice, spread about their own mean.
#pragma once

#include <cstdint>

namespace nthtree::advice {

struct DaySpread {
  std::int64_t day = 0;
  int n = 0;
  double share_sum = 0, share_square_sum = 0;  // of the counts as shares of the target
  double squares = 0;                          // of count ÷ mean - 1, summed
};

}  // namespace nthtree::advice
