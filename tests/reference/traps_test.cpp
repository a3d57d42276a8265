// SPDX-License-Identifier: Apache-2.0
// Places where printed sources mislead, and mistakes they invite. One test each.
#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "ledger/bodies.h"
#include "orchard/fruit_size.h"
#include "orchard/target.h"
#include "orchard/units.h"
#include "reference/published_values.h"
#include "stats/cluster_proportion.h"
#include "stats/cusum.h"
#include "stats/equivalence.h"
#include "stats/mean_interval.h"
#include "stats/negative_binomial.h"
#include "stats/proportion.h"
#include "stats/quantiles.h"
#include "stats/ratio_estimator.h"
#include "stats/sample_size.h"
#include "stats/systematic.h"

using namespace nthtree::stats;
using nthtree::reference::PublishedValues;

TEST_SUITE("traps") {
  TEST_CASE("the divisor of the regression estimator is a choice, Cochran's by default") {
    PublishedValues published("lohr_dead_trees.json");
    const auto& x = published.sample("photo");
    const auto& y = published.sample("field");
    const auto cochran = regression_estimate(y, x, 11.3, {.population = 100});
    const auto lohr = regression_estimate(
        y, x, 11.3, {.population = 100, .divisor = ResidualDivisor::n_minus_1});
    REQUIRE(cochran.ok());
    REQUIRE(lohr.ok());
    CHECK(lohr->standard_error == doctest::Approx(0.4080).epsilon(0.0002));
    CHECK(cochran->standard_error == doctest::Approx(0.4168).epsilon(0.0002));
    CHECK(cochran->df == 23);
    CHECK(lohr->df == 24);
  }

  TEST_CASE("moments and likelihood give different k for the same mites, and both say which") {
    PublishedValues published("bliss_fisher_mites.json");
    const auto moments = fit_negative_binomial_moments(published.sample("mites"));
    const auto likelihood = fit_negative_binomial(published.sample("mites"));
    REQUIRE(moments.ok());
    REQUIRE(likelihood.ok());
    CHECK(moments->k == doctest::Approx(1.1667).epsilon(0.0001));
    CHECK(likelihood->k == doctest::Approx(1.0246).epsilon(0.0001));
    CHECK(moments->k_standard_error == 0);
    CHECK(likelihood->k_standard_error > 0);
  }

  TEST_CASE("k is infinite, not negative, when counts spread no more than Poisson's") {
    const std::vector<double> even = {10, 11, 10, 9, 10, 11, 9, 10};
    for (const auto& fit : {fit_negative_binomial(even), fit_negative_binomial_moments(even)}) {
      REQUIRE(fit.ok());
      CHECK(std::isinf(fit->k));
      CHECK(fit->k > 0);
      CHECK(fit->inverse_k == 0);
      CHECK(fit->poisson());
      CHECK(std::isfinite(fit->log_likelihood));
      CHECK(fit->fitted_variance() == doctest::Approx(10));
    }
  }

  TEST_CASE("one-sided CUSUM run length is twice the two-sided one in control") {
    CHECK(*cusum_run_length_one_sided(0.5, 5, 0) == doctest::Approx(930.887).epsilon(1e-6));
    CHECK(*cusum_run_length(0.5, 5, 0) == doctest::Approx(465.4435).epsilon(1e-6));
  }

  TEST_CASE("charts of measurements signal above h, charts of counts at h") {
    CusumDesign design{.target = 0, .k = 0, .h = 4};
    CusumState state = start(design);
    CHECK(step(design, state, 4).signal == CusumSide::none);
    CHECK(step(design, state, 0.001).signal == CusumSide::high);
    // Lucas 1985 prints 438 for h = 10 with ">="; one lattice step more is longer.
    const double poisson = std::numeric_limits<double>::infinity();
    const CountCusum at_h{.k = 0.25, .h = 10, .lattice = 0.25};
    CountCusum above_h = at_h;
    above_h.h = 10.25;
    CHECK(*count_cusum_run_length(at_h, 0.25, poisson) == doctest::Approx(438.125).epsilon(1e-6));
    CHECK(*count_cusum_run_length(above_h, 0.25, poisson) > 445);
  }

  TEST_CASE("the finite population correction is applied once: 31 deer, not 28") {
    const double n0 = *sample_size_for_mean_normal(30.0 / 200, 10.0 / 200);
    CHECK(whole_units(corrected_for_population(n0, 278)) == 31);
    CHECK(corrected_for_population(corrected_for_population(n0, 278), 278) < 28);
    // With t instead of z it takes two more.
    CHECK(*sample_size_for_mean(30.0 / 200, 10.0 / 200, 0.95, 278) == 33);
  }

  TEST_CASE("a stride that divides the row is 2.7 times worse than random on real apple trees") {
    PublishedValues published("batchelor_reed_apples.json");
    const auto& trees = published.sample("yield_by_column");
    const auto told = [&](std::size_t stride) {
      return visits_few_places(stride, 28, trees.size() / stride);
    };
    for (std::size_t stride : {4, 28}) {
      CHECK(told(stride));
      CHECK(systematic_over_starts(trees, stride)->ratio > 2.7);
    }
    for (std::size_t stride : {7, 14, 56}) CHECK(told(stride));
    // A stride without a factor in common visits every place of the row, and is far better.
    for (std::size_t stride : {9, 11, 13, 15, 27}) {
      CHECK_FALSE(told(stride));
      CHECK(places_visited(stride, 28) == 28);
      CHECK(systematic_over_starts(trees, stride)->ratio < 1.5);
    }
  }

  TEST_CASE("on real trees a stride that only shares a factor with the row is worse than random") {
    PublishedValues published("batchelor_reed_apples.json");
    const auto& trees = published.sample("yield_by_column");
    // 6 and 10 meet 14 of 28 places, 8 and 16 seven, 21 four; none divides 28.
    const std::pair<std::size_t, double> printed[] = {
        {6, 1.62}, {8, 1.51}, {10, 1.56}, {16, 1.19}, {21, 1.19}};
    for (const auto& [stride, ratio] : printed) {
      CHECK(28 % stride != 0);
      CHECK(visits_few_places(stride, 28, trees.size() / stride));
      CHECK(systematic_over_starts(trees, stride)->ratio == doctest::Approx(ratio).epsilon(0.004));
    }
    // All strides of 2 to 30, those a tree off the row aside: what is told is the worse half.
    double told = 0, silent = 0, told_log = 0, silent_log = 0;
    for (std::size_t stride = 2; stride <= 30; ++stride) {
      if (stride == 27 || stride == 29) continue;
      const double ratio = systematic_over_starts(trees, stride)->ratio;
      const bool few = visits_few_places(stride, 28, trees.size() / stride);
      (few ? told : silent) += 1;
      (few ? told_log : silent_log) += std::log(ratio);
      CHECK((few ? ratio > 0.895 : ratio < 1.345));
    }
    CHECK(told + silent == 27);
    CHECK(std::exp(told_log / told) > 1.5);
    CHECK(std::exp(silent_log / silent) < 0.8);
  }

  TEST_CASE("on real trees an interval may be trusted out of step with the row, not in step") {
    PublishedValues published("batchelor_reed_apples.json");
    const auto& trees = published.sample("yield_by_column");
    const auto share_covered = [&](std::size_t stride) {
      double covered = 0;
      for (std::size_t first = 0; first < stride; ++first) {
        std::vector<double> sample;
        for (std::size_t i = first; i < trees.size(); i += stride) sample.push_back(trees[i]);
        const auto estimate = systematic_estimate(sample, 224);
        const double half = t_quantile(0.975, estimate->df_successive) *
                            std::sqrt(estimate->variance_successive);
        covered += std::fabs(estimate->mean - 303.7678571) <= half ? 1 : 0;
      }
      return covered / static_cast<double>(stride);
    };
    for (std::size_t stride : {5, 9, 11, 13, 15, 17, 25, 31}) CHECK(share_covered(stride) > 0.92);
    CHECK(share_covered(28) < 0.70);
    CHECK(share_covered(4) < 0.80);
  }

  TEST_CASE("five values at a cv of 23 % give +-28 % and do not show a mean inside +-15 %") {
    const SampleSummary five{180, 0.2271953 * 180, 5};
    const auto interval = mean_interval_from_summary(five.mean, five.sd, five.n);
    REQUIRE(interval.ok());
    CHECK(interval->half_width() / 180 == doctest::Approx(0.282).epsilon(0.002));
    const auto shown = equivalence_one_sample(five, {0.85 * 180, 1.15 * 180});
    REQUIRE(shown.ok());
    CHECK_FALSE(shown->shown);
  }

  TEST_CASE("taking parts for clusters understates the variance when clusters differ") {
    std::vector<ClusterPart> by_cluster, by_part;
    const double successes[5][2] = {{9, 8}, {4, 5}, {7, 8}, {2, 3}, {10, 9}};
    for (std::size_t i = 0; i < 5; ++i) {
      for (std::size_t j = 0; j < 2; ++j) {
        by_cluster.push_back({i, successes[i][j], 10});
        by_part.push_back({2 * i + j, successes[i][j], 10});
      }
    }
    const auto right = cluster_proportion(by_cluster);
    const auto wrong = cluster_proportion(by_part);
    REQUIRE(right.ok());
    REQUIRE(wrong.ok());
    CHECK(wrong->standard_error < 0.75 * right->standard_error);
    CHECK(wrong->interval.width() < 0.65 * right->interval.width());
    CHECK(right->correlation_in_cluster > 0.2);
  }

  TEST_CASE("pooled trials ignore clustering; the effective size and m - 1 degrees do not") {
    std::vector<ClusterPart> parts;
    const double successes[5] = {17, 9, 15, 5, 19};
    for (std::size_t i = 0; i < 5; ++i) parts.push_back({i, successes[i], 20});
    const auto clustered = cluster_proportion(parts);
    const auto pooled = proportion_interval(ProportionMethod::clopper_pearson, 65, 100);
    REQUIRE(clustered.ok());
    REQUIRE(pooled.ok());
    CHECK(clustered->df == 4);
    CHECK(clustered->n_effective < 20);
    const double p = clustered->proportion;
    CHECK(clustered->n_effective ==
          doctest::Approx(p * (1 - p) / std::pow(clustered->standard_error, 2)));
    CHECK(clustered->interval.width() > 2 * pooled->width());
  }

  TEST_CASE("11 by 4 ft is 990 trees an acre, though a printed table says 1000") {
    using namespace nthtree::orchard;
    CHECK(trees_per_acre({metres_from_feet(11), metres_from_feet(4)}) == doctest::Approx(990));
  }

  TEST_CASE("a printed row of bud shares adds up to 105 %: a share is of the buds counted") {
    // Strong, weak and vegetative, % of 100 buds. Cornell Cooperative Extension ENYCHP 2023 (read):
    // its M.9 row adds up, its M.26 row does not, and so stands in no file of data/.
    const double m9[3] = {64, 21, 15}, m26[3] = {34, 45, 26};
    CHECK(m9[0] + m9[1] + m9[2] == 100);
    CHECK(m26[0] + m26[1] + m26[2] == 105);
    PublishedValues published(
        "cornell_bud_counts.json");  // the four blocks of 2025, which are used
    const auto &strong = published.sample("strong"), &weak = published.sample("weak"),
               &vegetative = published.sample("vegetative");
    REQUIRE(strong.size() == 4);
    for (std::size_t i = 0; i < 4; ++i) CHECK(strong[i] + weak[i] + vegetative[i] == 100);
    // No total is ever typed in that could contradict its parts: 79 of 105, not 79 of 100.
    nthtree::ledger::BudSample sample;
    sample.spur_floral = 34 + 45;
    sample.spur_vegetative = 26;
    const double buds = sample.floral() + sample.vegetative();
    CHECK(buds == 105);
    const auto share = cluster_proportion(std::vector<ClusterPart>{
        {0, static_cast<double>(sample.floral()), buds}, {1, 85, 100}});
    REQUIRE(share.ok());
    CHECK(share->proportion == doctest::Approx(164.0 / 205));
    // More floral buds than buds is refused.
    CHECK_FALSE(cluster_proportion(std::vector<ClusterPart>{{0, 105, 100}, {1, 85, 100}}).ok());
  }

  TEST_CASE("a count of 100 is 190.5 g of a 42 lb box and 181.4 g of a 40 lb one, never 175") {
    using namespace nthtree::orchard;
    CHECK(grams_from_count(100, kg_from_lb(42)) == doctest::Approx(190.5).epsilon(0.0003));
    CHECK(grams_from_count(100, kg_from_lb(40)) == doctest::Approx(181.4).epsilon(0.0003));
    CHECK(count_from_grams(175, kg_from_lb(42)) == doctest::Approx(108.9).epsilon(0.0005));
  }

  TEST_CASE("a trade-press trial implies bins heavier than any bin: not usable as a check") {
    // 1,200 trees of 90 fruit in 50 bins an acre, 80-count of 42 lb; bins hold 500-950 lb (Wash.
    // Admin. Code 24-12-010).
    const double pounds_per_bin = 1200.0 * 90 / 80 * 42 / 50;
    CHECK(pounds_per_bin == doctest::Approx(1134));
    CHECK(pounds_per_bin > 950);
  }
}
