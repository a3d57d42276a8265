// SPDX-License-Identifier: Apache-2.0
//
// What the lines of a verdict's boundary are made of: error rates, the overshoot of whole counts,
// and the corrections measured for each side of the band (METHODS.md, "The verdict"). Plain values,
// for whoever checks a line with a pencil.
#pragma once

namespace nthtree::advice {

// The two sides of a band are not alike: counts have a longer tail of small trees than even the
// cube root takes out, and below the target a step is larger.
enum class BandSide { over, under };

// max(least; min(most; slope × (at - step))). Measured, not derived: trees that differ much, whose
// steps are short, have their spread guessed too small at first and are told too soon; even trees
// the other way round.
struct BoundaryCorrection {
  double slope = 0, at = 0, least = 0, most = 0;
  double of(double step) const;
};

struct BoundaryTerms {
  double alpha = 0.05, beta = 0.10;  // told at half a tolerance; missed at one and a half
  double step = 0.53;                // separation that one count adds
  double kept_for_line = 0.83;       // of alpha; the rest goes to the early line
  // A line is overshot by so much of a step (D. Siegmund, Sequential Analysis, 1985, ch. 10),
  // counted up to `step_most`.
  double overshoot = 0.583, step_most = 1.2;
  BoundaryCorrection more_b, more_a;
  double kept_back_a = 0;
  double least = 0.5;                // of a and b
  double early_share = 0.13;         // of alpha, of a first count
  double early_growth = 1.2;         // of the early line, for ln of what the counts are worth
};

}  // namespace nthtree::advice
