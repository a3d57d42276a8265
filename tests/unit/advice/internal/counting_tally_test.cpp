// SPDX-License-Identifier: Apache-2.0
#include "advice/internal/counting_tally.h"

#include <doctest/doctest.h>

#include "advice/internal/current.h"
#include "base/random.h"
#include "unit/advice/season_builder.h"

using namespace nthtree::advice;
using nthtree::test::SeasonBuilder;

TEST_SUITE("advice") {
  TEST_CASE("a count that was taken back says nothing of how somebody counts") {
    using namespace nthtree::test;
    nthtree::ledger::Season season;
    season.apply(record_of(phone_a, 1, 0, block_settings("b1"), "boss"));
    const auto slip = record_of(phone_a, 2, 10, tag(1, 5, 300));
    season.apply(slip);
    season.apply(record_of(phone_a, 3, 30, tag(1, 15, 310)));
    season.apply(record_of(phone_a, 4, 40, nthtree::ledger::Withdrawal{"slip"}, "p1", slip.id));
    CountingTally tally;
    tally.take(season, *season.block("b1"), always);
    std::map<std::string, PersonTally> people;
    tally.add_to(people);
    CHECK(people["p1"].counts == 1);
  }

  TEST_CASE("a tally taken count by count equals one taken at once") {
    SeasonBuilder farm;
    CountingTally bit_by_bit;
    const int spurs[] = {180, 180, 195, 210, 150, 187};
    int tree = 4;
    for (int s : spurs) {
      farm.tag(tree % 3 ? "p1" : "p2", 1, tree, s);
      bit_by_bit.take(farm.season, *farm.season.block("b1"), always);
      if (tree % 2) farm.check("lead", 1, tree, s + 12);
      bit_by_bit.take(farm.season, *farm.season.block("b1"), always);
      tree += 5;
      if (tree > 18) farm.next_day();
    }
    CountingTally at_once;
    at_once.take(farm.season, *farm.season.block("b1"), always);
    std::map<std::string, PersonTally> a, b;
    bit_by_bit.add_to(a);
    at_once.add_to(b);
    REQUIRE(a.size() == b.size());
    for (const auto& [person, tally] : a) {
      const PersonTally& other = b[person];
      CHECK(tally.counts == other.counts);
      CHECK(tally.pairs == other.pairs);
      CHECK(tally.pair_sum == other.pair_sum);
      CHECK(tally.round_numbers == other.round_numbers);
      CHECK(tally.repeats == other.repeats);
      CHECK(tally.log_squares == doctest::Approx(other.log_squares));
      CHECK(tally.log_df == other.log_df);
    }
  }

  TEST_CASE("the latest tag of each of many trees is paired once, as a map of them would have it") {
    using nthtree::ledger::TagCount;
    nthtree::base::Random random(11);
    nthtree::ledger::Entries<TagCount> tags;
    LatestTags latest;
    std::map<std::pair<int, int>, std::size_t> by_tree;
    int pairs = 0, own = 0;
    for (int i = 0; i < 20000; ++i) {
      const nthtree::orchard::TreeAddress tree = {1 + static_cast<int>(random.below(40)),
                                                  1 + static_cast<int>(random.below(50))};
      const std::string who = "p" + std::to_string(random.below(3));
      if (random.chance(0.6)) {
        nthtree::ledger::Entry<TagCount> tag;
        tag.author = who;
        tag.body.tree = tree;
        tags.push_back(tag);
        latest.put(tags, tags.size() - 1);
        by_tree[{tree.row, tree.tree}] = tags.size() - 1;
        continue;
      }
      const auto found = by_tree.find({tree.row, tree.tree});
      const auto* tag = latest.pair(tags, tree, who);
      if (found == by_tree.end() || tags[found->second].author == who) {
        REQUIRE(!tag);
        own += found != by_tree.end();
        continue;
      }
      REQUIRE(tag == &tags[found->second]);
      by_tree.erase(found);
      ++pairs;
    }
    CHECK(pairs > 3000);
    CHECK(own > 1000);
  }

  TEST_CASE("nothing later than the cut is taken") {
    SeasonBuilder farm;
    farm.tags("p1", {180, 190});
    const std::int64_t cut = farm.now_ms() - 60000;
    farm.minutes(60).tags("p1", {200}, 4);
    CountingTally tally;
    tally.take(farm.season, *farm.season.block("b1"), cut);
    std::map<std::string, PersonTally> people;
    tally.add_to(people);
    CHECK(people["p1"].counts == 2);
  }
}
