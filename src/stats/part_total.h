// SPDX-License-Identifier: Apache-2.0
//
// A unit's total from some of its parts, every step-th of them from a random start: the limbs of a
// tree, the trees of a row.
//
// L parts, k of them counted with mean ȳ: the total is L·ȳ. Where L is no multiple of the step its
// bias is small (1.5 % on a real tree whose limbs shrink upwards), and on 19 real apple trees its
// variance is two thirds of that of as many random parts, where step times sum, which has no bias
// at all, has more than theirs: so the parts are numbered and L·ȳ is used.
// One systematic start has no variance of its own; the random parts' form is given, which is too
// large where parts shrink evenly, and successive differences.
// Sources: Cochran, Sampling Techniques, 3rd ed. 1977, ch. 2, 8, 9A, 10 (from memory); D. Wulfsohn
// et al., Precision Agriculture 13 (2012) 256 for several stages (abstract read).
//
//   auto tree = part_total(spurs_of_counted_limbs, limbs_in_tree);
//   if (tree) show(tree->total, tree->variance_random);
#pragma once

#include <cstddef>
#include <span>

#include "stats/interval.h"

namespace nthtree::stats {

struct PartTotal {
  std::size_t parts = 0, counted = 0;
  double total = 0;                // L·ȳ
  double cv = 0;                   // of the counted parts: sd ÷ mean; 0 from a single one
  double variance_random = 0;      // of the total: L²(1/k - 1/L) s²; 0 where all were counted
  double variance_successive = 0;  // the same with half the mean square of neighbours' differences
};

// counted in order, 1 <= size <= parts. A single part has no spread: its variances are 0, look at
// `counted`. Errors: too_few_values, not_finite, out_of_range.
Result<PartTotal> part_total(std::span<const double> counted, std::size_t parts);

// What a step does to one unit all of whose parts are known, over all starts.
struct PartTruth {
  double total = 0;
  double mean = 0, variance = 0;                    // of L·ȳ, about the total
  double mean_expanded = 0, variance_expanded = 0;  // of step × sum; its mean is the total
  double variance_random = 0;  // of L·ȳ with as many parts as each start has, drawn at random
};
// All parts in order, three or more; 2 <= step <= parts.
Result<PartTruth> part_total_over_starts(std::span<const double> parts, std::size_t step);

// Several systematic stages, one period each: the product of the periods times what was counted.
// Unbiased whatever the order. Periods 1 or more.
Result<double> multilevel_total(std::span<const double> periods, double counted);

}  // namespace nthtree::stats
