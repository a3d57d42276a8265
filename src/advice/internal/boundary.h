// SPDX-License-Identifier: Apache-2.0
//
// The sequential boundary behind a verdict. Internal to advice/.
//
// One side (the other mirrors it): is a level at `near` (half a tolerance off) or at `far` (one
// and a half)? What is known of the level is a normal with mean m and variance V; the evidence so
// far is m / V at information 1 / V, which grows like a Brownian motion with the level as drift
// whatever V holds (counts, counting bias, a target known in part): the canonical form of C.
// Jennison and B. W. Turnbull, Group Sequential Methods, 2000, ch. 3. So one boundary in units of
// separation s = (far - near) / sqrt(V) serves all.
//
// Change is told where z = (m - near) / sqrt(V) reaches
//     s / 2 + b / s     Wald's line for near against far (A. Wald, Sequential Analysis, 1947), or
//     the early line    sqrt(z_early² + g ln n), n the counts' worth known, while s is small:
//                       a first count far away is enough, and each further look asks for more.
// It never restarts, so by Ville's inequality the line alone errs at most with chance e^-b however
// long one looks; b and z_early together were set by simulation over a day of a hundred counts
// (tests/simulation/oc). Steps are whole counts, so the line is overshot by about 0.583 steps
// (D. Siegmund, Sequential Analysis, 1985, ch. 10), which the line's height gives back.
#pragma once

#include "advice/judged/boundary_terms.h"

namespace nthtree::advice {

struct Boundary {
  BoundaryTerms terms;    // what follows was worked out from
  double b = 2.87;        // the line's height
  double a = 1.94;        // of the lower line: "surely not as far off as `far`"
  double z_early = 2.51;  // of a first count
  double step = 0.53;     // separation of one count
};

// From terms to lines: b = max(least; ln(1 ÷ (kept × alpha)) - overshoot × min(step; step_most) +
// its correction), a = max(least; ln((1 - alpha) ÷ beta) - the same + its correction + kept back),
// z_early = z(1 - early_share × alpha).
//
// alpha: chance to tell a change at `near`; beta: to miss one at `far`; step: the separation that
// a single count adds, (far - near) / (sd of a count).
Boundary boundary_for(BandSide side, double alpha, double beta, double step);

// The z that tells a change at separation s > 0.
double z_to_change(const Boundary& boundary, double s);
// The z, from `far` downwards, that tells "not as far off as that".
double z_to_clear(const Boundary& boundary, double s);

}  // namespace nthtree::advice
