// SPDX-License-Identifier: Apache-2.0
#include "advice/sampling_plan.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

#include "base/random.h"
#include "stats/quantiles.h"
#include "stats/systematic.h"

namespace nthtree::advice {
namespace {

constexpr int trees_least = 6;

std::vector<int> row_lengths(const orchard::Block& block) {
  std::set<int> lengths;
  for (int row = 1; row <= block.rows; ++row) {
    if (block.trees_in_row(row) > 1) lengths.insert(block.trees_in_row(row));
  }
  return {lengths.begin(), lengths.end()};
}

// Trees in the row that a stride ever meets.
int places(int stride, int row) { return row / std::gcd(stride, row); }

bool has_problem(int stride, int row, PlanProblem& problem) {
  if (stride == 1) return false;
  if (row % stride == 0) {
    problem = PlanProblem::stride_divides_row;
  } else if (stride % row == 0) {
    problem = PlanProblem::stride_multiple_of_row;
  } else if (places(stride, row) <= std::max(2, row / stride + 1) ||
             places(stride, row) * 3 < row) {
    problem = PlanProblem::stride_shares_factor;
  } else if (row > 10 && (std::abs(stride - row) == 1 || std::abs(stride - 2 * row) == 1)) {
    problem = PlanProblem::stride_near_row;
  } else {
    return false;
  }
  return true;
}

int better_stride(int stride, const std::vector<int>& rows) {
  const auto good = [&](int candidate) {
    PlanProblem ignored;
    return candidate >= 1 && std::none_of(rows.begin(), rows.end(), [&](int row) {
      return has_problem(candidate, row, ignored);
    });
  };
  for (int away = 1; away <= 12; ++away) {
    if (good(stride - away)) return stride - away;
    if (good(stride + away)) return stride + away;
  }
  return 0;
}

// Half width of the t interval of n trees out of N, relative to the mean.
double half_width(double n, double trees, const PlanWish& wish) {
  if (n < 2) return wish.cv * 6.3;  // t with one degree of freedom, 90 %
  const double t = stats::t_quantile(0.5 + wish.confidence / 2, n - 1);
  return t * wish.cv * std::sqrt(stats::finite_population_correction(n, trees) / n);
}

}  // namespace

std::vector<PlanWarning> check_stride(const orchard::Block& block, int stride) {
  std::vector<PlanWarning> warnings;
  if (stride < 1) return warnings;
  const std::vector<int> rows = row_lengths(block);
  for (int row : rows) {
    PlanWarning warning;
    if (!has_problem(stride, row, warning.problem)) continue;
    warning.stride = stride;
    warning.row_length = row;
    warning.places_met = places(stride, row);
    warning.better_stride = better_stride(stride, rows);
    warnings.push_back(warning);
  }
  const std::int64_t trees = block.trees();
  if (trees > 0 && trees / stride < trees_least) {
    PlanWarning warning;
    warning.problem = PlanProblem::too_few_trees;
    warning.stride = stride;
    warning.places_met = static_cast<int>(trees / stride);
    warning.better_stride = static_cast<int>(std::max<std::int64_t>(1, trees / trees_least));
    warnings.push_back(warning);
  }
  return warnings;
}

std::vector<orchard::TreeAddress> tagged_trees(const orchard::Block& block, int stride,
                                               int start) {
  std::vector<orchard::TreeAddress> tagged;
  if (stride < 1 || start < 1) return tagged;
  std::int64_t to_next = start;
  for (int row = 1; row <= block.rows; ++row) {
    const int length = block.trees_in_row(row);
    for (; to_next <= length; to_next += stride) {
      tagged.push_back({row, static_cast<int>(to_next)});
    }
    to_next -= length;
  }
  return tagged;
}

SamplingPlan plan_sampling(const orchard::Block& block, const PlanWish& wish,
                           std::uint64_t seed) {
  SamplingPlan plan;
  const double trees = static_cast<double>(block.trees());
  if (trees < 1) return plan;
  double n = 2;
  while (n < trees && half_width(n, trees, wish) > wish.relative_half_width) ++n;
  plan.stride = std::max(1, static_cast<int>(trees / n));
  const std::vector<int> rows = row_lengths(block);
  PlanProblem ignored;
  // Downwards only: a smaller stride keeps the precision that was asked for.
  for (int stride = plan.stride; stride >= std::max(1, plan.stride - 12); --stride) {
    const bool bad = std::any_of(rows.begin(), rows.end(),
                                 [&](int row) { return has_problem(stride, row, ignored); });
    if (bad) continue;
    plan.stride = stride;
    break;
  }
  base::Random random(seed);
  plan.start = 1 + static_cast<int>(random.below(static_cast<std::uint64_t>(plan.stride)));
  plan.tagged = tagged_trees(block, plan.stride, plan.start);
  plan.trees = static_cast<int>(plan.tagged.size());
  plan.relative_half_width = half_width(plan.trees, trees, wish);
  plan.minutes = plan.trees * wish.seconds_per_count / 60;
  std::set<int> met;
  for (const orchard::TreeAddress& tree : plan.tagged) met.insert(tree.row);
  plan.rows_met = static_cast<int>(met.size());
  plan.warnings = check_stride(block, plan.stride);
  return plan;
}

std::uint64_t seed_of(const std::string& block) {
  std::uint64_t seed = 0xcbf29ce484222325u;  // FNV-1a
  for (const char c : block) seed = (seed ^ static_cast<unsigned char>(c)) * 0x100000001b3u;
  return seed;
}

SystematicMean systematic_mean(const std::vector<double>& values, std::int64_t population) {
  SystematicMean result;
  result.n = static_cast<int>(values.size());
  if (values.empty()) return result;
  result.mean = std::accumulate(values.begin(), values.end(), 0.0) / result.n;
  const auto estimate =
      population > 0 ? stats::systematic_estimate(values, static_cast<double>(population))
                     : stats::systematic_estimate(values);
  if (!estimate) return result;
  result.mean = estimate->mean;
  result.se_successive = std::sqrt(estimate->variance_successive);
  result.se_random = std::sqrt(estimate->variance_random);
  return result;
}

}  // namespace nthtree::advice
