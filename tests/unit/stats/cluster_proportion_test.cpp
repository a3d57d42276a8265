// SPDX-License-Identifier: Apache-2.0
#include "stats/cluster_proportion.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "stats/proportion.h"
#include "stats/summary.h"
#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;
using nthtree::base::Random;

namespace {

std::vector<ClusterPart> draw(Random& random, std::size_t clusters, std::size_t parts, double p,
                              double likeness) {
  std::vector<ClusterPart> sample;
  for (std::size_t i = 0; i < clusters; ++i) {
    double own = p;
    if (likeness > 0) {
      const double s = (1 - likeness) / likeness;
      const double a = random.gamma(p * s);
      own = a / (a + random.gamma((1 - p) * s));
    }
    for (std::size_t j = 0; j < parts; ++j) {
      const double trials = static_cast<double>(6 + random.below(13));
      double successes = 0;
      for (int k = 0; k < trials; ++k) successes += random.chance(own) ? 1 : 0;
      sample.push_back({i, successes, trials});
    }
  }
  return sample;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("order of parts and labels of clusters change nothing") {
    Random random(6);
    for (int run = 0; run < 40; ++run) {
      auto parts = draw(random, 5, 2, 0.6, 0.1);
      const auto a = cluster_proportion(parts);
      std::reverse(parts.begin(), parts.end());
      for (auto& part : parts) part.cluster = 1000 - 7 * part.cluster;
      const auto b = cluster_proportion(parts);
      REQUIRE(a.ok());
      CHECK(a->proportion == doctest::Approx(b->proportion).epsilon(1e-14));
      CHECK(a->interval.low == doctest::Approx(b->interval.low).epsilon(1e-11));
      CHECK(a->correlation_in_cluster ==
            doctest::Approx(b->correlation_in_cluster).epsilon(1e-9));
    }
  }

  TEST_CASE("a cluster's parts joined into one part leave the estimate and its interval alone") {
    Random random(7);
    const auto parts = draw(random, 5, 2, 0.6, 0.1);
    std::vector<ClusterPart> joined;
    for (std::size_t i = 0; i < parts.size(); i += 2) {
      joined.push_back({parts[i].cluster, parts[i].successes + parts[i + 1].successes,
                        parts[i].trials + parts[i + 1].trials});
    }
    const auto a = cluster_proportion(parts);
    const auto b = cluster_proportion(joined);
    CHECK(a->interval.low == doctest::Approx(b->interval.low).epsilon(1e-12));
    CHECK(a->design_effect == doctest::Approx(b->design_effect).epsilon(1e-12));
    CHECK(b->correlation_in_part == 0);
  }

  TEST_CASE("successes counted as failures mirror the interval") {
    Random random(8);
    for (int run = 0; run < 40; ++run) {
      auto parts = draw(random, 6, 2, 0.7, 0.05);
      const auto a = cluster_proportion(parts);
      for (auto& part : parts) part.successes = part.trials - part.successes;
      const auto b = cluster_proportion(parts);
      CHECK(a->interval.low == doctest::Approx(1 - b->interval.high).epsilon(1e-9));
      CHECK(a->standard_error == doctest::Approx(b->standard_error).epsilon(1e-9));
    }
  }

  TEST_CASE("every interval lies in 0 to 1 and holds the estimate, whatever was seen") {
    Random random(9);
    for (int run = 0; run < 300; ++run) {
      const double p = run % 5 == 0 ? 0 : run % 5 == 1 ? 1 : random.uniform();
      const auto parts = draw(random, 2 + random.below(8), 1 + random.below(3), p, 0);
      for (auto method : {ClusterIntervalMethod::recommended, ClusterIntervalMethod::logit_t,
                          ClusterIntervalMethod::wilson_t, ClusterIntervalMethod::korn_graubard,
                          ClusterIntervalMethod::wilson_effective}) {
        const auto estimate = cluster_proportion(parts, 0.9, method);
        REQUIRE(estimate.ok());
        CHECK(ordered(estimate->interval));
        CHECK(estimate->interval.low >= 0);
        CHECK(estimate->interval.high <= 1);
        CHECK(estimate->interval.holds(estimate->proportion));
        CHECK(estimate->n_effective <= estimate->trials);
        CHECK(estimate->interval.width() > 0);
      }
    }
  }

  TEST_CASE("Wilson's interval on the logit scale is 2 arsinh(h/2) either side") {
    Random random(12);
    for (int run = 0; run < 60; ++run) {
      const auto parts = draw(random, 3 + random.below(6), 2, 0.3 + 0.6 * random.uniform(), 0.1);
      const auto own = cluster_proportion(parts, 0.95, ClusterIntervalMethod::wilson_t);
      const double p = own->proportion, v = own->standard_error * own->standard_error;
      if (!(v > 0)) continue;
      const auto plain = proportion_interval_effective(ProportionMethod::wilson, p,
                                                       p * (1 - p) / v, own->df, 0.95);
      CHECK(own->interval.low == doctest::Approx(plain->low).epsilon(1e-9));
      CHECK(own->interval.high == doctest::Approx(plain->high).epsilon(1e-9));
      const auto ours = cluster_proportion(parts);
      const auto logit = cluster_proportion(parts, 0.95, ClusterIntervalMethod::logit_t);
      CHECK(ours->interval.low < own->interval.low);
      CHECK(ours->interval.high > own->interval.high);
      CHECK(ours->interval.low > logit->interval.low);
      CHECK(ours->interval.high < logit->interval.high);
    }
    CHECK(drawn_in_half_width(0) == 0);
    CHECK(drawn_in_half_width(1) == doctest::Approx(2.5 * std::log(0.4 + std::sqrt(1.16))));
  }

  TEST_CASE("clusters that all succeed are no proof that clusters are alike") {
    const std::vector<ClusterPart> all = {{0, 20, 20}, {1, 20, 20}, {2, 20, 20}, {3, 20, 20},
                                          {4, 20, 20}};
    const auto seen = cluster_proportion(all);
    REQUIRE(seen.ok());
    CHECK(seen->proportion == 1);
    CHECK(seen->interval.high == 1);
    // 50 of 50 by Wilson with t of four degrees of freedom: 50 / (50 + 2.776²).
    CHECK(seen->n_effective == 50);
    CHECK(seen->interval.low == doctest::Approx(50 / (50 + 2.776445105 * 2.776445105)));
  }

  TEST_CASE("the split of variance finds the likeness it was drawn with") {
    Random random(10);
    double found = 0, found_without = 0;
    for (int run = 0; run < 60; ++run) {
      found += cluster_proportion(draw(random, 40, 2, 0.6, 0.15))->correlation_in_cluster / 60;
      found_without +=
          cluster_proportion(draw(random, 40, 2, 0.6, 0))->correlation_in_cluster / 60;
    }
    CHECK(found == doctest::Approx(0.15).epsilon(0.1));
    CHECK(found_without < 0.01);
  }

  TEST_CASE("a narrower wish needs more clusters, and the clusters it names give that width") {
    Random random(11);
    for (int run = 0; run < 30; ++run) {
      const auto seen = cluster_proportion(draw(random, 5, 2, 0.6, 0.1));
      std::size_t before = 0;
      for (double half : {0.2, 0.1, 0.05, 0.02}) {
        const auto clusters = clusters_for_half_width(*seen, half);
        REQUIRE(clusters.ok());
        CHECK(*clusters >= 2);
        CHECK(*clusters >= before);
        before = *clusters;
      }
    }
    // 0.25 apart at p = 0.6 with 30 trials a cluster and a binomial spread: t(m-1) se.
    ClusterProportion seen;
    seen.proportion = 0.6;
    seen.trials = 150;
    seen.clusters = 5;
    seen.standard_error = 0.04;
    const auto clusters = clusters_for_half_width(seen, 0.05);
    // 13 clusters: t(12) 2.179 · 0.04 · √(5/13) = 0.0541; 15: 2.145 · 0.04 · √(5/15) = 0.0495.
    CHECK(*clusters == 15);
  }

  TEST_CASE("strata that differ in every cluster are told apart; likeness inside cancels") {
    std::vector<StratumPair> clusters;
    for (double level : {4.0, 9.0, 14.0, 6.0, 11.0}) {
      clusters.push_back({level + 4, 20, level, 20});
    }
    const auto test = compare_strata(clusters);
    REQUIRE(test.ok());
    CHECK(test->difference == doctest::Approx(0.2));
    CHECK(test->p_value < 0.001);
    for (auto& pair : clusters) std::swap(pair.successes_a, pair.successes_b);
    CHECK(compare_strata(clusters)->difference == doctest::Approx(-0.2));
    for (auto& pair : clusters) pair.successes_b = pair.successes_a;
    const auto same = compare_strata(clusters);
    CHECK(same->difference == 0);
    CHECK(same->p_value == 1);
  }

  TEST_CASE("with equal trials the strata test is the paired t test of the differences") {
    const double upper[] = {15, 12, 18, 9, 14}, lower[] = {11, 12, 13, 10, 8};
    std::vector<StratumPair> clusters;
    RunningSummary differences;
    for (int i = 0; i < 5; ++i) {
      clusters.push_back({upper[i], 20, lower[i], 20});
      differences.add((upper[i] - lower[i]) / 20);
    }
    const auto test = compare_strata(clusters);
    CHECK(test->difference == doctest::Approx(differences.mean()));
    CHECK(test->standard_error == doctest::Approx(differences.sd() / std::sqrt(5.0)));
    CHECK(test->df == 4);
  }

  TEST_CASE("a false alarm of the strata test is as rare as it says") {
    Random random(12);
    int alarms = 0;
    for (int run = 0; run < 2000; ++run) {
      std::vector<StratumPair> clusters;
      for (int i = 0; i < 5; ++i) {
        const double own = random.gamma(6) / (random.gamma(4) + random.gamma(6));
        StratumPair pair{0, 12, 0, 10};
        for (int k = 0; k < 12; ++k) pair.successes_a += random.chance(own) ? 1 : 0;
        for (int k = 0; k < 10; ++k) pair.successes_b += random.chance(own) ? 1 : 0;
        clusters.push_back(pair);
      }
      alarms += compare_strata(clusters)->p_value < 0.05 ? 1 : 0;
    }
    CHECK(alarms > 2000 * 0.025);
    CHECK(alarms < 2000 * 0.075);
  }

  TEST_CASE("one cluster, too many successes and nonsense are refused by name") {
    const std::vector<ClusterPart> one = {{0, 3, 5}, {0, 4, 6}};
    CHECK(cluster_proportion(one).error().where == "parts.cluster");
    const std::vector<ClusterPart> over = {{0, 6, 5}, {1, 4, 6}};
    CHECK(cluster_proportion(over).error().where == "parts.successes");
    const std::vector<ClusterPart> empty_left_out = {{0, 3, 5}, {1, 0, 0}};
    CHECK(cluster_proportion(empty_left_out).error().id == "too_few_values");
    CHECK(compare_strata(std::vector<StratumPair>{{1, 2, 1, 2}, {1, 2, 0, 0}}).error().where ==
          "clusters");
  }
}
