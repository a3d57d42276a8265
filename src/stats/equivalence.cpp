// SPDX-License-Identifier: Apache-2.0
#include "stats/equivalence.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "stats/quantiles.h"
#include "stats/summary.h"
#include "stats/systematic.h"

namespace nthtree::stats {
namespace {

std::optional<Error> check(const SampleSummary& sample, const char* name) {
  if (sample.n < 2) return too_few(name, sample.n, 2);
  if (!std::isfinite(sample.mean)) return not_finite(name, 0);
  if (!(sample.sd >= 0) || std::isinf(sample.sd)) {
    return out_of_range(name, sample.sd, "a standard deviation of zero or more");
  }
  return std::nullopt;
}

SampleSummary brief(const Summary& summary) { return {summary.mean, summary.sd, summary.n}; }

// t of an estimate against a bound; with no scatter the side alone decides.
double t_against(double estimate, double bound, double standard_error) {
  const double apart = estimate - bound;
  if (standard_error > 0) return apart / standard_error;
  return apart == 0 ? 0 : std::copysign(infinity, apart);
}

}  // namespace

Result<Equivalence> equivalence_from_estimate(double estimate, double standard_error, double df,
                                              const Interval& bounds, double alpha) {
  if (!std::isfinite(estimate)) return not_finite("estimate", 0);
  if (!(standard_error >= 0) || std::isinf(standard_error)) {
    return out_of_range("standard_error", standard_error, "zero or more");
  }
  if (!(df > 0)) return out_of_range("df", df, "above 0");
  if (!(bounds.low < bounds.high)) {
    return out_of_range("bounds.low", bounds.low, "below bounds.high");
  }
  if (!(alpha > 0 && alpha < 0.5)) return out_of_range("alpha", alpha, "above 0 and below 0.5");
  Equivalence result;
  result.estimate = estimate;
  result.standard_error = standard_error;
  result.df = df;
  result.t_low = t_against(estimate, bounds.low, standard_error);
  result.t_high = t_against(estimate, bounds.high, standard_error);
  result.p_low = t_cdf(-result.t_low, df);
  result.p_high = t_cdf(result.t_high, df);
  result.p_value = std::max(result.p_low, result.p_high);
  const double half = t_quantile(1 - alpha, df) * standard_error;
  result.interval = {estimate - half, estimate + half};
  result.shown = result.p_value <= alpha;
  return result;
}

Result<Equivalence> equivalence_one_sample(const SampleSummary& sample, const Interval& bounds,
                                           double alpha, double population) {
  if (auto error = check(sample, "sample")) return *error;
  const double n = static_cast<double>(sample.n);
  const double size = population > 0 ? population : infinity;
  if (!(size >= n)) return out_of_range("population", population, "the sample size or more");
  const double standard_error =
      sample.sd * std::sqrt(finite_population_correction(n, size) / n);
  return equivalence_from_estimate(sample.mean, standard_error, n - 1, bounds, alpha);
}

Result<Equivalence> equivalence_one_sample(std::span<const double> values, const Interval& bounds,
                                           double alpha, double population) {
  if (auto error = check_values(values, "values", 2)) return *error;
  return equivalence_one_sample(brief(*summarize(values)), bounds, alpha, population);
}

Result<Equivalence> equivalence_two_samples(const SampleSummary& a, const SampleSummary& b,
                                            const Interval& bounds, double alpha, bool pooled) {
  if (auto error = check(a, "a")) return *error;
  if (auto error = check(b, "b")) return *error;
  const double n_a = static_cast<double>(a.n);
  const double n_b = static_cast<double>(b.n);
  const double v_a = a.sd * a.sd / n_a;
  const double v_b = b.sd * b.sd / n_b;
  double variance = v_a + v_b;
  double df = n_a + n_b - 2;
  if (pooled) {
    const double shared = ((n_a - 1) * a.sd * a.sd + (n_b - 1) * b.sd * b.sd) / df;
    variance = shared * (1 / n_a + 1 / n_b);
  } else if (variance > 0) {
    const double share = v_a / variance;
    df = 1 / (share * share / (n_a - 1) + (1 - share) * (1 - share) / (n_b - 1));
  }
  return equivalence_from_estimate(a.mean - b.mean, std::sqrt(variance), df, bounds, alpha);
}

Result<Equivalence> equivalence_two_samples(std::span<const double> a, std::span<const double> b,
                                            const Interval& bounds, double alpha, bool pooled) {
  if (auto error = check_values(a, "a", 2)) return *error;
  if (auto error = check_values(b, "b", 2)) return *error;
  return equivalence_two_samples(brief(*summarize(a)), brief(*summarize(b)), bounds, alpha,
                                 pooled);
}

Result<Equivalence> equivalence_paired(std::span<const double> a, std::span<const double> b,
                                       const Interval& bounds, double alpha) {
  if (auto error = check_values(a, "a", 2)) return *error;
  if (auto error = check_values(b, "b", 2)) return *error;
  if (a.size() != b.size()) {
    return out_of_range("b", static_cast<double>(b.size()), "as many values as a");
  }
  std::vector<double> differences(a.size());
  for (std::size_t i = 0; i < a.size(); ++i) differences[i] = a[i] - b[i];
  return equivalence_one_sample(differences, bounds, alpha);
}

Result<Equivalence> equivalence_paired(const SampleSummary& a, const SampleSummary& b,
                                       double correlation, const Interval& bounds, double alpha) {
  if (auto error = check(a, "a")) return *error;
  if (auto error = check(b, "b")) return *error;
  if (!(correlation >= -1 && correlation <= 1)) {
    return out_of_range("correlation", correlation, "from -1 to 1");
  }
  const double variance =
      std::max(0.0, a.sd * a.sd + b.sd * b.sd - 2 * correlation * a.sd * b.sd);
  return equivalence_one_sample({a.mean - b.mean, std::sqrt(variance), a.n}, bounds, alpha);
}

}  // namespace nthtree::stats
