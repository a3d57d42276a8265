// SPDX-License-Identifier: Apache-2.0
#include "advice/known/block_target.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "advice/known/limbs.h"
#include "base/random.h"
#include "stats/part_total.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::ledger::BranchPosition;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("without buds the typed-in floral fraction makes the target, known exactly") {
    SeasonBuilder farm;
    const auto target = block_target(farm.season, "b1");
    REQUIRE(target.ok());
    // 113 fruits × 1.5 = 169.5, half up 170; 170 ÷ 0.9 = 188.9, so 189 spurs.
    CHECK(target->target.flowering_spurs_per_tree == 170);
    CHECK(target->target.spurs_to_leave_per_tree.value == 189);
    CHECK(target->source == FloralSource::typed_in);
    CHECK(target->log_sd == 0);
  }

  TEST_CASE("buds cut open replace it, and their interval becomes the target's") {
    SeasonBuilder farm;
    for (int i = 0; i < 5; ++i) {
      farm.buds(1 + 7 * i, 9, BranchPosition::upper, 9 + 2 * i, 8);
      farm.buds(1 + 7 * i, 9, BranchPosition::lower, 13, 6 + i % 3);
    }
    const auto target = block_target(farm.season, "b1");
    REQUIRE(target.ok());
    CHECK(target->source == FloralSource::dissected);
    const auto& spurs = target->target.spurs_to_leave_per_tree;
    CHECK(spurs.low < spurs.value);
    CHECK(spurs.value < spurs.high);
    CHECK(target->log_sd > 0.01);
    CHECK(target->log_sd < 0.3);
  }

  // 60 trees of which 5 limbs of 20 were counted in winter, clusters on the first ten of them: on
  // the whole tree, or on the same limbs alone.
  struct Spring {
    SeasonBuilder farm;
    double truth = 0;  // floral clusters on a tree
    explicit Spring(std::uint64_t seed, bool by_limbs = false) {
      nthtree::base::Random random(seed);
      for (int i = 0; i < 60; ++i) {
        const double spurs = static_cast<double>(random.negative_binomial(200, 12));
        nthtree::ledger::LimbCounts winter{{20, 2, 4}, {}, 0}, spring = winter;
        const nthtree::orchard::TreeAddress tree{1 + i / 2, 7 + 30 * (i % 2)};
        int clusters = 0, bare = 0;
        for (int limb = 1; limb <= 20; ++limb) {
          const int on_limb = static_cast<int>(random.negative_binomial(spurs / 20, 5));
          const int floral = static_cast<int>(random.poisson(0.7 * on_limb));
          clusters += floral;
          if (limb % 4 != 2) continue;
          winter.limbs.push_back(on_limb);
          spring.limbs.push_back(floral);
          bare += std::max(0, on_limb - floral);
        }
        truth += clusters / 60.0;
        farm.add(nthtree::ledger::PartCount{"b1", tree, winter}, "p1");
        if (i % 6 != 0) continue;
        if (by_limbs) {
          farm.add(nthtree::ledger::PartClusters{"b1", tree, spring, bare}, "lead");
        } else {
          const int rest = std::max(0, static_cast<int>(spurs) - clusters);
          farm.add(nthtree::ledger::ClusterCount{"b1", tree, clusters, rest}, "lead");
        }
      }
    }
    SecondPass alone() const { return second_pass(*farm.season.block("b1")); }
    SecondPass led() const { return second_pass_and_winter(*farm.season.block("b1")); }
  };

  double width(const nthtree::orchard::Estimate& estimate) { return estimate.high - estimate.low; }

  bool holds(const nthtree::orchard::Estimate& estimate, double truth) {
    return estimate.low <= truth && truth <= estimate.high;
  }

  TEST_CASE("limbs counted in winter lead the mean of few trees' clusters") {
    int led = 0, covered = 0;
    double with = 0, without = 0;
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
      const Spring spring(seed);
      const SecondPass alone = spring.alone(), both = spring.led();
      REQUIRE(both.trees == 10);
      led += both.winter.trees == 60 && both.winter.pairs == 10;
      const auto& mean = both.floral_clusters_per_tree;
      covered += holds(mean, spring.truth);
      with += width(mean);
      without += width(alone.floral_clusters_per_tree);
      CHECK(both.clusters_to_take_per_tree.value ==
            doctest::Approx(mean.value - both.flowering_spurs_target));
    }
    MESSAGE("led ", led, " of 300, covered ", covered, ", width ", with / without);
    CHECK(led > 0.7 * 300);
    CHECK(covered >= 0.87 * 300);  // 90 %, less what choosing the tighter interval costs
    CHECK(with < 0.9 * without);
  }

  TEST_CASE("clusters on the winter's limbs are as well led as whole trees, and less sure alone") {
    int covered = 0, covered_alone = 0;
    double with = 0, alone = 0, whole = 0;
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
      const Spring spring(seed, true);
      const SecondPass by_limbs = spring.alone(), led = spring.led();
      REQUIRE(by_limbs.part_trees == 10);
      covered_alone += holds(by_limbs.floral_clusters_per_tree, spring.truth);
      covered += holds(led.floral_clusters_per_tree, spring.truth);
      alone += width(by_limbs.floral_clusters_per_tree);
      with += width(led.floral_clusters_per_tree);
      whole += width(Spring(seed).alone().floral_clusters_per_tree);
    }
    MESSAGE("covered ", covered, ", alone ", covered_alone, " of 300, width led ", with / alone,
            ", alone beside whole trees ", alone / whole);
    CHECK(covered >= 0.87 * 300);
    CHECK(covered_alone >= 0.87 * 300);
    CHECK(with < 0.8 * alone);
    CHECK(alone > whole);
  }

  // By hand: 20 limbs, every 4th from the 2nd: 6, 9, 7, 10 and 8 clusters make 20 × 40 ÷ 5 = 160.
  // Cochran 1977, sec. 2.6 (from memory, as in stats/part_total.h): the total's variance is
  // L²(1/k - 1/L)s² = 400 × 0.15 × 2.5 = 150 of random limbs; an even step leaves φ = 0.75 of it.
  TEST_CASE("a tree of 160 clusters from five of its twenty limbs, by hand and by Cochran's form") {
    SeasonBuilder farm;
    const nthtree::ledger::LimbCounts counted{{20, 2, 4}, {6, 9, 7, 10, 8}, 90};
    farm.add(nthtree::ledger::PartClusters{"b1", {2, 10}, counted, 10}, "lead");
    const SecondPass pass = second_pass(*farm.season.block("b1"));
    CHECK(pass.part_trees == 1);
    CHECK(pass.floral_clusters_per_tree.value == doctest::Approx(160));
    CHECK(pass.floral_fraction.value == doctest::Approx(40.0 / 50));
    const auto total = nthtree::stats::part_total(std::vector<double>{6, 9, 7, 10, 8}, 20);
    REQUIRE(total.ok());
    CHECK(total->total == doctest::Approx(160));
    CHECK(total->variance_random == doctest::Approx(150));
    CHECK(part_variance(2.5 / 64, 5, 20) * 160 * 160 == doctest::Approx(0.75 * 150));
    // One tree: the 35 % of any single tree, and what the limbs leave open; W of five limbs and
    // of the prior's twelve: (12 × 0.25 + 10 ÷ 64) ÷ 16.
    const double limbs = (12 * 0.25 + 10.0 / 64) / 16 * 0.75 * 0.15;
    CHECK(std::log(pass.floral_clusters_per_tree.high / 160) ==
          doctest::Approx(1.6449 * std::sqrt(0.35 * 0.35 + limbs)).epsilon(1e-3));
  }

  TEST_CASE("two trees that limbs made alike by chance were told as if known exactly") {
    SeasonBuilder farm;
    const nthtree::ledger::LimbCounts counted{{20, 2, 4}, {6, 9, 7, 10, 8}, 90};
    for (int row : {2, 9, 16}) {
      farm.add(nthtree::ledger::PartClusters{"b1", {row, 10}, counted, 10}, "lead");
    }
    const SecondPass pass = second_pass(*farm.season.block("b1"));
    const double limbs = (12 * 0.25 + 30.0 / 64) / 24 * 0.75 * 0.15;
    CHECK(width(pass.floral_clusters_per_tree) ==
          doctest::Approx(2 * 1.7823 * 160 * std::sqrt(limbs / 3)).epsilon(1e-3));
  }

  TEST_CASE("a tree counted whole after its limbs is one tree, and the whole count stands") {
    SeasonBuilder farm;
    const nthtree::ledger::LimbCounts counted{{20, 2, 4}, {6, 9, 7, 10, 8}, 90};
    for (int i = 0; i < 4; ++i) {
      farm.add(nthtree::ledger::ClusterCount{"b1", {2 + i, 10}, 150, 40}, "lead");
      farm.add(nthtree::ledger::PartClusters{"b1", {2 + i, 10}, counted, 10}, "lead");
    }
    const SecondPass pass = second_pass(*farm.season.block("b1"));
    CHECK(pass.trees == 4);
    CHECK(pass.part_trees == 0);
    CHECK(pass.floral_clusters_per_tree.value == doctest::Approx(150));
  }

  TEST_CASE("the winter's line through six pairs is Cochran's regression of double sampling") {
    SeasonBuilder farm;
    const int spurs[] = {100, 150, 200, 250, 300, 350, 220, 180, 240};
    const int clusters[] = {72, 103, 144, 172, 214, 246};
    for (int i = 0; i < 9; ++i) {
      farm.tag("p1", 1 + i, 7, spurs[i]);
      if (i >= 6) continue;
      farm.add(nthtree::ledger::ClusterCount{"b1", {1 + i, 7}, clusters[i], 50}, "lead");
    }
    const SecondPass pass = second_pass_and_winter(*farm.season.block("b1"));
    REQUIRE(pass.winter.trees == 9);
    // By hand: means 225 and 951 / 6 = 158.5; slope 30775 / 43750; all nine average 1990 / 9.
    CHECK(pass.winter.slope == doctest::Approx(30775.0 / 43750));
    CHECK(pass.floral_clusters_per_tree.value ==
          doctest::Approx(158.5 + 30775.0 / 43750 * (1990.0 / 9 - 225)));
  }

  TEST_CASE("clusters seen in spring re-base the target and say what is left to take") {
    SeasonBuilder farm;
    for (int i = 0; i < 6; ++i) {
      nthtree::ledger::ClusterCount count;
      count.block = "b1";
      count.tree = {2 + i, 10};
      count.floral_clusters = 200 + 5 * i;
      count.vegetative_spurs = 50;
      farm.add(count, "lead");
    }
    const auto target = block_target(farm.season, "b1");
    REQUIRE(target.ok());
    CHECK(target->source == FloralSource::clusters_seen);
    const SecondPass pass = second_pass(*farm.season.block("b1"));
    CHECK(pass.trees == 6);
    CHECK(pass.floral_clusters_per_tree.value == doctest::Approx(212.5));
    CHECK(pass.flowering_spurs_target == 170);
    CHECK(pass.clusters_to_take_per_tree.value == doctest::Approx(42.5));
    CHECK(pass.floral_fraction.value == doctest::Approx(1275.0 / 1575));
  }

  // Yield an area ÷ bearing trees on it (common practice, no source): a tenth of the trees gone, each of the others carries a ninth more.
  TEST_CASE("an area's yield was shared out among gaps too: the bearing trees carry it") {
    SeasonBuilder farm;
    auto settings = nthtree::test::block_settings("b1");
    settings.block.target.fruits_per_tree.reset();
    settings.block.target.yield = nthtree::orchard::YieldGoal{};
    settings.block.target.yield->amount = 50;
    settings.block.target.yield->unit = nthtree::orchard::YieldUnit::t_per_ha;
    settings.block.target.yield->fruit_size.grams = 200;
    farm.block(settings);
    const auto full = block_target(farm.season, "b1");
    REQUIRE(full.ok());
    for (int row = 1; row <= 40; ++row) {
      for (int tree = 1; tree <= 9; ++tree) {
        farm.add(nthtree::ledger::TreeState{"b1", {row, tree * 10},
                                            nthtree::ledger::TreeKind::missing}, "lead");
      }
    }
    const auto gaps = block_target(farm.season, "b1");
    REQUIRE(gaps.ok());
    CHECK(gaps->target.fruits_per_tree / full->target.fruits_per_tree ==
          doctest::Approx(10.0 / 9).epsilon(0.01));
    CHECK(gaps->target.trees_per_ha / full->target.trees_per_ha == doctest::Approx(0.9));
  }

  TEST_CASE("what cannot have a target says why") {
    SeasonBuilder farm;
    farm.tag("p1", 1, 1, 100, "b7");
    const auto unknown = block_target(farm.season, "b9");
    REQUIRE_FALSE(unknown.ok());
    CHECK(unknown.error().id == "unknown_block");
    const auto bare = block_target(farm.season, "b7");
    REQUIRE_FALSE(bare.ok());
    CHECK(bare.error().id == "no_block_settings");
  }

  TEST_CASE("a dissection without a single floral bud still gives a finite target") {
    SeasonBuilder farm;
    farm.buds(1, 1, BranchPosition::upper, 0, 20).buds(2, 1, BranchPosition::lower, 0, 20);
    const auto target = block_target(farm.season, "b1");
    REQUIRE(target.ok());
    CHECK(target->target.spurs_to_leave_per_tree.value <= 170 / 0.01 + 1);
  }
}
