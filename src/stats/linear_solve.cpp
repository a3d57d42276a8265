// SPDX-License-Identifier: Apache-2.0
#include "stats/linear_solve.h"

#include <cmath>
#include <utility>

#include "base/result.h"

namespace nthtree::stats {

bool solve_in_place(std::vector<double>& matrix, std::vector<double>& right) {
  const std::size_t n = right.size();
  NTHTREE_ASSERT(matrix.size() == n * n);
  for (std::size_t column = 0; column < n; ++column) {
    std::size_t pivot = column;
    for (std::size_t row = column + 1; row < n; ++row) {
      if (std::fabs(matrix[row * n + column]) > std::fabs(matrix[pivot * n + column])) pivot = row;
    }
    if (!(std::fabs(matrix[pivot * n + column]) > 1e-300)) return false;
    if (pivot != column) {
      for (std::size_t j = column; j < n; ++j) {
        std::swap(matrix[pivot * n + j], matrix[column * n + j]);
      }
      std::swap(right[pivot], right[column]);
    }
    for (std::size_t row = column + 1; row < n; ++row) {
      const double factor = matrix[row * n + column] / matrix[column * n + column];
      if (factor == 0) continue;
      for (std::size_t j = column + 1; j < n; ++j) {
        matrix[row * n + j] -= factor * matrix[column * n + j];
      }
      right[row] -= factor * right[column];
    }
  }
  for (std::size_t row = n; row-- > 0;) {
    double sum = right[row];
    for (std::size_t j = row + 1; j < n; ++j) sum -= matrix[row * n + j] * right[j];
    right[row] = sum / matrix[row * n + row];
  }
  return true;
}

}  // namespace nthtree::stats
