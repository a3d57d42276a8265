// SPDX-License-Identifier: Apache-2.0
#include "stats/counting_ratio.h"

#include <algorithm>
#include <cmath>

#include "stats/quantiles.h"

namespace nthtree::stats {
namespace {

// Outside these no count can be meant, and inside them no product over- or underflows.
constexpr double count_min = 1e-6;
constexpr double count_max = 1e12;

// What is thought of counters before any pair is seen: one pair scatters by 8 % about the
// counter's ratio, and ratios of counters differ by 10 % or so (half-normal scale). No published
// figures were found; the simulation shows how far wrong they may be.
constexpr double scatter_prior = 0.08;
constexpr double scatter_prior_df = 3;
constexpr double between_log_sd_prior = 0.10;

std::optional<Error> check(std::span<const CountPair> pairs) {
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    if (!std::isfinite(pairs[i].check)) return not_finite("pairs.check", i);
    if (!std::isfinite(pairs[i].tag)) return not_finite("pairs.tag", i);
    for (const auto& [name, value] : {std::pair{"pairs.check", pairs[i].check},
                                      std::pair{"pairs.tag", pairs[i].tag}}) {
      if (value != 0 && !(value >= count_min && value <= count_max)) {
        return out_of_range(name, value, "0, or from 1e-6 to 1e12");
      }
    }
  }
  return std::nullopt;
}

struct Sums {
  double check = 0;
  double tag = 0;
  double residual_squares = 0;  // of (check - ratio tag), about the ratio
};

Sums add_up(std::span<const CountPair> pairs) {
  Sums sums;
  for (const auto& pair : pairs) {
    sums.check += pair.check;
    sums.tag += pair.tag;
  }
  if (sums.tag <= 0) return sums;
  const double ratio = sums.check / sums.tag;
  for (const auto& pair : pairs) {
    const double residual = pair.check - ratio * pair.tag;
    sums.residual_squares += residual * residual;
  }
  return sums;
}

// Large units carry more of the ratio: Kish's n / (1 + cv²) of the tags, which is also what
// Satterthwaite gives for residuals whose variance grows with the unit. With n itself coverage
// fell to 94 % at a cv of 45 %.
double effective_pairs(std::span<const CountPair> pairs, const Sums& sums) {
  double squares = 0;
  for (const auto& pair : pairs) squares += pair.tag * pair.tag;
  return sums.tag * sums.tag / squares;
}

Interval back(double log_ratio, double half) {
  return {std::exp(log_ratio - half), std::exp(log_ratio + half)};
}

// Delete-one jackknife of the log ratio. It sees the leverage of large units, which the linearised
// variance misses when pairs are few. Pairs that hold everything have no ratio without them and are
// then given the linearised influence instead.
double jackknife_variance(std::span<const CountPair> pairs, const Sums& sums) {
  const double n = static_cast<double>(pairs.size());
  const double whole = std::log(sums.check / sums.tag);
  double squares = 0;
  for (const auto& pair : pairs) {
    const double check = sums.check - pair.check;
    const double tag = sums.tag - pair.tag;
    const double change = check > 0 && tag > 0
                              ? std::log(check / tag) - whole
                              : pair.check / sums.check - pair.tag / sums.tag;
    squares += change * change;
  }
  return (n - 1) / n * squares;
}

}  // namespace

Result<CountingRatio> counting_ratio(std::span<const CountPair> pairs, double confidence) {
  if (pairs.size() < 2) return too_few("pairs", pairs.size(), 2);
  if (auto error = check(pairs)) return *error;
  if (auto error = check_confidence(confidence)) return *error;
  const Sums sums = add_up(pairs);
  if (sums.check <= 0) return out_of_range("pairs.check", sums.check, "a sum above 0");
  if (sums.tag <= 0) return out_of_range("pairs.tag", sums.tag, "a sum above 0");

  const double n = static_cast<double>(pairs.size());
  CountingRatio result;
  result.pairs = pairs.size();
  result.ratio = sums.check / sums.tag;
  result.log_ratio = std::log(result.ratio);
  result.df = std::max(1.0, effective_pairs(pairs, sums) - 1);
  result.residual_cv = std::sqrt(sums.residual_squares / (n - 1)) / (sums.check / n);
  result.log_standard_error = std::sqrt(jackknife_variance(pairs, sums));
  result.interval = back(result.log_ratio, t_quantile((1 + confidence) / 2, result.df) *
                                               result.log_standard_error);
  return result;
}

Result<PooledRatios> pool_counting_ratios(std::span<const std::vector<CountPair>> pairs,
                                          double confidence) {
  if (auto error = check_confidence(confidence)) return *error;
  // Scatter of one pair, pooled over counters about each one's own ratio.
  double relative_squares = 0;
  double df = 0;
  std::size_t held = 0;
  for (const auto& own : pairs) {
    if (auto error = check(own)) return *error;
    held += own.size();
    const Sums sums = add_up(own);
    if (own.size() < 2 || sums.check <= 0 || sums.tag <= 0) continue;
    const double mean = sums.check / static_cast<double>(own.size());
    relative_squares += sums.residual_squares / (mean * mean);
    df += static_cast<double>(own.size() - 1);
  }
  if (held < 2) return too_few("pairs", held, 2);
  // Few pairs tell the scatter badly, and exact agreement of a few is no proof of exactness: they
  // are joined with a guess worth three pairs.
  df += scatter_prior_df;
  const double scatter = std::sqrt(
      (relative_squares + scatter_prior_df * scatter_prior * scatter_prior) / df);

  std::vector<GroupEstimate> groups;
  std::vector<std::size_t> place(pairs.size(), pairs.size());
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    const Sums sums = add_up(pairs[i]);
    if (sums.check <= 0 || sums.tag <= 0) continue;
    place[i] = groups.size();
    groups.push_back({std::log(sums.check / sums.tag),
                      scatter / std::sqrt(effective_pairs(pairs[i], sums))});
  }
  if (groups.empty()) return out_of_range("pairs", 0, "at least one counter with counts above 0");
  auto pooled = shrink_integrated(groups, {confidence, between_log_sd_prior, df});
  if (!pooled) return pooled.error();

  const double t = t_quantile((1 + confidence) / 2, df);
  PooledRatios result;
  result.ratio = std::exp(pooled->mean);
  result.interval = {std::exp(pooled->interval.low), std::exp(pooled->interval.high)};
  result.between_log_sd = std::sqrt(pooled->between_variance);
  result.new_counter.log_ratio = pooled->mean;
  result.new_counter.ratio = result.ratio;
  result.new_counter.log_standard_error = std::sqrt(pooled->new_group_variance());
  result.new_counter.interval = back(pooled->mean, t * result.new_counter.log_standard_error);
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    if (place[i] == pairs.size()) {
      result.counters.push_back(result.new_counter);
      continue;
    }
    const Shrunk& shrunk = pooled->groups[place[i]];
    result.counters.push_back({std::exp(shrunk.estimate), shrunk.estimate, shrunk.standard_error,
                               {std::exp(shrunk.interval.low), std::exp(shrunk.interval.high)},
                               shrunk.weight_own});
  }
  return result;
}

}  // namespace nthtree::stats
