// SPDX-License-Identifier: Apache-2.0
#include "app/people_copy.h"

#include <doctest/doctest.h>

using namespace nthtree;
using namespace nthtree::app;

namespace {

// A farm of two, one of them renamed since.
struct Farm {
  ledger::Season season;
  sync::RecordStore store;
  std::uint64_t sequence = 0;

  Farm() {
    say("person", R"({"person":"m","name":"Imke","role":"manager"})");
    say("person", R"({"person":"p","name":"Odd","role":"pruner"})");
    say("farm", R"({"name":"Quince Hollow","utc_offset_minutes":0})");
    say("person", R"({"person":"p","name":"José 🌳","role":"pruner"})");
  }
  void say(const std::string& kind, const std::string& body) {
    const std::string n = std::to_string(++sequence);
    const std::string line = R"({"v":1,"id":"11112222333344445555666677778888-)" + n +
                             R"(","at_ms":176901534000)" + n +
                             R"(,"tick":0,"clock_ms":1769015340000,"author":"m","kind":")" + kind +
                             R"(","body":)" + body + "}";
    const auto record = ledger::read_record(line);
    if (!record) MESSAGE(record.error().text());
    REQUIRE(record);
    season.apply(*record);
    store.put(record->id, line);
  }
};

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("a copy of the people gives them as the season has them, and nothing else") {
    const Farm farm;
    const auto known = read_people_copy(write_people_copy(farm.season, farm.store));
    REQUIRE(known);
    CHECK(known->people() == farm.season.people());
    CHECK(known->person("p")->name == "José 🌳");
    CHECK(!known->has_farm());
    CHECK(known->records() == 2);
  }

  TEST_CASE("a copy with one bit changed, cut short or grown is not believed") {
    const Farm farm;
    const std::string good = write_people_copy(farm.season, farm.store);
    for (std::size_t at = 0; at < good.size(); ++at) {
      std::string bad = good;
      bad[at] = static_cast<char>(bad[at] ^ 4);
      CHECK_FALSE(read_people_copy(bad));
      CHECK_FALSE(read_people_copy(std::string_view(good).substr(0, at)));
    }
    CHECK_FALSE(read_people_copy(good + "x"));
    CHECK_FALSE(read_people_copy(""));
    CHECK_FALSE(read_people_copy("00000000"));  // whole, and nobody in it
  }
}
