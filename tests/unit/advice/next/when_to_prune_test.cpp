// SPDX-License-Identifier: Apache-2.0
#include "advice/next/when_to_prune.h"

#include <doctest/doctest.h>

#include "support/records.h"

using namespace nthtree;
using namespace nthtree::advice;
using namespace nthtree::test;

namespace {

// A block of 188 spurs to leave (113 fruits × 1.5 ÷ 0.9), and what was found in it.
class Block {
 public:
  explicit Block(std::optional<double> floral = 0.9) {
    auto settings = block_settings("b1");
    settings.block.target.floral_fraction = floral;
    add(settings);
  }
  void add(const ledger::Body& body) {
    season_.apply(record_of(phone_a, next_, static_cast<int>(next_), body, "l1"));
    ++next_;
  }
  void unpruned(int spurs) {
    for (int i = 0; i < 4; ++i) add(ledger::BeforeCount{"b1", {1, 5 + i}, spurs});
  }
  void buds(int floral, int vegetative) {
    for (int i = 0; i < 6; ++i) {
      add(ledger::BudSample{"b1", {2, 3 + i}, ledger::BranchPosition::upper, floral, vegetative});
    }
  }
  WhenToPrune when(const orchard::Variety& variety = {}) const {
    return when_to_prune(season_, "b1", variety, monday_ms + 1000 * 60000LL);
  }

 private:
  ledger::Season season_;
  std::uint64_t next_ = 1;
};

orchard::Variety biennial() {
  orchard::Variety variety;
  variety.biennial_tendency = orchard::BiennialTendency::high;
  return variety;
}

}  // namespace

TEST_SUITE("advice: when to prune") {
  TEST_CASE("a block that carries no more than is to be left is hardly pruned") {
    Block block;
    block.unpruned(150);
    const WhenToPrune when = block.when();
    CHECK(when.what == PruneWhen::hardly);
    REQUIRE(when.reasons.size() == 1);
    CHECK(when.reasons[0].id == "when_short");
    CHECK(when.reasons[0].number("spurs") == doctest::Approx(150));
    CHECK(when.reasons[0].number("target") == 189);
  }

  TEST_CASE("few floral buds say so before anybody counted a tree, and ask for that count") {
    Block block;
    block.buds(2, 8);
    const WhenToPrune when = block.when();
    CHECK(when.what == PruneWhen::hardly);
    REQUIRE(when.reasons.size() == 2);
    CHECK(when.reasons[0].id == "when_few_floral");
    CHECK(when.reasons[0].number("percent") == doctest::Approx(20));
    CHECK(when.reasons[1].id == "when_count_trees");
  }

  TEST_CASE("few floral buds on many spurs are no reason to leave a block alone") {
    Block block;
    block.buds(2, 8);
    block.unpruned(3000);
    CHECK(block.when().what != PruneWhen::hardly);
  }

  TEST_CASE("a strongly biennial variety waits until somebody looked into its year") {
    Block block;
    CHECK(block.when(biennial()).what == PruneWhen::lightly_then_settle);
    CHECK(block.when(biennial()).reasons[0].id == "when_biennial");
    block.buds(9, 1);
    CHECK(block.when(biennial()).what == PruneWhen::either);
  }

  TEST_CASE("heavily spurred or weak trees are done before green tip") {
    Block heavy;
    heavy.unpruned(500);
    CHECK(heavy.when().what == PruneWhen::before_green_tip);
    CHECK(heavy.when().reasons[0].id == "when_heavy");
    Block weak;
    for (int i = 0; i < 6; ++i) {
      weak.add(ledger::TreeSize{"b1", {1, 1 + i},
                                i < 4 ? ledger::SizeClass::weak : ledger::SizeClass::strong});
    }
    CHECK(weak.when().what == PruneWhen::before_green_tip);
    CHECK(weak.when().reasons[0].id == "when_weak");
    CHECK(weak.when().reasons[0].number("weak") == 4);
  }

  TEST_CASE("without a reason there is no hurry, and without a target nothing is said") {
    CHECK(Block().when().what == PruneWhen::either);
    CHECK(Block().when().reasons[0].id == "when_no_hurry");
    CHECK(Block(std::nullopt).when().reasons[0].id == "no_target");
  }
}
