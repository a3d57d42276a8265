// SPDX-License-Identifier: Apache-2.0
//
// Do counts spread more, or less, than binomial or Poisson counts would?
//
// Fisher's index of dispersion D = Σ(x - mean)² / variance under the model, chi-square with n - 1
// degrees of freedom; rough when means are below about 5. Sources: Fisher, Thornton and Mackenzie
// (1922) Ann. Appl. Biol. 9:325; Wetherill and Brown, Statistical Process Control, 1991, pp.
// 212-218; Lloyd (1967) J. Anim. Ecol. 36:1; Morisita (1959).
//
//   auto spread = poisson_dispersion(counts);
//   if (spread && spread->p_over < 0.01) …   // clumped
#pragma once

#include <span>

#include "stats/interval.h"

namespace nthtree::stats {

struct Dispersion {
  double ratio = 1;         // observed over expected variance
  double chi_squared = 0;   // D
  double df = 0;
  double p_over = 1;        // chance of as large a D without overdispersion
  double p_under = 1;       // chance of as small a D
  double mean_crowding = 0; // Lloyd; Poisson test only
  double morisita = 1;      // 1 for random, above for clumped; Poisson test only
};

// Two counts >= 0 or more, not all 0.
Result<Dispersion> poisson_dispersion(std::span<const double> counts);
// Counts of successes in samples of the same size (> 0), each 0 … size, not all 0 or all full.
Result<Dispersion> binomial_dispersion(std::span<const double> counts, double size);

}  // namespace nthtree::stats
