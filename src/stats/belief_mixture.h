// SPDX-License-Identifier: Apache-2.0
//
// A belief with heavy tails: as usual, or, with a small chance, far off. Two normal beliefs with
// their chances; a value seen moves both and shifts the chances by how likely each made it.
//
// A single normal belief draws what is far off back as firmly as what is near; this one lets go of
// it (A. Gelman et al., Bayesian Data Analysis, 3rd ed. 2013, sections 17.2 and 22.1). Not for
// more than two parts, nor for a variance that is to be learnt.
//
//   BeliefMixture ratio{NormalBelief::about(0.08, 0.01), NormalBelief::about(0.08, 0.25), 0.1};
//   ratio = observe(ratio, 0.69, 0.01);    // ratio.off_chance is near 1 now
#pragma once

#include "stats/posterior_normal.h"

namespace nthtree::stats {

struct BeliefMixture {
  NormalBelief usual, off;   // precisions > 0
  double off_chance = 0;     // 0 … 1

  const NormalBelief& likelier() const { return off_chance < 0.5 ? usual : off; }
  double mean() const;
  double variance() const;
  double sd() const;
  double cdf(double x) const;      // chance to lie below x
  double quantile(double p) const; // 0 < p < 1
};

// After one more value that scatters around the mean with the given variance (>= 0, finite).
BeliefMixture observe(const BeliefMixture& belief, double value, double variance);

}  // namespace nthtree::stats
