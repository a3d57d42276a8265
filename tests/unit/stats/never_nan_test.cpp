// SPDX-License-Identifier: Apache-2.0
// Whatever finite numbers come in, what comes out is an error or a number.
#include <doctest/doctest.h>

#include <initializer_list>
#include <limits>

#include "stats/cluster_proportion.h"
#include "stats/cusum.h"
#include "stats/double_sampling.h"
#include "stats/equivalence.h"
#include "stats/log_normal.h"
#include "stats/mean_interval.h"
#include "stats/negative_binomial.h"
#include "stats/proportion.h"
#include "stats/ratio_estimator.h"
#include "stats/sample_size.h"
#include "stats/summary.h"
#include "stats/systematic.h"
#include "stats/variance_components.h"
#include "unit/stats/samples.h"

using namespace nthtree::stats;
using nthtree::base::Random;

namespace {

bool no_nan(std::initializer_list<double> values) {
  for (double value : values) {
    if (std::isnan(value)) return false;
  }
  return true;
}

bool no_nan(const Interval& interval) { return no_nan({interval.low, interval.high}); }

// Ordinary counts, ties, zeros, and sizes at the ends of what a double holds.
double nasty(Random& random) {
  const double choices[] = {0,     0,     1,     1,      5,        150,   150.5, -3,
                            1e-300, 1e-9, 1e9,   1e15,   1e60,     1e300, -1e80, 0.1};
  return random.chance(0.5) ? static_cast<double>(random.below(200))
                            : choices[random.below(std::size(choices))];
}

std::vector<double> nasty_values(Random& random) {
  std::vector<double> values(random.below(9));
  const bool alike = random.chance(0.2);
  for (double& x : values) x = nasty(random);
  if (alike && !values.empty()) values.assign(values.size(), values[0]);
  return values;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("one sample of any numbers gives errors or numbers") {
    Random random(100);
    for (int run = 0; run < 4000; ++run) {
      const auto values = nasty_values(random);
      if (const auto s = summarize(values)) {
        CHECK(no_nan({s->mean, s->sd, s->cv, s->skewness, s->lag1_autocorrelation, s->sum}));
      }
      for (auto method : {MeanMethod::student_t, MeanMethod::johnson_t, MeanMethod::hall_cubic,
                          MeanMethod::log_cox, MeanMethod::gamma_profile, MeanMethod::skewed}) {
        if (const auto m = mean_interval(values, method)) {
          CHECK_MESSAGE(no_nan(m->interval), static_cast<int>(method));
        }
      }
      for (const auto& fit : {fit_negative_binomial(values), fit_negative_binomial_moments(values),
                              fit_negative_binomial_zeros(values)}) {
        if (fit) CHECK(no_nan({fit->k, fit->inverse_k, fit->log_likelihood,
                               fit->mean_standard_error, fit->k_standard_error}));
      }
      if (const auto fit = fit_log_normal(values)) {
        CHECK(no_nan({fit->mean, fit->cv, fit->log_likelihood, fit->mean_interval.low}));
      }
      if (const auto s = systematic_estimate(values)) {
        CHECK(no_nan({s->variance_successive, s->variance_random, s->df_successive}));
      }
      if (const auto s = systematic_over_starts(values, 2)) CHECK(no_nan({s->ratio}));
      if (const auto e = equivalence_one_sample(values, {0, 10})) {
        CHECK(no_nan({e->p_value, e->t_low, e->t_high, e->interval.low}));
      }
      if (const auto run_of = run_cusum({.target = 0, .k = 1, .h = 5}, values)) {
        CHECK(no_nan({run_of->mean_after}));
      }
    }
  }

  TEST_CASE("two samples, pairs, groups and readings of any numbers do too") {
    Random random(101);
    for (int run = 0; run < 4000; ++run) {
      const auto y = nasty_values(random);
      auto x = y;
      for (double& v : x) v = nasty(random);
      for (const auto& estimate : {ratio_estimate(y, x, 3), regression_estimate(y, x, 3)}) {
        if (estimate) CHECK(no_nan({estimate->mean, estimate->standard_error,
                                    estimate->interval.low, estimate->correlation}));
      }
      for (const auto& estimate : {two_phase_ratio(y, x, x), two_phase_regression(y, x, x),
                                   two_phase_ratio(y, x, FirstPhase{50, 3})}) {
        if (estimate) CHECK(no_nan({estimate->mean, estimate->standard_error, estimate->gain,
                                    estimate->interval.low, estimate->interval.high}));
      }
      if (const auto e = equivalence_two_samples(y, x, {-1, 1})) {
        CHECK(no_nan({e->p_value, e->df, e->interval.low}));
      }
      std::vector<ClusterPart> parts;
      std::vector<GaugeReading> readings;
      for (std::size_t i = 0; i < y.size(); ++i) {
        parts.push_back({i / 2, std::fmin(y[i], x[i]), x[i]});
        readings.push_back({i % 2, i / 4, y[i]});
      }
      if (const auto c = cluster_proportion(parts)) {
        CHECK(no_nan({c->proportion, c->interval.low, c->design_effect, c->n_effective,
                      c->correlation_in_cluster}));
        if (const auto n = clusters_for_half_width(*c, 0.1)) CHECK(*n >= 2);
      }
      if (const auto g = gauge_study(readings)) {
        CHECK(no_nan({g->percent_study, g->categories, g->part.f, g->part.p_value}));
      }
    }
  }

  TEST_CASE("plans and tests of any parameters do too") {
    Random random(102);
    const auto unit = [&] { return random.chance(0.1) ? nasty(random) : random.uniform(); };
    for (int run = 0; run < 3000; ++run) {
      const double a = nasty(random), b = nasty(random);
      if (const auto i = proportion_interval(ProportionMethod::wilson, a, b, unit())) {
        CHECK(no_nan(*i));
      }
      if (const auto i = proportion_interval(ProportionMethod::clopper_pearson, a, b, unit())) {
        CHECK(no_nan(*i));
      }
      if (const auto n = sample_size_for_mean(unit(), unit(), unit(), 2 + b)) CHECK(*n >= 2);
      if (const auto l = cusum_run_length(unit(), 1 + unit(), nasty(random))) {
        CHECK(no_nan({*l}));
      }
    }
  }
}
