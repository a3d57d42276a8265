// SPDX-License-Identifier: Apache-2.0
#include "stats/ewma.h"

#include <algorithm>
#include <boost/math/tools/roots.hpp>
#include <cmath>

#include "stats/gauss_nodes.h"
#include "stats/linear_solve.h"
#include "stats/policy.h"
#include "stats/quantiles.h"

namespace nthtree::stats {
namespace {

std::optional<Error> check(double lambda, double width) {
  if (!(lambda >= 0.01 && lambda <= 1)) return out_of_range("lambda", lambda, "from 0.01 to 1");
  if (!(width > 0 && width <= 6)) return out_of_range("width", width, "above 0 up to 6");
  return std::nullopt;
}

double fixed_limit(double lambda, double width) {
  return width * std::sqrt(lambda / (2 - lambda));
}

// The kernel is a normal density of standard deviation λ: 30 nodes for every five of them.
std::size_t panels_for(double low, double high, double lambda) {
  return static_cast<std::size_t>(std::ceil((high - low) / (5 * lambda))) + 1;
}

// L(z) = 1 + 1/λ ∫_{-c}^{c} L(y) φ((y - (1-λ) z)/λ - shift) dy.
struct Chart {
  double lambda = 1;
  double shift = 0;
  GaussNodes nodes;
  std::vector<double> length;
  double kernel(double from, double to) const {
    return normal_density((to - (1 - lambda) * from) / lambda - shift) / lambda;
  }
  double at(double z) const {
    double sum = 1;
    for (std::size_t i = 0; i < nodes.at.size(); ++i) {
      sum += nodes.weight[i] * length[i] * kernel(z, nodes.at[i]);
    }
    return sum;
  }
};

std::optional<Chart> solve(double lambda, double limit, double shift) {
  Chart chart;
  chart.lambda = lambda;
  chart.shift = shift;
  chart.nodes = gauss_nodes(-limit, limit, panels_for(-limit, limit, lambda));
  const std::size_t n = chart.nodes.at.size();
  std::vector<double> matrix(n * n);
  for (std::size_t row = 0; row < n; ++row) {
    for (std::size_t i = 0; i < n; ++i) {
      matrix[row * n + i] =
          (row == i ? 1 : 0) -
          chart.nodes.weight[i] * chart.kernel(chart.nodes.at[row], chart.nodes.at[i]);
    }
  }
  chart.length.assign(n, 1);
  if (!solve_in_place(matrix, chart.length)) return std::nullopt;
  return chart;
}

// Limits of one moment, and whether they have settled on the fixed ones.
struct Step {
  Interval limits;
  bool settled = false;
};

// Run length under limits that change: the density of the living average is carried from step to
// step until the limits have settled, then the plain chart's run length takes over.
template <typename Limits>
double follow(const Chart& settled, double from, Limits limits_at) {
  double total = 1;
  std::vector<double> mass;
  GaussNodes before;
  for (int t = 1;; ++t) {
    const Step step = limits_at(t);
    if (!(step.limits.low < step.limits.high)) return total;
    const GaussNodes now =
        gauss_nodes(step.limits.low, step.limits.high,
                    panels_for(step.limits.low, step.limits.high, settled.lambda));
    std::vector<double> next(now.at.size());
    double alive = 0;
    for (std::size_t i = 0; i < now.at.size(); ++i) {
      double density = t == 1 ? settled.kernel(from, now.at[i]) : 0;
      for (std::size_t j = 0; j < before.at.size(); ++j) {
        density += mass[j] * settled.kernel(before.at[j], now.at[i]);
      }
      next[i] = now.weight[i] * density;
      alive += next[i];
    }
    mass = next;
    before = now;
    if (alive < 1e-12) return total;
    if (step.settled) {
      for (std::size_t i = 0; i < mass.size(); ++i) total += mass[i] * settled.at(now.at[i]);
      return total;
    }
    total += alive;
  }
}

Error no_width() {
  return {"no_solution", "The run length is too long to be worked out.", "width"};
}

}  // namespace

EwmaState start(const EwmaDesign& design) { return {design.target, 0, 0}; }

Interval ewma_limits(const EwmaDesign& design, std::size_t n) {
  double half = design.sd * fixed_limit(design.lambda, design.width);
  if (design.exact_limits) {
    half *= std::sqrt(-std::expm1(2 * static_cast<double>(n) * std::log1p(-design.lambda)));
  }
  return {design.target - half, design.target + half};
}

EwmaState& step(const EwmaDesign& design, EwmaState& state, double value) {
  NTHTREE_ASSERT(std::isfinite(value));
  ++state.n;
  state.z += design.lambda * (value - state.z);
  const Interval limits = ewma_limits(design, state.n);
  state.signal = state.z > limits.high ? 1 : state.z < limits.low ? -1 : 0;
  return state;
}

Result<EwmaRun> run_ewma(const EwmaDesign& design, std::span<const double> values) {
  if (auto error = check_values(values, "values", 0)) return *error;
  if (!std::isfinite(design.target)) return not_finite("target", 0);
  if (auto error = check_positive(design.sd, "sd")) return *error;
  if (auto error = check_positive(design.width, "width")) return *error;
  if (!(design.lambda > 0 && design.lambda <= 1)) {
    return out_of_range("lambda", design.lambda, "above 0 up to 1");
  }
  EwmaRun run;
  EwmaState state = start(design);
  for (double value : values) {
    step(design, state, value);
    run.z.push_back(state.z);
    if (run.side == 0 && state.signal != 0) {
      run.side = state.signal;
      run.signal_at = state.n;
    }
  }
  return run;
}

Result<double> ewma_run_length(double lambda, double width, double shift) {
  if (auto error = check(lambda, width)) return *error;
  if (!std::isfinite(shift)) return not_finite("shift", 0);
  const auto chart = solve(lambda, fixed_limit(lambda, width), shift);
  if (!chart) return no_width();
  return chart->at(0);
}

Result<double> ewma_run_length_fast(double lambda, double width, double shift,
                                    double head_start) {
  if (auto error = check(lambda, width)) return *error;
  if (!std::isfinite(shift)) return not_finite("shift", 0);
  if (!(head_start >= 0 && head_start <= 1)) {
    return out_of_range("head_start", head_start, "from 0 to 1");
  }
  // Two averages run side by side from ± the head start until either passes its limit. The lower
  // one trails the upper by 2 h (1-λ)^t, so following the upper one is enough: alive while it is
  // under c and the lower one over -c.
  const double c = fixed_limit(lambda, width);
  const auto settled = solve(lambda, c, shift);
  if (!settled) return no_width();
  return follow(*settled, head_start * c, [=](int t) {
    const double gap = 2 * head_start * c * std::pow(1 - lambda, t);
    return Step{{-c + gap, c}, gap < 1e-7 * c};
  });
}

Result<double> ewma_run_length_exact(double lambda, double width, double shift) {
  if (auto error = check(lambda, width)) return *error;
  if (!std::isfinite(shift)) return not_finite("shift", 0);
  const double c = fixed_limit(lambda, width);
  const auto settled = solve(lambda, c, shift);
  if (!settled) return no_width();
  return follow(*settled, 0, [=](int t) {
    const double grown = -std::expm1(2 * t * std::log1p(-lambda));
    const double limit = c * std::sqrt(grown);
    return Step{{-limit, limit}, 1 - grown < 1e-9};
  });
}

Result<double> ewma_width_for_run_length(double lambda, double run_length) {
  if (auto error = check(lambda, 3)) return *error;
  if (!(run_length > 1.5 && run_length <= 1e6)) {
    return out_of_range("run_length", run_length, "above 1.5 up to 1e6");
  }
  const double wanted = std::log(run_length);
  const auto excess = [&](double width) {
    const auto chart = solve(lambda, fixed_limit(lambda, width), 0);
    return (chart ? std::log(chart->at(0)) : std::log(1e12)) - wanted;
  };
  double low = 0.01, high = 2;
  while (excess(high) < 0 && high < 6) {
    low = high;
    high = std::min(6.0, high + 0.5);
  }
  std::uintmax_t rounds = 100;
  const auto root = boost::math::tools::toms748_solve(
      excess, low, high, boost::math::tools::eps_tolerance<double>(36), rounds, Policy());
  return (root.first + root.second) / 2;
}

}  // namespace nthtree::stats
