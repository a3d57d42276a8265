// SPDX-License-Identifier: Apache-2.0
#include "stats/shrinkage.h"

#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>

#include "stats/gauss_nodes.h"
#include "stats/policy.h"
#include "stats/quantiles.h"

namespace nthtree::stats {
namespace {

std::optional<Error> check(std::span<const GroupEstimate> groups, std::size_t wanted) {
  if (groups.size() < wanted) return too_few("groups", groups.size(), wanted);
  for (std::size_t i = 0; i < groups.size(); ++i) {
    if (!std::isfinite(groups[i].estimate)) return not_finite("groups.estimate", i);
    if (std::fabs(groups[i].estimate) > value_size_max) {
      return out_of_range("groups.estimate", groups[i].estimate, "a size of at most 1e90");
    }
    if (auto error = check_positive(groups[i].standard_error, "groups.standard_error")) {
      return error;
    }
  }
  return std::nullopt;
}

struct Weighted {
  double mean = 0;
  double weights = 0;
  double q = 0;
};

Weighted weigh(std::span<const GroupEstimate> groups, double tau_squared) {
  Weighted result;
  double sum = 0;
  for (const auto& g : groups) {
    const double w = 1 / (g.standard_error * g.standard_error + tau_squared);
    result.weights += w;
    sum += w * g.estimate;
  }
  result.mean = sum / result.weights;
  for (const auto& g : groups) {
    const double w = 1 / (g.standard_error * g.standard_error + tau_squared);
    result.q += w * (g.estimate - result.mean) * (g.estimate - result.mean);
  }
  return result;
}

double dersimonian_laird(std::span<const GroupEstimate> groups) {
  const Weighted fixed = weigh(groups, 0);
  double squares = 0;
  for (const auto& g : groups) squares += std::pow(g.standard_error, -4);
  const double df = static_cast<double>(groups.size() - 1);
  return std::max(0.0, (fixed.q - df) / (fixed.weights - squares / fixed.weights));
}

// Q falls steadily as tau² grows, so the root is bracketed by 0 and a doubled upper end.
double paule_mandel(std::span<const GroupEstimate> groups) {
  const double df = static_cast<double>(groups.size() - 1);
  const auto excess = [&](double tau_squared) { return weigh(groups, tau_squared).q - df; };
  if (excess(0) <= 0) return 0;
  double high = 0;
  for (const auto& g : groups) high = std::max(high, g.standard_error * g.standard_error);
  while (excess(high) > 0) high *= 2;
  std::uintmax_t rounds = 200;
  const auto root = boost::math::tools::toms748_solve(
      excess, 0.0, high, boost::math::tools::eps_tolerance<double>(48), rounds, Policy());
  return (root.first + root.second) / 2;
}

Interval around(double centre, double half) { return {centre - half, centre + half}; }

Pooled single(const GroupEstimate& group, double z, double prior) {
  Pooled pooled;
  pooled.mean = group.estimate;
  pooled.standard_error = group.standard_error;
  pooled.between_variance = std::isfinite(prior) ? prior : 0;
  pooled.interval = around(group.estimate,
                           z * std::hypot(group.standard_error,
                                          std::sqrt(pooled.between_variance)));
  pooled.groups.push_back(
      {group.estimate, group.standard_error, around(group.estimate, z * group.standard_error), 1});
  return pooled;
}

}  // namespace

Result<double> between_variance(std::span<const GroupEstimate> groups, BetweenMethod method) {
  if (auto error = check(groups, 2)) return *error;
  return method == BetweenMethod::paule_mandel ? paule_mandel(groups) : dersimonian_laird(groups);
}

Result<Pooled> shrink(std::span<const GroupEstimate> groups, double confidence,
                      BetweenMethod method, double between_variance_prior) {
  if (auto error = check(groups, 1)) return *error;
  if (auto error = check_confidence(confidence)) return *error;
  if (!(between_variance_prior >= 0)) {
    return out_of_range("between_variance_prior", between_variance_prior, "zero or more");
  }
  const double z = normal_quantile((1 + confidence) / 2);
  if (groups.size() == 1) return single(groups[0], z, between_variance_prior);

  const double m = static_cast<double>(groups.size());
  Pooled pooled;
  pooled.q = weigh(groups, 0).q;
  pooled.p_value_equal = chi_squared_upper(pooled.q, m - 1);
  pooled.share_between = pooled.q > m - 1 ? (pooled.q - (m - 1)) / pooled.q : 0;
  pooled.between_variance =
      method == BetweenMethod::paule_mandel ? paule_mandel(groups) : dersimonian_laird(groups);
  const Weighted weighted = weigh(groups, pooled.between_variance);
  pooled.mean = weighted.mean;
  pooled.standard_error = 1 / std::sqrt(weighted.weights);
  // Knapp and Hartung's t with m - 1 degrees of freedom would be wider still for two groups; the
  // t quantile alone keeps the mean honest for small crews.
  pooled.interval = around(pooled.mean,
                           t_quantile((1 + confidence) / 2, m - 1) * pooled.standard_error);
  double mean_v = 0;
  for (const auto& g : groups) mean_v += g.standard_error * g.standard_error / m;
  for (const auto& g : groups) {
    const double v = g.standard_error * g.standard_error;
    const double kept = pooled.between_variance / (v + pooled.between_variance);
    // Morris: the factor (m - 3)/(m - 1) keeps the shrinkage itself from being overrated. Two or
    // three groups can hardly tell how far they belong together: a quarter of the way then.
    const double pull = (1 - kept) * (m > 3 ? (m - 3) / (m - 1) : 0.25);
    const double apart = g.estimate - pooled.mean;
    const double doubt = m > 3 ? 2 / (m - 3) : 2;
    const double variance = v * (1 - (m - 1) / m * pull) +
                            doubt * pull * pull * (mean_v + pooled.between_variance) /
                                (v + pooled.between_variance) * apart * apart;
    Shrunk shrunk;
    shrunk.weight_own = 1 - pull;
    shrunk.estimate = pooled.mean + (1 - pull) * apart;
    shrunk.standard_error = std::sqrt(variance);
    shrunk.interval = around(shrunk.estimate, z * shrunk.standard_error);
    pooled.groups.push_back(shrunk);
  }
  return pooled;
}

Result<Pooled> shrink_integrated(std::span<const GroupEstimate> groups,
                                 const IntegratedOptions& options) {
  if (auto error = check(groups, 1)) return *error;
  if (auto error = check_confidence(options.confidence)) return *error;
  if (auto error = check_positive(options.between_sd_prior, "between_sd_prior")) return *error;
  if (!(options.df > 0)) return out_of_range("df", options.df, "above 0");
  // Nodes spread by the prior itself: u uniform on 0 … 1 is tau half-normal.
  const GaussNodes nodes = gauss_nodes(0, 1, 1);
  const std::size_t n = nodes.at.size();
  std::vector<double> tau_squared(n), log_weight(n);
  std::vector<Weighted> at(n);
  for (std::size_t j = 0; j < n; ++j) {
    const double tau = options.between_sd_prior * normal_quantile((1 + nodes.at[j]) / 2);
    tau_squared[j] = tau * tau;
    at[j] = weigh(groups, tau_squared[j]);
    log_weight[j] = std::log(nodes.weight[j]) - at[j].q / 2 - std::log(at[j].weights) / 2;
    for (const auto& g : groups) {
      log_weight[j] -= std::log(g.standard_error * g.standard_error + tau_squared[j]) / 2;
    }
  }
  const double top = *std::max_element(log_weight.begin(), log_weight.end());
  double whole = 0;
  for (double& w : log_weight) whole += w = std::exp(w - top);
  for (double& w : log_weight) w /= whole;

  const double t = t_quantile((1 + options.confidence) / 2, options.df);
  Pooled pooled;
  pooled.q = weigh(groups, 0).q;
  const double m = static_cast<double>(groups.size());
  if (m > 1) pooled.p_value_equal = chi_squared_upper(pooled.q, m - 1);
  pooled.share_between = pooled.q > m - 1 ? (pooled.q - (m - 1)) / pooled.q : 0;
  double mean_squares = 0;
  for (std::size_t j = 0; j < n; ++j) {
    pooled.mean += log_weight[j] * at[j].mean;
    pooled.between_variance += log_weight[j] * tau_squared[j];
  }
  for (std::size_t j = 0; j < n; ++j) {
    const double apart = at[j].mean - pooled.mean;
    mean_squares += log_weight[j] * (1 / at[j].weights + apart * apart);
  }
  pooled.standard_error = std::sqrt(mean_squares);
  pooled.interval = around(pooled.mean, t * pooled.standard_error);
  for (const auto& g : groups) {
    const double v = g.standard_error * g.standard_error;
    Shrunk shrunk;
    double squares = 0;
    for (std::size_t j = 0; j < n; ++j) {
      const double kept = tau_squared[j] / (v + tau_squared[j]);
      const double centre = at[j].mean + kept * (g.estimate - at[j].mean);
      shrunk.weight_own += log_weight[j] * kept;
      shrunk.estimate += log_weight[j] * centre;
      squares += log_weight[j] * (centre - g.estimate) * (centre - g.estimate);
      squares += log_weight[j] * (v * kept + (1 - kept) * (1 - kept) / at[j].weights);
    }
    const double offset = shrunk.estimate - g.estimate;
    shrunk.standard_error = std::sqrt(std::max(0.0, squares - offset * offset));
    shrunk.interval = around(shrunk.estimate, t * shrunk.standard_error);
    pooled.groups.push_back(shrunk);
  }
  return pooled;
}

}  // namespace nthtree::stats
