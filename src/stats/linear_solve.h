// SPDX-License-Identifier: Apache-2.0
//
// A small dense linear system by Gaussian elimination with partial pivoting: for the run-length
// equations of charts, some hundred unknowns. Not for ill-conditioned or large systems.
//
//   std::vector<double> x = b;
//   if (!solve_in_place(a, x)) …  // singular
#pragma once

#include <vector>

namespace nthtree::stats {

// `matrix` is n by n in row order and is destroyed; `right` holds n values and becomes the
// solution. False where the matrix is singular to working precision.
bool solve_in_place(std::vector<double>& matrix, std::vector<double>& right);

}  // namespace nthtree::stats
