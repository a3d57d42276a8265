// SPDX-License-Identifier: Apache-2.0
#include "stats/counting_ratio.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "unit/stats/samples.h"

using namespace nthtree::stats;
using namespace nthtree::stats_test;
using nthtree::base::Random;

namespace {

std::vector<CountPair> draw(Random& random, std::size_t n, double ratio) {
  std::vector<CountPair> pairs;
  for (std::size_t i = 0; i < n; ++i) {
    const double tag = 1 + static_cast<double>(random.negative_binomial(130, 16));
    pairs.push_back({std::round(tag * ratio * std::exp(0.06 * random.normal())), tag});
  }
  return pairs;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("order does not matter and swapping the counts inverts ratio and interval") {
    Random random(13);
    for (int run = 0; run < 50; ++run) {
      auto pairs = draw(random, 2 + random.below(20), 1.12);
      const auto a = counting_ratio(pairs);
      std::reverse(pairs.begin(), pairs.end());
      const auto b = counting_ratio(pairs);
      CHECK(a->ratio == doctest::Approx(b->ratio).epsilon(1e-14));
      CHECK(a->interval.low == doctest::Approx(b->interval.low).epsilon(1e-11));
      for (auto& pair : pairs) std::swap(pair.check, pair.tag);
      const auto c = counting_ratio(pairs);
      CHECK(c->ratio == doctest::Approx(1 / a->ratio));
      CHECK(c->log_standard_error == doctest::Approx(a->log_standard_error));
    }
  }

  TEST_CASE("the same unit for both counts leaves the ratio") {
    Random random(14);
    auto pairs = draw(random, 8, 1.12);
    const auto a = counting_ratio(pairs);
    for (auto& pair : pairs) pair = {pair.check * 3, pair.tag * 3};
    const auto b = counting_ratio(pairs);
    CHECK(b->ratio == doctest::Approx(a->ratio));
    CHECK(b->interval.high == doctest::Approx(a->interval.high));
  }

  TEST_CASE("the standard error is the delete-one jackknife's, the degrees of freedom Kish's") {
    const std::vector<CountPair> pairs = {{110, 100}, {95, 90}, {180, 150}, {130, 120}};
    double changes[4], mean = 0, squares = 0;
    for (int left_out = 0; left_out < 4; ++left_out) {
      double check = 0, tag = 0;
      for (int i = 0; i < 4; ++i) {
        check += i == left_out ? 0 : pairs[static_cast<std::size_t>(i)].check;
        tag += i == left_out ? 0 : pairs[static_cast<std::size_t>(i)].tag;
      }
      changes[left_out] = std::log(check / tag) - std::log(515.0 / 460);
      mean += changes[left_out] / 4;
    }
    for (double change : changes) squares += change * change;
    const auto ratio = counting_ratio(pairs);
    CHECK(ratio->log_standard_error == doctest::Approx(std::sqrt(0.75 * squares)));
    CHECK(std::fabs(mean) < 0.01);
    CHECK(ratio->df == doctest::Approx(460.0 * 460 / (1e4 + 8100 + 22500 + 14400) - 1));
    const std::vector<CountPair> equal = {{110, 100}, {95, 100}, {105, 100}};
    CHECK(counting_ratio(equal)->df == doctest::Approx(2));
  }

  TEST_CASE("exact agreement gives ratio one and no width, and pooling still doubts it a little") {
    const std::vector<CountPair> same = {{100, 100}, {150, 150}, {90, 90}};
    const auto alone = counting_ratio(same);
    CHECK(alone->ratio == 1);
    CHECK(alone->interval.width() == doctest::Approx(0));
    const std::vector<std::vector<CountPair>> crew = {same, same};
    const auto pooled = pool_counting_ratios(crew);
    CHECK(pooled->counters[0].interval.width() > 0.02);
  }

  TEST_CASE("pooling draws few pairs further to the crew than many, and never past it") {
    Random random(15);
    for (int run = 0; run < 30; ++run) {
      std::vector<std::vector<CountPair>> crew;
      for (int i = 0; i < 8; ++i) crew.push_back(draw(random, i == 0 ? 2 : 12, 1.1));
      crew[0] = draw(random, 2, 1.35);
      crew.push_back(draw(random, 20, 1.35));
      const auto pooled = pool_counting_ratios(crew);
      REQUIRE(pooled.ok());
      CHECK(pooled->counters[0].weight_own < pooled->counters[8].weight_own);
      for (std::size_t i = 0; i < crew.size(); ++i) {
        const double own = counting_ratio(crew[i])->log_ratio;
        const double between =
            (pooled->counters[i].log_ratio - own) * (std::log(pooled->ratio) - own);
        CHECK(between >= -1e-3);
        CHECK(ordered(pooled->counters[i].interval));
      }
    }
  }

  TEST_CASE("a counter without pairs gets the crew's ratio with a wide interval") {
    Random random(16);
    const std::vector<std::vector<CountPair>> crew = {draw(random, 8, 1.1), {},
                                                      draw(random, 8, 1.2)};
    const auto pooled = pool_counting_ratios(crew);
    REQUIRE(pooled.ok());
    REQUIRE(pooled->counters.size() == 3);
    CHECK(pooled->counters[1].ratio == pooled->ratio);
    CHECK(pooled->counters[1].weight_own == 0);
    CHECK(pooled->counters[1].interval.width() > pooled->counters[0].interval.width());
  }

  TEST_CASE("one pair each is enough for a crew, not for a counter alone") {
    const std::vector<CountPair> one = {{110, 100}};
    CHECK(counting_ratio(one).error().where == "pairs");
    const std::vector<std::vector<CountPair>> crew = {one, {{120, 100}}, {{105, 100}}};
    const auto pooled = pool_counting_ratios(crew);
    REQUIRE(pooled.ok());
    CHECK(pooled->ratio > 1.05);
    CHECK(pooled->ratio < 1.2);
  }

  TEST_CASE("zeros and nonsense do not become NaN") {
    CHECK(counting_ratio(std::vector<CountPair>{{0, 0}, {0, 0}}).error().where == "pairs.check");
    CHECK(counting_ratio(std::vector<CountPair>{{5, 0}, {5, 0}}).error().where == "pairs.tag");
    CHECK(counting_ratio(std::vector<CountPair>{{-5, 1}, {5, 0}}).error().id == "out_of_range");
    // One pair holds everything: no ratio without it, and still an interval.
    const auto lopsided = counting_ratio(std::vector<CountPair>{{50, 40}, {0, 0}});
    REQUIRE(lopsided.ok());
    CHECK(ordered(lopsided->interval));
  }
}
