// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/looks.h"

#include <doctest/doctest.h>

#include <cmath>

#include "base/random.h"

using namespace nthtree::advice;

namespace {

constexpr double tree_variance = 0.0625, slope = 0.85, correlation = 0.75;
const double scatter = slope * std::sqrt(tree_variance * (1 / (correlation * correlation) - 1));

// Eyes as good as known: many pairs from before.
EyeModel known_eyes() {
  EyeSums sums;
  sums.pairs = sums.df = 1e6;
  sums.counts = 1e6 * tree_variance;
  sums.both = slope * sums.counts;
  sums.scores = slope * slope * sums.counts + 1e6 * scatter * scatter;
  return EyeModel({{"p1", sums}, {"lead", sums}}, tree_variance);
}

Spread known_spread() {
  Spread spread;
  spread.variance = tree_variance;
  return spread;
}

// A morning of one eye at the trees of one person.
struct Walk {
  std::string eye, person;
  double level = 1;
  int counted = 4, seen = 16;
};

void go(const Walk& walk, double scale, nthtree::base::Random& random, BlockEvidence& block) {
  PersonEvidence& person = block.people[walk.person];
  for (int i = 0; i < walk.counted + walk.seen; ++i) {
    const double tree = walk.level * random.gamma(1 / tree_variance) * tree_variance;
    ScorePoint score;
    score.eye = walk.eye;
    score.person = walk.person;
    score.at_ms = 10 * static_cast<std::int64_t>(block.scores.size());
    score.log_share = scale + slope * std::log(tree) + scatter * random.normal();
    if (i < walk.counted) {
      CountPoint count;
      count.at_ms = score.at_ms + 1;
      count.share_tag = tree;
      count.spurs = 200 * tree;
      score.count = static_cast<int>(person.counts.size());
      person.add(count);
    }
    block.scores.push_back(score);
  }
}

double mean_of(const PersonEvidence& person) {
  double sum = 0;
  for (const CountPoint& count : person.counts) sum += count.share_tag;
  return sum / static_cast<double>(person.counts.size());
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("own looks and counts together have the variance of the regression estimator") {
    nthtree::base::Random random(11);
    const CountingBias exact;
    double squares = 0, said = 0, mean = 0, plain = 0;
    constexpr int runs = 4000;
    for (int run = 0; run < runs; ++run) {
      BlockEvidence block;
      go({"p1", "p1", 1.2}, 0.3 * random.normal(), random, block);
      const Looks looks(block, exact, 0.25, known_eyes());
      const auto seen = looks.at("p1", 1, known_spread());
      REQUIRE(seen.size() == 1);
      CHECK(seen[0].more().looks == 20);
      const double counts = 4 / tree_variance, more = 1 / seen[0].more().look_variance;
      const double both =
          (mean_of(block.people["p1"]) * counts + seen[0].share(1) * more) / (counts + more);
      mean += both / runs;
      squares += (both / 1.2 - 1) * (both / 1.2 - 1) / runs;
      said += 1 / (counts + more) / runs;
      plain += std::pow(mean_of(block.people["p1"]) / 1.2 - 1, 2) / runs;
    }
    const double rho2 = correlation * correlation;
    // Cochran 1977, sec. 12.6 (from memory).
    const double book = tree_variance * (1 - rho2) / 4 + rho2 * tree_variance / 20;
    CHECK(said == doctest::Approx(book).epsilon(0.02));
    CHECK(squares == doctest::Approx(said).epsilon(0.10));
    CHECK(plain == doctest::Approx(tree_variance / 4).epsilon(0.10));
    CHECK(mean == doctest::Approx(1.2).epsilon(0.01));
  }

  TEST_CASE("the lead's walk tells of a pruner through the others' counted trees") {
    nthtree::base::Random random(12);
    const CountingBias exact;
    double squares = 0, said = 0, mean = 0;
    constexpr int runs = 2000;
    for (int run = 0; run < runs; ++run) {
      BlockEvidence block;
      const double scale = 0.3 * random.normal();
      for (int i = 0; i < 8; ++i) {
        go({"lead", "q" + std::to_string(i), 0.9 + 0.05 * i, 4, 4}, scale, random, block);
      }
      go({"lead", "p1", 1.4, 0, 30}, scale, random, block);
      const Looks looks(block, exact, 0.25, known_eyes());
      const auto seen = looks.at("p1", 1, known_spread());
      REQUIRE(seen.size() == 1);
      const double off = seen[0].share(1) / 1.4 - 1;
      mean += off / runs;
      squares += off * off / runs;
      said += seen[0].more().look_variance / runs;
    }
    CHECK(std::fabs(mean) < 0.02);
    CHECK(squares == doctest::Approx(said).epsilon(0.12));
    CHECK(said < 0.010);  // two whole trees: 0.031
  }

  TEST_CASE("an eye that has no pair that morning says nothing") {
    nthtree::base::Random random(13);
    BlockEvidence block;
    go({"p1", "p1", 1.2, 0, 20}, 0, random, block);
    const CountingBias exact;
    CHECK(Looks(block, exact, 0.25, known_eyes()).at("p1", 1, known_spread()).empty());
    CHECK(Looks(block, exact, 0.25, known_eyes()).at("nobody", 1, known_spread()).empty());
    CHECK(Looks(block, exact, 0.25, EyeModel()).at("p1", 1, known_spread()).empty());
  }

  TEST_CASE("looks from before advice and after it are kept apart") {
    nthtree::base::Random random(14);
    BlockEvidence block;
    go({"p1", "p1", 1.5}, 0, random, block);
    block.people["p1"].advice.push_back(
        {block.scores.back().at_ms + 5, nthtree::ledger::Direction::harder, 60});
    go({"p1", "p1", 1.0}, 0, random, block);
    const CountingBias exact;
    const auto seen = Looks(block, exact, 0.25, known_eyes()).at("p1", 1, known_spread());
    REQUIRE(seen.size() == 2);
    CHECK(seen[0].share(1) > seen[1].share(1));
  }

  TEST_CASE("a count of some limbs is paired by what its limbs leave open") {
    nthtree::base::Random random(15);
    BlockEvidence whole, part;
    go({"p1", "p1", 1.2}, 0, random, whole);
    part = whole;
    for (CountPoint& count : part.people["p1"].counts) {
      count.add_more().limbs = 4;
      count.add_more().limbs_in_tree = 20;
    }
    const CountingBias exact;
    const EyeTable of_whole = eye_sums(whole, exact, 0.25), of_part = eye_sums(part, exact, 0.25);
    CHECK(of_whole.at("p1").errors == 0);
    CHECK(of_part.at("p1").errors == doctest::Approx(3 * part_variance(0.25, 4, 20)));
    CHECK(of_part.at("p1").pairs == 4);
  }
}
