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

// A crew nobody has counted yet leaves a tenth too many, give or take 40 %, because spurs are
// missed more easily than taken twice; pruners differ by 20 %, known as if from three of them
// (common practice, no source). Logarithms of level ÷ target.
inline constexpr double crew_prior_mean = 0.10, crew_prior_variance = 0.16;
inline constexpr double crew_prior_between = 0.04, crew_prior_weight = 3;

struct CrewLevel {
  double mean = crew_prior_mean;
  double mean_variance = crew_prior_variance;
  double between = crew_prior_between;  // variance, after the last round …
  double between_before = crew_prior_between;  // … and as that round found it
  double variance_of_one() const { return between + mean_variance; }
};

// left_out: index of a level not to use (nothing is left out at levels.size()).
CrewLevel crew_level(const std::vector<KnownLevel>& levels, std::size_t left_out);

}  // namespace nthtree::advice
