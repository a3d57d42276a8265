// SPDX-License-Identifier: Apache-2.0
#include "advice/next/sampling_plan.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>

#include "base/random.h"
#include "stats/quantiles.h"
#include "stats/sample_size.h"
#include "stats/systematic.h"

namespace nthtree::advice {
namespace {

constexpr int trees_least = 6;  // a block is accepted from six counts on

// The row lengths that a stride can be in step with: those that a quarter of the rows have, and
// more than one row. Where every row has its own length, no place comes back.
std::vector<int> row_lengths(const orchard::Block& block) {
  std::map<int, int> rows_of;
  for (int row = 1; row <= block.rows; ++row) ++rows_of[block.trees_in_row(row)];
  std::vector<int> lengths;
  for (const auto& [length, rows] : rows_of) {
    if (length > 1 && rows > 1 && 4 * rows >= block.rows) lengths.push_back(length);
  }
  return lengths;
}

std::size_t places(int stride, int row) {
  return stats::places_visited(static_cast<std::size_t>(stride), static_cast<std::size_t>(row));
}

// Neighbouring places of a row that none of the trees stands at, from the worst start.
int unseen(int stride, int row, std::int64_t trees) {
  if (2 * stride <= row || trees / stride < trees_least) return 0;
  return static_cast<int>(stats::longest_unseen_stretch(
      static_cast<std::size_t>(stride), static_cast<std::size_t>(row),
      static_cast<std::size_t>(trees / stride)));
}

std::optional<PlanProblem> row_problem(int stride, int row, std::int64_t trees) {
  if (stride == 1) return std::nullopt;
  const std::int64_t counted = trees / stride;
  if (stats::visits_few_places(static_cast<std::size_t>(stride), static_cast<std::size_t>(row),
                               static_cast<std::size_t>(counted))) {
    return row % stride == 0   ? PlanProblem::stride_divides_row
           : stride % row == 0 ? PlanProblem::stride_multiple_of_row
                               : PlanProblem::stride_shares_factor;
  }
  // A stride near a multiple of the row, or of half of it, moves along by little: its few trees
  // crowd into stripes.
  if (2 * unseen(stride, row, trees) > row) return PlanProblem::stride_near_row;
  return std::nullopt;
}

bool in_step(int stride, const std::vector<int>& rows, std::int64_t trees) {
  return std::any_of(rows.begin(), rows.end(), [&](int row) {
    return row_problem(stride, row, trees).has_value();
  });
}

bool too_few(int stride, std::int64_t trees) {
  return stride > 1 && trees / stride < trees_least;
}

// The nearest stride that meets every place of the rows and that nothing is said against; every
// tree is always such a one.
int better_stride(int stride, const std::vector<int>& rows, std::int64_t trees) {
  const auto good = [&](int candidate) {
    return candidate >= 1 && !too_few(candidate, trees) && !in_step(candidate, rows, trees) &&
           std::all_of(rows.begin(), rows.end(), [&](int row) {
             return places(candidate, row) == static_cast<std::size_t>(row);
           });
  };
  const int from = static_cast<int>(
      std::clamp<std::int64_t>(trees / trees_least, 1, stride));
  for (int away = 0; away < from; ++away) {
    if (good(from - away)) return from - away;
    if (good(from + away)) return from + away;
  }
  return 1;
}

// Half width of the t interval of n trees out of N, relative to the mean.
double half_width(double n, double trees, const PlanWish& wish) {
  if (n < 2) return wish.cv * 6.3;  // t with one degree of freedom, 90 %
  const double t = stats::t_quantile(0.5 + wish.confidence / 2, n - 1);
  return t * wish.cv * std::sqrt(stats::finite_population_correction(n, trees) / n);
}

void take_bearing(const Planting& planting, SamplingPlan& plan) {
  std::set<orchard::TreeAddress> chosen;
  for (const orchard::TreeAddress& due :
       tagged_trees(*planting.block(), plan.stride, plan.start)) {
    const orchard::TreeAddress tree = planting.count_instead(due);
    if (tree.row == 0 || !chosen.insert(tree).second) continue;
    plan.tagged.push_back(tree);
    if (tree != due) ++plan.instead;
  }
}

}  // namespace

std::vector<PlanWarning> check_stride(const orchard::Block& block, int stride) {
  std::vector<PlanWarning> warnings;
  const std::int64_t trees = block.trees();
  if (stride < 1 || trees < 1) return warnings;
  const std::vector<int> rows = row_lengths(block);
  PlanWarning warning;
  warning.stride = stride;
  warning.trees = trees / stride;
  for (int row : rows) {
    const auto problem = row_problem(stride, row, trees);
    if (!problem) continue;
    warning.problem = *problem;
    warning.row_length = row;
    warning.places_met = static_cast<int>(places(stride, row));
    warning.unseen = unseen(stride, row, trees);
    warnings.push_back(warning);
  }
  if (too_few(stride, trees)) {
    warning.problem = PlanProblem::too_few_trees;
    warning.row_length = warning.places_met = warning.unseen = 0;
    warnings.push_back(warning);
  }
  if (warnings.empty()) return warnings;
  const int better = better_stride(stride, rows, trees);
  for (PlanWarning& one : warnings) one.better_stride = better;
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
  return plan_sampling(Planting(block), wish, seed);
}

SamplingPlan plan_sampling(const Planting& planting, const PlanWish& wish, std::uint64_t seed) {
  SamplingPlan plan;
  const double trees = static_cast<double>(planting.bearing());
  if (trees < 1) return plan;
  const orchard::Block& block = *planting.block();
  const auto enough = stats::sample_size_for_mean(wish.cv, wish.relative_half_width,
                                                  wish.confidence, std::max(2.0, trees));
  const double n = std::min(trees, std::max<double>(trees_least, enough ? *enough : trees));
  plan.stride = std::max(1, static_cast<int>(trees / n));
  const std::vector<int> rows = row_lengths(block);
  // Downwards only: a smaller stride keeps the precision that was asked for.
  while (plan.stride > 1 && in_step(plan.stride, rows, block.trees())) --plan.stride;
  base::Random random(seed);
  plan.start = 1 + static_cast<int>(random.below(static_cast<std::uint64_t>(plan.stride)));
  take_bearing(planting, plan);
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

}  // namespace nthtree::advice
