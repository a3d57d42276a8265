// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/boundary.h"

#include <doctest/doctest.h>

#include <cmath>
#include <initializer_list>

#include "base/random.h"

using namespace nthtree::advice;

TEST_SUITE("advice") {
  TEST_CASE("the boundary of a surer farm lies higher") {
    const Boundary loose = boundary_for(BandSide::over, 0.10, 0.10, 0.5), tight = boundary_for(BandSide::over, 0.02, 0.10, 0.5);
    for (double s = 0.2; s < 8; s += 0.2) {
      CHECK(z_to_change(tight, s) > z_to_change(loose, s));
      CHECK(z_to_clear(tight, s) > 0);
    }
  }

  TEST_CASE("trees that differ much are told later on both sides, even ones sooner") {
    for (BandSide side : {BandSide::over, BandSide::under}) {
      double before = 0;
      for (double step : {0.9, 0.7, 0.5, 0.4, 0.3}) {
        const Boundary boundary = boundary_for(side, 0.05, 0.10, step);
        CHECK(boundary.b > before);
        CHECK(boundary.a >= 0.5);
        before = boundary.b;
      }
    }
    // A step of any size, as of a target loosely known or neighbours alike, stays in bounds.
    CHECK(boundary_for(BandSide::under, 0.05, 0.10, 0.01).b < std::log(1 / 0.05) + 0.65);
    CHECK(boundary_for(BandSide::over, 0.05, 0.10, 5).b > 1.5);
  }

  TEST_CASE("late looks follow Wald's line, which never comes down to a fixed z") {
    const Boundary boundary = boundary_for(BandSide::over, 0.05, 0.10, 0.53);
    for (double s = 4; s < 40; s += 1) {
      CHECK(z_to_change(boundary, s) == doctest::Approx(s / 2 + boundary.b / s));
    }
    CHECK(z_to_change(boundary, 0.53) < 0.53 / 2 + boundary.b / 0.53);
  }

  TEST_CASE("with the spread known, a day of a hundred looks errs at the stated rate") {
    // Levels at half a tolerance of 15 %, normal logarithms of spread 0.246 (25 %).
    const double near = std::log1p(0.075), far = std::log1p(0.225), sd = 0.246;
    const Boundary boundary = boundary_for(BandSide::over, 0.05, 0.10, (far - near) / sd);
    nthtree::base::Random random(11);
    int told = 0;
    const int days = 4000;
    for (int day = 0; day < days; ++day) {
      double sum = 0;
      for (int n = 1; n <= 100; ++n) {
        sum += near + sd * random.normal();
        const double se = sd / std::sqrt(static_cast<double>(n));
        if ((sum / n - near) / se < z_to_change(boundary, (far - near) / se)) continue;
        ++told;
        break;
      }
    }
    const double rate = static_cast<double>(told) / days;
    CHECK(rate < 0.065);  // standard error 0.0035
    CHECK(rate > 0.030);
  }
}
