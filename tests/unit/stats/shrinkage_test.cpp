// SPDX-License-Identifier: Apache-2.0
#include "stats/shrinkage.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;
using nthtree::base::Random;

namespace {

std::vector<GroupEstimate> draw(Random& random, std::size_t groups, double between) {
  std::vector<GroupEstimate> estimates;
  for (std::size_t i = 0; i < groups; ++i) {
    const double error = 0.5 + random.uniform();
    estimates.push_back({10 + between * random.normal() + error * random.normal(), error});
  }
  return estimates;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("both between-group estimates find the spread they were drawn with") {
    Random random(21);
    double paule = 0, laird = 0;
    for (int run = 0; run < 200; ++run) {
      const auto groups = draw(random, 20, 2);
      paule += *between_variance(groups, BetweenMethod::paule_mandel) / 200;
      laird += *between_variance(groups, BetweenMethod::dersimonian_laird) / 200;
    }
    CHECK(paule == doctest::Approx(4).epsilon(0.06));
    CHECK(laird == doctest::Approx(4).epsilon(0.06));
  }

  TEST_CASE("Paule and Mandel's value makes Q equal its degrees of freedom") {
    Random random(22);
    const auto groups = draw(random, 9, 3);
    const double tau_squared = *between_variance(groups, BetweenMethod::paule_mandel);
    std::vector<GroupEstimate> inflated;
    for (auto g : groups) {
      g.standard_error = std::sqrt(g.standard_error * g.standard_error + tau_squared);
      inflated.push_back(g);
    }
    CHECK(shrink(inflated)->q == doctest::Approx(8));
  }

  TEST_CASE("a shrunk estimate lies between its own and the common mean") {
    Random random(23);
    for (int run = 0; run < 60; ++run) {
      const auto groups = draw(random, 2 + random.below(12), 2 * random.uniform());
      const auto plug_in = shrink(groups);
      const auto integrated = shrink_integrated(groups, {.between_sd_prior = 1});
      for (const auto& pooled : {*plug_in, *integrated}) {
        for (std::size_t i = 0; i < groups.size(); ++i) {
          const Shrunk& s = pooled.groups[i];
          CHECK(s.weight_own >= 0);
          CHECK(s.weight_own <= 1);
          CHECK(ordered(s.interval));
          CHECK(s.standard_error > 0);
        }
      }
      for (std::size_t i = 0; i < groups.size(); ++i) {
        const double low = std::min(groups[i].estimate, plug_in->mean);
        const double high = std::max(groups[i].estimate, plug_in->mean);
        CHECK(plug_in->groups[i].estimate >= low - 1e-12);
        CHECK(plug_in->groups[i].estimate <= high + 1e-12);
      }
    }
  }

  TEST_CASE("order and unit do not matter") {
    Random random(24);
    auto groups = draw(random, 7, 1);
    const auto a = shrink(groups);
    const auto c = shrink_integrated(groups, {.between_sd_prior = 2});
    std::reverse(groups.begin(), groups.end());
    for (auto& g : groups) g = {100 * g.estimate, 100 * g.standard_error};
    const auto b = shrink(groups);
    const auto d = shrink_integrated(groups, {.between_sd_prior = 200});
    CHECK(b->mean == doctest::Approx(100 * a->mean));
    CHECK(b->between_variance == doctest::Approx(1e4 * a->between_variance));
    CHECK(b->groups[6].interval.low == doctest::Approx(100 * a->groups[0].interval.low));
    CHECK(d->groups[6].interval.low == doctest::Approx(100 * c->groups[0].interval.low));
  }

  TEST_CASE("groups that agree are drawn together, groups far apart are left alone") {
    const std::vector<GroupEstimate> alike = {{10, 1}, {10.2, 1}, {9.9, 1}, {10.1, 1}, {9.8, 1}};
    const std::vector<GroupEstimate> apart = {{0, 1}, {50, 1}, {100, 1}, {150, 1}, {200, 1}};
    CHECK(shrink(alike)->between_variance == 0);
    CHECK(shrink(alike)->groups[0].weight_own < 0.6);
    CHECK(shrink(apart)->groups[0].weight_own > 0.99);
    CHECK(shrink_integrated(alike, {.between_sd_prior = 1})->groups[0].weight_own < 0.4);
    CHECK(shrink_integrated(apart, {.between_sd_prior = 100})->groups[0].weight_own > 0.99);
  }

  TEST_CASE("of five groups Morris keeps half of the shrinkage") {
    const std::vector<GroupEstimate> groups = {{8, 1}, {9, 1}, {10, 1}, {11, 1}, {12, 1}};
    const auto pooled = shrink(groups);
    const double kept = pooled->between_variance / (1 + pooled->between_variance);
    CHECK(pooled->between_variance == doctest::Approx(1.5));  // 2.5 less the error's 1
    CHECK(pooled->groups[0].weight_own == doctest::Approx(1 - (1 - kept) * 2 / 4));
  }

  TEST_CASE("the integrated posterior is the one a plain grid over mean and spread gives") {
    const std::vector<GroupEstimate> groups = {{9, 0.5}, {10.5, 1}, {12, 2}};
    double weight = 0, mu_mean = 0, theta_mean = 0, theta_square = 0;
    for (double tau = 0.005; tau < 6; tau += 0.01) {
      for (double mu = 0; mu < 22; mu += 0.02) {
        double log_w = -tau * tau / 2;  // half-normal of scale 1
        for (const auto& g : groups) {
          const double v = g.standard_error * g.standard_error + tau * tau;
          log_w -= (std::log(v) + (g.estimate - mu) * (g.estimate - mu) / v) / 2;
        }
        const double w = std::exp(log_w);
        const double kept = tau * tau / (0.25 + tau * tau);
        const double theta = mu + kept * (9 - mu);
        weight += w;
        mu_mean += w * mu;
        theta_mean += w * theta;
        theta_square += w * (theta * theta + 0.25 * kept);
      }
    }
    const auto pooled = shrink_integrated(groups, {.between_sd_prior = 1});
    CHECK(pooled->mean == doctest::Approx(mu_mean / weight).epsilon(1e-4));
    CHECK(pooled->groups[0].estimate == doctest::Approx(theta_mean / weight).epsilon(1e-4));
    const double variance = theta_square / weight - std::pow(theta_mean / weight, 2);
    CHECK(pooled->groups[0].standard_error == doctest::Approx(std::sqrt(variance)).epsilon(1e-3));
  }

  TEST_CASE("a single group comes back, drawn towards nothing") {
    const std::vector<GroupEstimate> one = {{4, 0.5}};
    CHECK(shrink(one)->groups[0].estimate == 4);
    CHECK(shrink_integrated(one, {.between_sd_prior = 1})->groups[0].estimate ==
          doctest::Approx(4));
  }

  TEST_CASE("wrong arguments are refused by name") {
    CHECK(shrink({}).error().where == "groups");
    const std::vector<GroupEstimate> flat = {{4, 0}, {5, 1}};
    CHECK(shrink(flat).error().where == "groups.standard_error");
    const std::vector<GroupEstimate> good = {{4, 1}, {5, 1}};
    CHECK(shrink_integrated(good, {}).error().where == "between_sd_prior");
    CHECK(between_variance(std::vector<GroupEstimate>{{4, 1}}, BetweenMethod::paule_mandel)
              .error().where == "groups");
  }

  TEST_CASE("integrated intervals of few groups cover near what they say") {
    Random random(25);
    int covered = 0, all = 0;
    for (int run = 0; run < 1500; ++run) {
      std::vector<GroupEstimate> groups;
      std::vector<double> truth;
      const double between = std::fabs(random.normal());  // as the prior says
      for (int i = 0; i < 4; ++i) {
        truth.push_back(10 + between * random.normal());
        groups.push_back({truth.back() + random.normal(), 1});
      }
      const auto pooled = shrink_integrated(groups, {.between_sd_prior = 1});
      for (int i = 0; i < 4; ++i) covered += pooled->groups[i].interval.holds(truth[i]) ? 1 : 0;
      all += 4;
    }
    const double rate = static_cast<double>(covered) / all;
    CHECK(rate > 0.93);
    CHECK(rate < 0.97);
  }
}
