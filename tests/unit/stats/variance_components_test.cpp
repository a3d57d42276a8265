// SPDX-License-Identifier: Apache-2.0
#include "stats/variance_components.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "base/random.h"

using namespace nthtree::stats;
using nthtree::base::Random;

namespace {

std::vector<GaugeReading> draw(Random& random, std::size_t parts, std::size_t operators,
                               std::size_t trials) {
  std::vector<double> part(parts), by(operators);
  for (double& x : part) x = 30 * random.normal();
  for (double& x : by) x = 8 * random.normal();
  std::vector<GaugeReading> readings;
  for (std::size_t i = 0; i < parts; ++i) {
    for (std::size_t j = 0; j < operators; ++j) {
      const double both = 6 * random.normal();
      for (std::size_t k = 0; k < trials; ++k) {
        readings.push_back({i, j, 150 + part[i] + by[j] + both + 5 * random.normal()});
      }
    }
  }
  return readings;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("sums of squares and degrees of freedom add up to the total") {
    Random random(70);
    for (int run = 0; run < 20; ++run) {
      const auto readings = draw(random, 6, 3, 2);
      const auto study = gauge_study(readings, Interaction::keep);
      double mean = 0, total = 0;
      for (const auto& r : readings) mean += r.value / 36;
      for (const auto& r : readings) total += (r.value - mean) * (r.value - mean);
      CHECK(study->part.sum_of_squares + study->operator_line.sum_of_squares +
                study->interaction.sum_of_squares + study->residual.sum_of_squares ==
            doctest::Approx(total));
      CHECK(study->part.df + study->operator_line.df + study->interaction.df +
                study->residual.df == 35);
    }
  }

  TEST_CASE("components come out on average as they were drawn") {
    Random random(71);
    double part = 0, by = 0, both = 0, repeat = 0;
    const int runs = 150;
    for (int run = 0; run < runs; ++run) {
      const auto study = gauge_study(draw(random, 15, 8, 2), Interaction::keep);
      part += study->part_variance / runs;
      by += study->operator_variance / runs;
      both += study->interaction_variance / runs;
      repeat += study->repeatability / runs;
    }
    CHECK(part == doctest::Approx(900).epsilon(0.12));
    CHECK(by == doctest::Approx(64).epsilon(0.2));
    CHECK(both == doctest::Approx(36).epsilon(0.1));
    CHECK(repeat == doctest::Approx(25).epsilon(0.05));
  }

  TEST_CASE("order, labels and a shift of all values change nothing") {
    Random random(72);
    auto readings = draw(random, 8, 3, 3);
    const auto a = gauge_study(readings);
    std::reverse(readings.begin(), readings.end());
    for (auto& r : readings) r = {100 - r.part, 7 * r.operator_id, r.value + 1e6};
    const auto b = gauge_study(readings);
    CHECK(b->gauge == doctest::Approx(a->gauge).epsilon(1e-7));
    CHECK(b->part_variance == doctest::Approx(a->part_variance).epsilon(1e-7));
    CHECK(b->operator_means[0] == doctest::Approx(a->operator_means[0] + 1e6));
    CHECK(average_and_range(readings)->gauge > 0);
  }

  TEST_CASE("no component is negative, and a perfect gauge has endless categories") {
    Random random(73);
    for (int run = 0; run < 50; ++run) {
      std::vector<GaugeReading> noise;
      for (std::size_t i = 0; i < 24; ++i) noise.push_back({i % 4, i / 8, random.normal()});
      const auto study = gauge_study(noise, Interaction::keep);
      REQUIRE(study.ok());
      CHECK(study->part_variance >= 0);
      CHECK(study->operator_variance >= 0);
      CHECK(study->interaction_variance >= 0);
      CHECK(study->percent_study <= 100.0001);
    }
    std::vector<GaugeReading> exact;
    for (std::size_t i = 0; i < 24; ++i) exact.push_back({i % 4, i / 8, double(i % 4)});
    const auto study = gauge_study(exact);
    CHECK(study->gauge == 0);
    CHECK(std::isinf(study->categories));
    CHECK(study->percent_study == 0);
  }

  TEST_CASE("a missing reading, one operator and one trial are refused") {
    Random random(74);
    auto readings = draw(random, 4, 3, 2);
    readings.pop_back();
    CHECK(gauge_study(readings).error().id == "unbalanced");
    CHECK(gauge_study(draw(random, 4, 1, 2)).error().where == "readings.operator_id");
    CHECK(gauge_study(draw(random, 1, 3, 2)).error().where == "readings.part");
    CHECK(gauge_study(draw(random, 4, 3, 1)).error().where == "readings");
    CHECK(average_and_range({}).error().where == "readings.part");
  }

  TEST_CASE("one-way analysis with unequal groups, and with none") {
    const std::vector<double> values = {1, 2, 3, 11, 12, 30};
    const std::vector<std::size_t> group = {5, 5, 5, 2, 2, 9};
    const auto table = one_way(values, group);
    REQUIRE(table.ok());
    CHECK(table->within.sum_of_squares == doctest::Approx(2.5));
    CHECK(table->between.df == 2);
    CHECK(table->between_variance > 50);
    const std::vector<std::size_t> one(6, 1), each = {1, 2, 3, 4, 5, 6};
    CHECK(one_way(values, one).error().where == "group");
    CHECK(one_way(values, each).error().where == "values");
    const auto flat = one_way(std::vector<double>(6, 4.0), group);
    CHECK(flat->between.f == 0);
    CHECK(flat->between.p_value == 1);
  }
}
