// SPDX-License-Identifier: Apache-2.0
#include "stats/sample_size.h"

#include <algorithm>
#include <cmath>

#include "stats/quantiles.h"
#include "stats/systematic.h"

namespace nthtree::stats {
namespace {

double two_sided_z(double confidence) { return normal_quantile((1 + confidence) / 2); }

std::optional<Error> check_equivalence(double difference, double sd, double bound, double alpha) {
  if (auto error = check_positive(sd, "sd")) return error;
  if (auto error = check_positive(bound, "bound")) return error;
  if (!(std::fabs(difference) < bound)) {
    return out_of_range("difference", difference, "inside the bound");
  }
  return check_open_unit(alpha, "alpha");
}

}  // namespace

std::size_t whole_units(double n) {
  NTHTREE_ASSERT(n >= 0 && n < 1e15);
  return static_cast<std::size_t>(std::ceil(n * (1 - 1e-12)));
}

Result<std::size_t> sample_size_for_mean(double cv, double relative, double confidence,
                                         double population) {
  if (auto error = check_positive(cv, "cv")) return *error;
  if (auto error = check_positive(relative, "relative")) return *error;
  if (auto error = check_confidence(confidence)) return *error;
  if (!(population >= 2)) return out_of_range("population", population, "2 or more");
  const double level = (1 + confidence) / 2;
  const auto reached = [&](std::size_t n) {
    const double size = static_cast<double>(n);
    return t_quantile(level, size - 1) * cv *
               std::sqrt(finite_population_correction(size, population) / size) <=
           relative;
  };
  const std::size_t all = population < static_cast<double>(sample_size_max)
                              ? static_cast<std::size_t>(population)
                              : sample_size_max;
  // The width falls with every value, so the range may be halved.
  std::size_t low = 1, high = all;
  if (!reached(all)) {
    if (all == sample_size_max) return out_of_range("relative", relative, "larger for this cv");
    return all;
  }
  while (high - low > 1) {
    const std::size_t middle = low + (high - low) / 2;
    (reached(middle) ? high : low) = middle;
  }
  return high;
}

Result<double> sample_size_for_mean_normal(double cv, double relative, double confidence) {
  if (auto error = check_positive(cv, "cv")) return *error;
  if (auto error = check_positive(relative, "relative")) return *error;
  if (auto error = check_confidence(confidence)) return *error;
  const double root = two_sided_z(confidence) * cv / relative;
  return root * root;
}

Result<double> sample_size_for_proportion(double p, double half_width, double confidence) {
  if (auto error = check_open_unit(p, "p")) return *error;
  if (auto error = check_open_unit(half_width, "half_width")) return *error;
  if (auto error = check_confidence(confidence)) return *error;
  const double z = two_sided_z(confidence);
  return z * z * p * (1 - p) / (half_width * half_width);
}

double corrected_for_population(double n0, double population) {
  NTHTREE_ASSERT(n0 > 0 && population > 0);
  return n0 / (1 + n0 / population);
}

double corrected_for_population_proportion(double n0, double population) {
  NTHTREE_ASSERT(n0 > 0 && population > 0);
  return n0 / (1 + (n0 - 1) / population);
}

double design_effect(double rho, double trials_per_cluster, double size_sd) {
  NTHTREE_ASSERT(rho >= 0 && rho <= 1 && trials_per_cluster > 0 && size_sd >= 0);
  const double size_cv = size_sd / trials_per_cluster;
  return 1 + ((size_cv * size_cv + 1) * trials_per_cluster - 1) * rho;
}

Result<double> sample_size_for_equivalence(double difference, double sd, double bound,
                                           double alpha, double power) {
  if (auto error = check_equivalence(difference, sd, bound, alpha)) return *error;
  if (auto error = check_open_unit(power, "power")) return *error;
  const double z = normal_quantile(1 - alpha) + normal_quantile(1 - (1 - power) / 2);
  const double room = bound - std::fabs(difference);
  return 2 * z * z * sd * sd / (room * room);
}

Result<double> equivalence_power(double difference, double sd, double bound, double n,
                                 double alpha) {
  if (auto error = check_equivalence(difference, sd, bound, alpha)) return *error;
  if (auto error = check_positive(n, "n")) return *error;
  const double room = bound - std::fabs(difference);
  const double z = std::sqrt(n / 2) * room / sd - normal_quantile(1 - alpha);
  return std::max(0.0, 2 * normal_cdf(z) - 1);
}

}  // namespace nthtree::stats
