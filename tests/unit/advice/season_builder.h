// SPDX-License-Identifier: Apache-2.0
//
// A season for tests of advice, a line a record. Block "b1": 40 rows of 90 trees, target 188
// spurs (113 fruits × 1.5 = 170 flowering spurs ÷ 0.9 floral).
//
//   SeasonBuilder farm;
//   farm.tag("p1", 1, 20, 210).check("lead", 1, 20, 225).minutes(30);
//   Verdict verdict = verdict_of(farm.season, "b1", "p1", farm.now_ms());
#pragma once

#include <string>
#include <vector>

#include "ledger/season.h"
#include "support/records.h"

namespace nthtree::test {

class SeasonBuilder {
 public:
  ledger::Season season;

  SeasonBuilder() {
    ledger::FarmSettings farm;
    farm.name = "Two Creeks";
    farm.wage_per_hour = 18;
    farm.fruit_price_per_kg = 0.8;
    add(farm, "boss");
    add(block_settings("b1"), "boss");
    orchard::Person lead{"lead", "Lea", orchard::Role::lead, true};
    add(ledger::PersonSettings{lead}, "boss");
  }

  SeasonBuilder& add(ledger::Body body, const std::string& author) {
    season.apply(record_of(phone_a, ++sequence_, minute_++, std::move(body), author));
    return *this;
  }
  SeasonBuilder& tag(const std::string& person, int row, int tree, int spurs,
                     const std::string& block = "b1") {
    return add(test::tag(row, tree, spurs, block), person);
  }
  SeasonBuilder& check(const std::string& lead, int row, int tree, int spurs,
                       const std::string& block = "b1") {
    return add(ledger::CheckCount{block, {row, tree}, spurs, 0}, lead);
  }
  // One count after another along row 1, 2, … ten trees apart.
  SeasonBuilder& tags(const std::string& person, const std::vector<int>& spurs, int row = 1,
                      const std::string& block = "b1") {
    int tree = 5;
    for (int count : spurs) {
      tag(person, row, tree, count, block);
      tree += 10;
      if (tree > 90) tree = 5, ++row;
    }
    return *this;
  }
  SeasonBuilder& advice(const std::string& person, ledger::Direction direction, int spurs,
                        const std::string& block = "b1") {
    return add(ledger::Advice{block, person, direction, spurs}, "lead");
  }
  SeasonBuilder& buds(int row, int tree, ledger::BranchPosition position, int floral,
                      int vegetative, int lateral = 0) {
    ledger::BudSample sample;
    sample.block = "b1";
    sample.tree = {row, tree};
    sample.position = position;
    sample.spur_floral = floral;
    sample.spur_vegetative = vegetative;
    sample.lateral_left_out = lateral;
    return add(sample, "lead");
  }
  SeasonBuilder& block(const ledger::BlockSettings& settings) { return add(settings, "boss"); }
  SeasonBuilder& minutes(int more) {
    minute_ += more;
    return *this;
  }
  SeasonBuilder& next_day() {
    minute_ = (minute_ / 1440 + 1) * 1440 + 480;
    return *this;
  }
  std::int64_t now_ms() const { return monday_ms + minute_ * 60000LL; }

 private:
  std::uint64_t sequence_ = 0;
  int minute_ = 480;
};

}  // namespace nthtree::test
