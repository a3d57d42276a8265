// SPDX-License-Identifier: Apache-2.0
// Run lengths of the charts declared in cusum.h.
#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <limits>
#include <tuple>

#include "stats/cusum.h"
#include "stats/gauss_nodes.h"
#include "stats/linear_solve.h"
#include "stats/policy.h"
#include "stats/quantiles.h"

namespace nthtree::stats {
namespace {

constexpr double h_max = 50;            // beyond it no chart is of use and the grid grows too fine
constexpr std::size_t states_max = 1500;
constexpr double run_length_max = 1e12; // the linear system has no digits left beyond it

std::optional<Error> check(double k, double h, double shift, double head_start) {
  if (!(k >= 0) || std::isinf(k)) return out_of_range("k", k, "zero or more");
  if (!(h > 0 && h <= h_max)) return out_of_range("h", h, "above 0 up to 50");
  if (!std::isfinite(shift)) return not_finite("shift", 0);
  if (!(head_start >= 0 && head_start <= h)) {
    return out_of_range("head_start", head_start, "from 0 to h");
  }
  return std::nullopt;
}

Error no_solution() {
  return {"no_solution", "The run length is too long to be worked out.", "h"};
}

// L(u) = 1 + L(0) Φ(k - shift - u) + ∫_0^h L(y) φ(y - u + k - shift) dy: one unknown per node and
// one for the sum at zero.
struct OneSided {
  GaussNodes nodes;
  std::vector<double> length;  // at the nodes, then at zero
  double lag = 0;              // k - shift
  double at(double start) const {
    double sum = 1 + length.back() * normal_cdf(lag - start);
    for (std::size_t i = 0; i < nodes.at.size(); ++i) {
      sum += length[i] * nodes.weight[i] * normal_density(nodes.at[i] - start + lag);
    }
    return sum;
  }
};

std::optional<OneSided> solve_one_sided(double k, double h, double shift) {
  OneSided chart;
  chart.lag = k - shift;
  // 30 nodes over five standard deviations give the kernel ten digits and more.
  chart.nodes = gauss_nodes(0, h, static_cast<std::size_t>(std::ceil(h / 5)));
  const std::size_t n = chart.nodes.at.size() + 1;
  std::vector<double> matrix(n * n);
  for (std::size_t row = 0; row < n; ++row) {
    const double start = row + 1 < n ? chart.nodes.at[row] : 0;
    for (std::size_t i = 0; i + 1 < n; ++i) {
      matrix[row * n + i] = -chart.nodes.weight[i] *
                            normal_density(chart.nodes.at[i] - start + chart.lag);
    }
    matrix[row * n + n - 1] = -normal_cdf(chart.lag - start);
    matrix[row * n + row] += 1;
  }
  chart.length.assign(n, 1);
  if (!solve_in_place(matrix, chart.length)) return std::nullopt;
  if (!(chart.length.back() >= 1 && chart.length.back() < run_length_max)) return std::nullopt;
  return chart;
}

}  // namespace

Result<double> cusum_run_length_one_sided(double k, double h, double shift, double head_start) {
  if (auto error = check(k, h, shift, head_start)) return *error;
  const auto chart = solve_one_sided(k, h, shift);
  if (!chart) return no_solution();
  return chart->at(head_start);
}

Result<double> cusum_run_length(double k, double h, double shift, double head_start) {
  if (auto error = check(k, h, shift, head_start)) return *error;
  const auto towards = solve_one_sided(k, h, std::fabs(shift));
  if (!towards) return no_solution();
  // The side that the shift leaves behind may practically never signal.
  const auto away = solve_one_sided(k, h, -std::fabs(shift));
  const double up0 = towards->at(0);
  const double up = towards->at(head_start);
  if (!away) return up;
  const double down0 = away->at(0);
  const double down = away->at(head_start);
  return (up * down0 + down * up0 - up0 * down0) / (up0 + down0);
}

Result<double> cusum_h_for_run_length(double k, double run_length, bool two_sided) {
  if (!(k >= 0) || std::isinf(k)) return out_of_range("k", k, "zero or more");
  if (!(run_length > 2 && run_length <= 1e9)) {
    return out_of_range("run_length", run_length, "above 2 up to 1e9");
  }
  // ln ARL is nearly straight in h, which makes the root easy. For a wanted length the two sides
  // are alike: the one-sided length is twice the two-sided one.
  const double wanted = std::log(two_sided ? 2 * run_length : run_length);
  const auto excess = [&](double h) {
    const auto chart = solve_one_sided(k, h, 0);
    return (chart ? std::log(chart->at(0)) : std::log(run_length_max)) - wanted;
  };
  double low = 1e-3;
  if (excess(low) > 0) return out_of_range("k", k, "small enough for the run length");
  double high = 4;
  while (excess(high) < 0) {
    low = high;
    high *= 1.6;
    if (high > h_max) {
      high = h_max;
      if (excess(high) < 0) return out_of_range("run_length", run_length, "one with h up to 50");
    }
  }
  std::uintmax_t rounds = 100;
  const auto root = boost::math::tools::toms748_solve(
      excess, low, high, boost::math::tools::eps_tolerance<double>(40), rounds, Policy());
  return (root.first + root.second) / 2;
}

Result<double> cusum_run_length_markov(double k, double h, double shift, std::size_t states) {
  if (auto error = check(k, h, shift, 0)) return *error;
  if (states < 2 || states > states_max) {
    return out_of_range("states", static_cast<double>(states), "from 2 to 1500");
  }
  // Cell 0 holds sums up to half a width; cell j sums around j widths (Brook and Evans 1972).
  const double width = 2 * h / (2 * static_cast<double>(states) - 1);
  const double lag = k - shift;
  std::vector<double> matrix(states * states);
  for (std::size_t i = 0; i < states; ++i) {
    for (std::size_t j = 0; j < states; ++j) {
      const double apart = (static_cast<double>(j) - static_cast<double>(i)) * width + lag;
      const double through = normal_cdf(apart + width / 2);
      const double chance = j == 0 ? through : through - normal_cdf(apart - width / 2);
      matrix[i * states + j] = (i == j ? 1 : 0) - chance;
    }
  }
  std::vector<double> length(states, 1);
  if (!solve_in_place(matrix, length)) return no_solution();
  return length[0];
}

Result<double> cusum_run_length_siegmund(double k, double h, double shift) {
  if (auto error = check(k, h, shift, 0)) return *error;
  const double b = h + 1.166;  // 2 · 0.583, the mean overshoot of a normal walk
  const double drift = shift - k;
  if (std::fabs(drift) < 1e-6) return b * b;
  return (std::expm1(-2 * drift * b) + 2 * drift * b) / (2 * drift * drift);
}

Result<double> count_cusum_run_length(const CountCusum& chart, double mean,
                                      double dispersion_k) {
  if (auto error = check_positive(chart.lattice, "lattice")) return *error;
  if (auto error = check_positive(mean, "mean")) return *error;
  if (!(dispersion_k > 0)) return out_of_range("dispersion_k", dispersion_k, "above 0");
  const double parts[] = {chart.k, chart.h, chart.head_start, 1};
  const char* names[] = {"k", "h", "head_start", "lattice"};
  std::int64_t steps[4];
  for (int i = 0; i < 4; ++i) {
    const double whole = std::round(parts[i] / chart.lattice);
    if (!(parts[i] >= 0) || std::fabs(whole * chart.lattice - parts[i]) > 1e-9 * (1 + parts[i])) {
      return out_of_range(names[i], parts[i], "a whole multiple of lattice");
    }
    steps[i] = static_cast<std::int64_t>(whole);
  }
  const auto [k, h, head_start, unit] = std::tuple{steps[0], steps[1], steps[2], steps[3]};
  if (h < 1 || h > static_cast<std::int64_t>(states_max)) {
    return out_of_range("h", chart.h, "from 1 to 1500 steps of the lattice");
  }
  if (head_start >= h) return out_of_range("head_start", chart.head_start, "below h");

  const std::size_t n = static_cast<std::size_t>(h);
  std::vector<double> matrix(n * n);
  for (std::size_t i = 0; i < n; ++i) matrix[i * n + i] = 1;
  const std::int64_t most = negative_binomial_quantile(1 - 1e-15, mean, dispersion_k) + 1;
  for (std::int64_t count = 0; count <= most; ++count) {
    const double chance = negative_binomial_mass(count, mean, dispersion_k);
    const std::int64_t change = chart.up ? count * unit - k : k - count * unit;
    for (std::int64_t i = 0; i < h; ++i) {
      const std::int64_t next = std::max<std::int64_t>(0, i + change);
      if (next < h) matrix[static_cast<std::size_t>(i * h + next)] -= chance;
    }
  }
  std::vector<double> length(n, 1);
  if (!solve_in_place(matrix, length)) return no_solution();
  const double result = length[static_cast<std::size_t>(head_start)];
  if (!(result >= 1 && result < run_length_max)) return no_solution();
  return result;
}

}  // namespace nthtree::stats
