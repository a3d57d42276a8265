// SPDX-License-Identifier: Apache-2.0
#include "advice/known/counting_bias.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "base/random.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

namespace {

bool has(const Counter& counter, CountingSign sign) {
  return std::count(counter.signs.begin(), counter.signs.end(), sign) > 0;
}

// `pairs` re-counted trees of a person who sees `seen` of every spur, row by row.
void pairs(SeasonBuilder& farm, const std::string& person, int row, int count, double seen) {
  const int spurs[] = {180, 207, 166, 221, 193, 174, 239, 158, 201, 187};
  for (int i = 0; i < count; ++i) {
    const int truth = spurs[i % 10];
    farm.tag(person, row, 3 + 7 * i, static_cast<int>(std::lround(seen * truth)));
    farm.check("lead", row, 3 + 7 * i, truth);
  }
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("before any pair people are taken to miss some eight per cent") {
    SeasonBuilder farm;
    const CountingBias bias = counting_bias(farm.season, farm.now_ms());
    const Counter counter = bias.of("p1");
    CHECK(counter.ratio.value == doctest::Approx(1.08).epsilon(0.01));
    CHECK(counter.ratio.low < 1);
    CHECK(counter.pairs == 0);
  }

  TEST_CASE("a person's ratio moves from the crew's to their own as pairs come in") {
    double last = 0;
    for (int n : {0, 1, 3, 10}) {
      SeasonBuilder farm;
      pairs(farm, "p2", 5, 8, 0.97);
      pairs(farm, "p1", 1, n, 0.80);
      const Counter counter = counting_bias(farm.season, farm.now_ms()).of("p1");
      CHECK(counter.ratio.value > last);
      last = counter.ratio.value;
      CHECK(counter.pairs == n);
    }
    CHECK(last == doctest::Approx(1.25).epsilon(0.03));
  }

  TEST_CASE("a new counter is expected like the crew, less surely than anybody in it") {
    SeasonBuilder farm;
    for (int p = 0; p < 4; ++p) pairs(farm, "p" + std::to_string(p), 2 + p, 6, 0.93);
    const CountingBias bias = counting_bias(farm.season, farm.now_ms());
    CHECK(bias.pairs == 24);
    CHECK(bias.of("new").log_mean == doctest::Approx(-std::log(0.93)).epsilon(0.2));
    CHECK(bias.of("new").log_sd > bias.of("p0").log_sd);
  }

  TEST_CASE("a lead's own tags are right by definition") {
    SeasonBuilder farm;
    farm.tags("lead", {190, 180});
    CHECK(counting_bias(farm.season, farm.now_ms()).of("lead").ratio.value ==
          doctest::Approx(1));
  }

  TEST_CASE("a check before the tag, or by the same person, is no pair") {
    SeasonBuilder farm;
    farm.check("lead", 1, 5, 200).tag("p1", 1, 5, 180);
    farm.tag("p1", 1, 9, 180).check("p1", 1, 9, 240);
    CHECK(counting_bias(farm.season, farm.now_ms()).pairs == 0);
  }

  TEST_CASE("rounded numbers, copied numbers and too even numbers are noticed") {
    SeasonBuilder farm;
    nthtree::base::Random random(4);
    const auto honest = [&] { return static_cast<int>(random.negative_binomial(190, 18)); };
    for (int i = 0; i < 30; ++i) {
      farm.tag("honest", 1, 3 * i + 1, honest());
      farm.tag("rounder", 2, 3 * i + 1, honest() / 5 * 5);
      farm.tag("copier", 3, 3 * i + 1, i % 6 ? 188 : honest());
      farm.tag("even", 4, 3 * i + 1, 186 + i % 7);
    }
    const CountingBias bias = counting_bias(farm.season, farm.now_ms());
    CHECK(bias.of("honest").signs.empty());
    CHECK(has(bias.of("rounder"), CountingSign::digits));
    CHECK(has(bias.of("copier"), CountingSign::copies));
    CHECK(has(bias.of("even"), CountingSign::too_even));
  }

  TEST_CASE("a counter whose ratio is far off, or moved, is noticed") {
    SeasonBuilder farm;
    pairs(farm, "misses", 1, 8, 0.70);
    pairs(farm, "steady", 2, 10, 0.96);
    pairs(farm, "moved", 3, 6, 0.98);
    pairs(farm, "moved", 4, 3, 0.62);
    const CountingBias bias = counting_bias(farm.season, farm.now_ms());
    CHECK(has(bias.of("misses"), CountingSign::misses_many));
    CHECK(has(bias.of("moved"), CountingSign::ratio_moved));
    CHECK(bias.of("steady").signs.empty());
  }
}
