// SPDX-License-Identifier: Apache-2.0
//
// The crew's level and how much pruners differ, from what is known of each. Internal to advice/.
//
// Levels are normal around the crew's with variance `between`; both have priors, so that one
// pruner, or none, still gives an answer. EM (Dempster, Laird and Rubin 1977).
#pragma once

#include <cstddef>
#include <vector>

namespace nthtree::advice {

// A variance above this one says: nothing is known.
inline constexpr double unknown_variance = 1e6;

struct KnownLevel {
  double mean = 0;
  double variance = 1e9;
};

struct CrewLevel {
  double mean = 0.10;
  double mean_variance = 0.16;
  double between = 0.04;  // variance
  double variance_of_one() const { return between + mean_variance; }
};

// left_out: index of a level not to use (nothing is left out at levels.size()).
CrewLevel crew_level(const std::vector<KnownLevel>& levels, std::size_t left_out);

}  // namespace nthtree::advice
