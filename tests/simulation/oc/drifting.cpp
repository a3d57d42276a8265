// SPDX-License-Identifier: Apache-2.0
#include "drifting.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <memory>
#include <vector>

#include "advice/internal/drift_model.h"
#include "stats/cusum.h"
#include "world.h"

namespace nthtree::oc {
namespace {

constexpr double step_to_find = 0.15;

// One chart as a function of the next count as a share of the target: true for an alarm.
using Watch = std::function<bool(double)>;

Watch watch_ours(const DriftPlan& plan) {
  const double aimed = plan.run_length * advice::level_run_length_aimed / 400;
  auto chart = std::make_shared<advice::LevelChart>(plan.cv, step_to_find, aimed);
  return [chart](double share) { return chart->add(3 * std::cbrt(share)); };
}

// Knows that the level is 1 and the spread cv.
Watch watch_optimal(const DriftPlan& plan) {
  const double k = step_to_find / (2 * plan.cv);
  const auto h = stats::cusum_h_for_run_length(k, plan.run_length);
  const double mean = 3 * (1 - plan.cv * plan.cv / 9);
  auto up = std::make_shared<double>(0), down = std::make_shared<double>(0);
  return [=, limit = h ? *h : 7.0, cv = plan.cv](double share) {
    const double z = (3 * std::cbrt(share) - mean) / cv;
    *up = std::fmax(0, *up + z - k);
    *down = std::fmax(0, *down - z - k);
    if (*up <= limit && *down <= limit) return false;
    *up = *down = 0;
    return true;
  };
}

Watch watch_learning(const DriftPlan& plan) {
  struct Sums {
    std::vector<double> sums{0};
  };
  auto seen = std::make_shared<Sums>();
  return [seen, variance = plan.cv * plan.cv, limit = plan.limit](double share) {
    constexpr std::size_t least_before = 3, window = 120;
    const double step = 3 * (std::cbrt(1 + step_to_find) - 1);
    std::vector<double>& sums = seen->sums;
    sums.push_back(sums.back() + 3 * std::cbrt(share));
    const std::size_t n = sums.size() - 1;
    double most = 0;
    for (std::size_t m = std::max(least_before, n > window ? n - window : 0); m < n; ++m) {
      const double before = static_cast<double>(m), after = static_cast<double>(n - m);
      const double moved = (sums[n] - sums[m]) / after - sums[m] / before;
      const double ratio = (step * std::fabs(moved) - step * step / 2) /
                           (variance * (1 / after + 1 / before));
      most = std::max(most, ratio);
    }
    return most > limit;
  };
}

Watch watch_shewhart(const DriftPlan& plan) {
  return [cv = plan.cv](double share) { return std::fabs(share - 1) > 3 * cv; };
}

Watch watch_ewma(const DriftPlan& plan) {
  constexpr double lambda = 0.2, width = 2.86;
  auto z = std::make_shared<double>(0);
  return [=, cv = plan.cv](double share) {
    *z += lambda * ((share - 1) / cv - *z);
    if (std::fabs(*z) <= width * std::sqrt(lambda / (2 - lambda))) return false;
    *z = 0;
    return true;
  };
}

Watch make(Chart chart, const DriftPlan& plan) {
  switch (chart) {
    case Chart::ours: return watch_ours(plan);
    case Chart::optimal: return watch_optimal(plan);
    case Chart::learning: return watch_learning(plan);
    case Chart::shewhart: return watch_shewhart(plan);
    case Chart::ewma: break;
  }
  return watch_ewma(plan);
}

Delay measure(Chart chart, const DriftPlan& plan, double step, double per_count,
              std::uint64_t seed) {
  Delay delay;
  base::Random seeds(seed);
  int counted = 0;
  for (int run = 0; run < plan.runs; ++run) {
    const std::uint64_t before_seed = seeds.next(), after_seed = seeds.next();
    TreeLine before({.cv = plan.cv}, before_seed);
    TreeLine after({.ratio = 1 + step, .cv = plan.cv, .drift_per_count = per_count}, after_seed);
    const Watch watch = make(chart, plan);
    const double target = Truth{}.target;
    bool early = false;
    for (int n = 0; n < plan.counts_before; ++n) {
      early = watch(before.next().spurs / target) || early;
    }
    delay.early += early;
    if (early) continue;  // the delay is that of a chart that was still in control
    int n = 1;
    while (n < plan.counts_most && !watch(after.next().spurs / target)) ++n;
    delay.never += n >= plan.counts_most;
    delay.mean += n;
    ++counted;
  }
  delay.early /= plan.runs;
  if (counted > 0) {
    delay.mean /= counted;
    delay.never /= counted;
  }
  return delay;
}

}  // namespace

Delay delay_of_step(Chart chart, const DriftPlan& plan, double step, std::uint64_t seed) {
  return measure(chart, plan, step, 0, seed);
}

Delay delay_of_slope(Chart chart, const DriftPlan& plan, double per_count, std::uint64_t seed) {
  return measure(chart, plan, 0, per_count, seed);
}

DriftPlan set_to_run_length(Chart chart, DriftPlan plan, double wanted, std::uint64_t seed) {
  const bool ours = chart == Chart::ours;
  double low = ours ? std::log(100.0) : 1, high = ours ? std::log(20000.0) : 9;
  for (int halving = 0; halving < 8; ++halving) {
    const double middle = (low + high) / 2;
    (ours ? plan.run_length : plan.limit) = ours ? std::exp(middle) : middle;
    DriftPlan check = plan;
    check.counts_most = static_cast<int>(8 * wanted);
    (measure(chart, check, 0, 0, seed).mean < wanted ? low : high) = middle;
  }
  return plan;
}

double run_length_in_control(Chart chart, const DriftPlan& plan, std::uint64_t seed) {
  DriftPlan long_plan = plan;
  long_plan.counts_most = 4800;
  return measure(chart, long_plan, 0, 0, seed).mean;
}

}  // namespace nthtree::oc
