// SPDX-License-Identifier: Apache-2.0
#include "stats/proportion.h"

#include <doctest/doctest.h>

#include <limits>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;

namespace {
const ProportionMethod proportion_methods[] = {
    ProportionMethod::wilson, ProportionMethod::wilson_continuity,
    ProportionMethod::clopper_pearson, ProportionMethod::jeffreys,
    ProportionMethod::agresti_coull};
}

TEST_SUITE("stats") {
  TEST_CASE("every interval is ordered, holds the estimate, and mirrors when success is failure") {
    for (auto method : proportion_methods) {
      for (int n : {1, 2, 7, 20, 148}) {
        for (int x = 0; x <= n; ++x) {
          const auto a = proportion_interval(method, x, n, 0.9);
          const auto b = proportion_interval(method, n - x, n, 0.9);
          REQUIRE(a.ok());
          CHECK(ordered(*a));
          CHECK(a->low == doctest::Approx(1 - b->high).epsilon(1e-9));
          if (method != ProportionMethod::jeffreys || (x > 0 && x < n)) {
            CHECK(a->holds(static_cast<double>(x) / n));
          }
        }
      }
    }
  }

  TEST_CASE("more successes move both ends up; more confidence moves them apart") {
    for (auto method : proportion_methods) {
      for (int x = 0; x < 40; ++x) {
        const auto a = proportion_interval(method, x, 40);
        const auto b = proportion_interval(method, x + 1, 40);
        CHECK(b->low >= a->low);
        CHECK(b->high >= a->high);
        const auto wide = proportion_interval(method, x, 40, 0.99);
        CHECK(wide->low <= a->low);
        CHECK(wide->high >= a->high);
      }
    }
  }

  TEST_CASE("a one-sided limit is the end of a two-sided interval with twice the error") {
    for (auto method : proportion_methods) {
      const auto two_sided = proportion_interval(method, 13, 29, 0.90);
      CHECK(*proportion_lower_limit(method, 13, 29, 0.95) == doctest::Approx(two_sided->low));
    }
  }

  TEST_CASE("Clopper and Pearson cover at least what they say at every true proportion") {
    // Exact coverage: binomial masses of all outcomes whose interval holds p.
    for (double p = 0.02; p < 1; p += 0.02) {
      double covered = 0;
      double mass = 1;
      for (int i = 0; i < 20; ++i) mass *= 1 - p;
      for (int x = 0; x <= 20; ++x) {
        if (proportion_interval(ProportionMethod::clopper_pearson, x, 20)->holds(p)) {
          covered += mass;
        }
        mass *= (20.0 - x) / (x + 1) * p / (1 - p);
      }
      CHECK(covered >= 0.95);
    }
  }

  TEST_CASE("a smaller effective size or fewer degrees of freedom widen the interval") {
    const auto method = ProportionMethod::wilson;
    const double unlimited = std::numeric_limits<double>::infinity();
    const auto plain = proportion_interval(method, 68, 100);
    const auto same = proportion_interval_effective(method, 0.68, 100, unlimited);
    CHECK(same->low == doctest::Approx(plain->low));
    const auto fewer = proportion_interval_effective(method, 0.68, 50, unlimited);
    CHECK(fewer->width() > same->width());
    CHECK(proportion_interval_effective(method, 0.68, 50, 4)->width() > fewer->width());
  }

  TEST_CASE("wrong arguments are refused by name") {
    const auto method = ProportionMethod::wilson;
    CHECK(proportion_interval(method, 5, 4).error().where == "successes");
    CHECK(proportion_interval(method, -1, 4).error().where == "successes");
    CHECK(proportion_interval(method, 0, 0).error().where == "trials");
    CHECK(proportion_interval(method, 1, 2, 1).error().where == "confidence");
    CHECK(proportion_interval_effective(method, 1.5, 2, 3).error().where == "proportion");
    CHECK(proportion_interval_effective(method, 0.5, 2, 0).error().where == "df");
  }
}
