// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/gather_parts.h"

#include <doctest/doctest.h>

#include <cmath>

#include "advice/judged/standing.h"
#include "base/random.h"
#include "unit/advice/season_builder.h"

using namespace nthtree;
using namespace nthtree::advice;
using test::SeasonBuilder;

namespace {

ledger::PartCount part(int row, int tree, std::vector<int> limbs) {
  return {"b1", {row, tree}, {{20, 2, 4}, std::move(limbs), 90}};
}

BlockEvidence evidence_of(const SeasonBuilder& farm) {
  return gather(farm.season, *farm.season.block("b1"), 0, farm.now_ms());
}

}  // namespace

TEST_SUITE("advice") {
  TEST_CASE("part counts stand among whole ones in time order, each with what its limbs leave open") {
    SeasonBuilder farm;
    farm.tag("p1", 1, 10, 200).add(part(1, 30, {10, 9, 11, 12, 8}), "p1").tag("p1", 1, 50, 190);
    const BlockEvidence block = evidence_of(farm);
    const auto& counts = block.people.at("p1").counts;
    REQUIRE(counts.size() == 3);
    CHECK(counts[1].spurs == doctest::Approx(200));
    CHECK(counts[1].more().limbs == 5);
    CHECK(counts[1].more().limbs_in_tree == 20);
    CHECK(counts[0].more().limbs == 0);
    CHECK(block.limbs.trees == 1);
    Spread spread;
    CHECK(spread.of_one(counts[1]) > spread.of_one(counts[0]));
  }

  TEST_CASE("a part count tells less than a whole one and more than none") {
    SeasonBuilder none, some, whole;
    for (SeasonBuilder* farm : {&none, &some, &whole}) farm->tags("p1", {200, 230, 180, 250});
    some.add(part(3, 30, {12, 9, 11, 13, 9}), "p1");
    whole.tag("p1", 3, 30, 216);
    const auto sd = [](const SeasonBuilder& farm) {
      return standing_of(farm.season, "b1", "p1", farm.now_ms()).own.sd;
    };
    CHECK(sd(some) < sd(none));
    CHECK(sd(whole) < sd(some));
    CHECK(standing_of(some.season, "b1", "p1", some.now_ms()).part_counts == 1);
  }

  TEST_CASE("limbs left out were taken for neighbours that are alike") {
    int alike = 0;
    for (unsigned seed = 0; seed < 60; ++seed) {
      SeasonBuilder farm;
      base::Random random(seed);
      for (int i = 0; i < 12; ++i) {
        const double tree = std::exp(0.05 * random.normal());
        std::vector<int> limbs;
        for (int k = 0; k < 5; ++k) {
          limbs.push_back(static_cast<int>(random.negative_binomial(10 * tree, 5)));
        }
        farm.add(part(1, 1 + 7 * i, limbs), "p1");
      }
      const SpreadSums sums = spread_sums(evidence_of(farm).people.at("p1"), 0);
      alike += block_spread(sums).autocorrelation > 0.3;
    }
    CHECK(alike <= 3);
  }

  TEST_CASE("a re-count of the same limbs is a pair, one of other limbs is not") {
    SeasonBuilder farm;
    farm.add(part(1, 30, {10, 9, 11, 12, 8}), "p1");
    farm.add(ledger::PartCheck{"b1", {1, 30}, {{20, 2, 4}, {11, 10, 12, 13, 9}, 80}}, "lead");
    CHECK(counting_bias(farm.season, farm.now_ms()).of("p1").pairs == 1);
    CHECK(evidence_of(farm).people.at("p1").counts[0].more().check == doctest::Approx(220));
    SeasonBuilder other;
    other.add(part(1, 30, {10, 9, 11, 12, 8}), "p1");
    other.add(ledger::PartCheck{"b1", {1, 30}, {{20, 3, 4}, {11, 10, 12, 13, 9}, 80}}, "lead");
    CHECK(counting_bias(other.season, other.now_ms()).of("p1").pairs == 0);
    CHECK(evidence_of(other).people.at("p1").counts[0].more().check == -1);
  }

  TEST_CASE("a score is paired with the count of its tree, and one after the count is left out") {
    SeasonBuilder farm;
    farm.add(ledger::EyeScore{"b1", {1, 30}, "", 210, 4}, "p1");
    farm.add(part(1, 30, {10, 9, 11, 12, 8}), "p1");
    farm.add(ledger::EyeScore{"b1", {1, 30}, "", 200, 4}, "p1");  // it has just been counted
    farm.add(ledger::EyeScore{"b1", {1, 31}, "", 170, 4}, "p1");
    farm.add(ledger::EyeScore{"b1", {1, 30}, "p1", 220, 4}, "lead");
    const BlockEvidence block = evidence_of(farm);
    REQUIRE(block.scores.size() == 3);
    CHECK(block.scores[0].count == 0);
    CHECK(block.scores[1].count == -1);
    CHECK(block.scores[2].eye == "lead");
    CHECK(block.scores[2].person == "p1");
    CHECK(block.scores[2].count == 0);
  }

  TEST_CASE("a tag that comes one by one finds its score as a full pass does") {
    SeasonBuilder farm;
    farm.add(ledger::EyeScore{"b1", {1, 30}, "", 210, 4}, "p1");
    BlockEvidence step = evidence_of(farm);
    farm.tag("p1", 1, 30, 190);
    step.append(farm.season, farm.season.block("b1")->tag_counts.back());
    CHECK(step.scores[0].count == 0);
    CHECK(evidence_of(farm).scores[0].count == 0);
  }

  TEST_CASE("where size pays, a strong tree is judged by its own number") {
    SeasonBuilder farm;
    const int spurs[] = {140, 190, 240};
    for (int i = 0; i < 24; ++i) {
      const int size = i % 3;
      farm.add(ledger::TreeSize{"b1", {2, 1 + i}, static_cast<ledger::SizeClass>(size), {}}, "p1");
      farm.tag("p1", 2, 1 + i, spurs[size] + 7 * (i % 4));
    }
    const BlockEvidence block = evidence_of(farm);
    REQUIRE(block.sizes.pays);
    const auto& counts = block.people.at("p1").counts;
    CHECK(counts[2].share_tag < counts[2].spurs / block.target_spurs);
    CHECK(counts[0].share_tag > counts[0].spurs / block.target_spurs);
    const double cv = std::sqrt(block_spread(spread_sums(block.people.at("p1"), 0)).variance);
    CHECK(cv < 0.16);  // 0.29 at first, 0.25 met
  }
}
