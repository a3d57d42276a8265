// SPDX-License-Identifier: Apache-2.0
#include "ledger/change_log.h"

#include <doctest/doctest.h>

#include "ledger/kinds.h"
#include "ledger/season.h"
#include "support/records.h"

using namespace nthtree::ledger;
using namespace nthtree::test;

TEST_SUITE("ledger") {
  TEST_CASE("a change log gives what came since, oldest first, as long as it is kept") {
    ChangeLog log;
    CHECK(log.since(0)->empty());
    for (std::size_t kind = 1; kind <= ChangeLog::kept; ++kind) log.add({kind, {}});
    CHECK(log.revision() == ChangeLog::kept);
    REQUIRE(log.since(0));
    REQUIRE(log.since(0)->size() == ChangeLog::kept);
    CHECK(log.since(0)->front().added == 1);
    CHECK(log.since(0)->back().added == ChangeLog::kept);
    CHECK(log.since(log.revision())->empty());
    log.add({99, {}});
    CHECK_FALSE(log.since(0));  // one too many
    REQUIRE(log.since(1));
    CHECK(log.since(1)->front().added == 2);
    CHECK(log.since(1)->back().added == 99);
    CHECK_FALSE(log.since(log.revision() + 1));  // of another season
  }

  TEST_CASE("the season says what a record changed: an entry of a kind, or something else") {
    Season season;
    const auto changed_by = [&](const Record& record) {
      const BlockSeason* before = season.block("b1");
      const std::uint64_t seen = before ? before->changes.revision() : 0;
      CHECK(season.apply(record));
      return season.block("b1")->changes.since(seen).value();
    };
    const auto other = [](const std::vector<Change>& changes) {
      return changes.size() == 1 && changes[0].added == 0;
    };
    CHECK(other(changed_by(record_of(phone_a, 1, 0, block_settings("b1"), "boss"))));
    const Record late = record_of(phone_a, 2, 50, tag(1, 5, 300));
    REQUIRE(changed_by(late).size() == 1);
    const Record early = record_of(phone_b, 1, 10, tag(1, 10, 310));
    const auto added = changed_by(early);
    REQUIRE(added.size() == 1);
    CHECK(added[0].added == body_index<TagCount>);
    CHECK(added[0].position == early.position());
    CHECK(added[0].position < late.position());  // whoever took in the later one must look again
    CHECK(other(changed_by(record_of(phone_a, 3, 60, tag(1, 5, 280), "p1", late.id))));
    CHECK(other(changed_by(record_of(phone_a, 4, 70, Withdrawal{"slip"}, "p1", late.id))));
    // Counted in another block after all: taken away here, and no new entry there.
    CHECK(other(changed_by(record_of(phone_b, 2, 80, tag(1, 10, 310, "b2"), "p1", early.id))));
    CHECK(other(season.block("b2")->changes.since(0).value()));
    CHECK_FALSE(season.apply(late));
    CHECK(season.block("b1")->changes.revision() == 6);
  }
}
