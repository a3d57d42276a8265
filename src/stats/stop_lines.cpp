// SPDX-License-Identifier: Apache-2.0
#include "stats/stop_lines.h"

#include <cmath>
#include <vector>

#include "stats/ratio_estimator.h"

namespace nthtree::stats {

Result<double> green_stop_line(double a, double b, double precision, double n) {
  if (auto error = check_positive(a, "a")) return *error;
  if (!std::isfinite(b) || b == 2) return out_of_range("b", b, "any number but 2");
  if (auto error = check_positive(precision, "precision")) return *error;
  if (!(n >= 1) || std::isinf(n)) return out_of_range("n", n, "1 or more");
  // From D² = a m^b / (n m²) with m = T / n.
  const double log_total =
      std::log(precision * precision / a) / (b - 2) + (b - 1) / (b - 2) * std::log(n);
  const double total = std::exp(log_total);
  if (!std::isfinite(total)) return out_of_range("b", b, "further from 2");
  return total;
}

Result<double> kuno_stop_line(double alpha, double beta, double precision, double n) {
  if (!(alpha > -1) || std::isinf(alpha)) return out_of_range("alpha", alpha, "above -1");
  if (!std::isfinite(beta)) return not_finite("beta", 0);
  if (auto error = check_positive(precision, "precision")) return *error;
  if (!(n >= 1) || std::isinf(n)) return out_of_range("n", n, "1 or more");
  const double left = precision * precision - (beta - 1) / n;
  if (!(left > 0)) return out_of_range("n", n, "more than (beta - 1) / precision²");
  return (alpha + 1) / left;
}

Result<double> negative_binomial_stop_line(double k, double precision, double n) {
  if (!(k > 0)) return out_of_range("k", k, "above 0");
  return kuno_stop_line(0, 1 + 1 / k, precision, n);
}

Result<double> taylor_sample_size(double a, double b, double mean, double precision) {
  if (auto error = check_positive(a, "a")) return *error;
  if (!std::isfinite(b)) return not_finite("b", 0);
  if (auto error = check_positive(mean, "mean")) return *error;
  if (auto error = check_positive(precision, "precision")) return *error;
  return a * std::pow(mean, b - 2) / (precision * precision);
}

Result<double> negative_binomial_sample_size(double mean, double k, double precision) {
  if (auto error = check_positive(mean, "mean")) return *error;
  if (!(k > 0)) return out_of_range("k", k, "above 0");
  if (auto error = check_positive(precision, "precision")) return *error;
  return (1 / mean + 1 / k) / (precision * precision);
}

namespace {

struct Line {
  double intercept, slope;
};

// Least squares of y on x over the groups whose mean and variance are above 0.
template <typename X, typename Y>
Result<Line> line_over_groups(std::span<const double> means, std::span<const double> variances,
                              X&& x_of, Y&& y_of) {
  if (auto error = check_values(means, "means", 2)) return *error;
  if (auto error = check_values(variances, "variances", 2)) return *error;
  if (means.size() != variances.size()) {
    return out_of_range("variances", static_cast<double>(variances.size()), "as many as means");
  }
  std::vector<double> x, y;
  for (std::size_t i = 0; i < means.size(); ++i) {
    if (!(means[i] > 0 && variances[i] > 0)) continue;
    x.push_back(x_of(means[i]));
    y.push_back(y_of(means[i], variances[i]));
  }
  auto m = pair_moments(y, x, 2);
  if (!m) return too_few("means", x.size(), 2);
  if (!(m->xx > 0)) return out_of_range("means", means[0], "means that differ");
  const double slope = m->xy / m->xx;
  return Line{m->y_mean - slope * m->x_mean, slope};
}

}  // namespace

Result<TaylorLaw> fit_taylor_law(std::span<const double> means,
                                 std::span<const double> variances) {
  const auto line = line_over_groups(
      means, variances, [](double mean) { return std::log(mean); },
      [](double, double variance) { return std::log(variance); });
  if (!line) return line.error();
  return TaylorLaw{std::exp(line->intercept), line->slope};
}

Result<IwaoLaw> fit_iwao_law(std::span<const double> means, std::span<const double> variances) {
  const auto line = line_over_groups(
      means, variances, [](double mean) { return mean; },
      [](double mean, double variance) { return mean + variance / mean - 1; });
  if (!line) return line.error();
  return IwaoLaw{line->intercept, line->slope};
}

}  // namespace nthtree::stats
