// SPDX-License-Identifier: Apache-2.0
#include "ledger/alike_records.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "base/random.h"
#include "support/records.h"

using namespace nthtree::ledger;
using namespace nthtree::test;

namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// Where whole numbers begin that stand by themselves, wherever that is: also inside a text.
std::vector<std::uint32_t> places_in(const std::string& line) {
  std::vector<std::uint32_t> places;
  for (std::size_t at = 1; at < line.size(); ++at) {
    if (!is_digit(line[at])) continue;
    if (std::string(":,[-").find(line[at - 1]) == std::string::npos) continue;
    std::size_t end = at;
    while (end < line.size() && is_digit(line[end])) ++end;
    if (end < line.size() && std::string(",}]\"").find(line[end]) != std::string::npos) {
      places.push_back(static_cast<std::uint32_t>(at));
    }
    at = end;
  }
  return places;
}

struct Line {
  std::string text;
  std::vector<std::int64_t> numbers;
};

// The same line with another number at one of its places; none changed where `which` is past them.
Line with(const std::string& line, const std::vector<std::uint32_t>& places, std::size_t which,
          std::int64_t number) {
  Line changed;
  std::size_t copied = 0;
  for (std::size_t i = 0; i < places.size(); ++i) {
    std::size_t end = places[i];
    while (is_digit(line[end])) ++end;
    changed.text += line.substr(copied, places[i] - copied);
    changed.numbers.push_back(i == which ? number : std::stoll(line.substr(places[i])));
    changed.text += std::to_string(changed.numbers.back());
    copied = end;
  }
  changed.text += line.substr(copied);
  return changed;
}

bool same(const Record& one, const Record& other) {
  if (one.position() != other.position() || one.clock_ms != other.clock_ms) return false;
  if (one.author != other.author || one.kind != other.kind) return false;
  if (one.replaces != other.replaces || one.body.index() != other.body.index()) return false;
  return write_record(one)->bytes == write_record(other)->bytes;
}

// Of numbers that are tried at each place, how many were read without their text.
int taken_of(const std::string& line, const std::vector<std::int64_t>& tried) {
  const auto places = places_in(line);
  AlikeRecords alike;
  if (!alike.learn(line, places)) return 0;
  int taken = 0;
  for (std::size_t which = 0; which <= places.size(); ++which) {
    for (const std::int64_t number : tried) {
      const Line changed = with(line, places, which, number);
      CAPTURE(changed.text);
      const auto judged = read_kept_record(changed.text);
      const auto* record = alike.read(changed.numbers);
      taken += record != nullptr;
      if (!record) continue;
      REQUIRE(judged);
      REQUIRE(*record);
      REQUIRE(same(**record, *judged));
    }
  }
  return taken;
}

const std::vector<std::int64_t> tried = {
    0, 1, 2, 7, 59, 60, 61, 100, 500, 501, 999, 1000, 1001, 3999, 4000, 4001, 5000, 5001, 9999,
    10000, 10001, 65535, 65536, 86400, 1000000, 2147483647, 2147483648, 4294967295, 4294967296,
    1770000000000, 253402300799999, 253402300800000, 999999999999999, 1000000000000000,
    999999999999999999};

std::string line_of(Body body, const std::string& author = "p1") {
  return record_of(phone_a, 57, 400, std::move(body), author).bytes;
}

}  // namespace

TEST_SUITE("ledger") {
  TEST_CASE("records that differ in their numbers are read from these to the same values") {
    TagCount all = tag(3, 40, 210);
    all.seconds = 92;
    all.spurs_after_mend = 190;
    all.mend_seconds = 60;
    for (const std::string& line : {line_of(tag(3, 40, 210)), line_of(all),
                                    line_of(CheckCount{"b1", {3, 40}, 205, 80})}) {
      CHECK(taken_of(line, tried) > 60);
    }
  }

  TEST_CASE("every kind is left to the reader of its text, or read alike") {
    std::string text = file_text("tests/data/wire_v1/every_kind.jsonl");
    int taken = 0;
    for (std::size_t end; (end = text.find('\n')) != std::string::npos; text.erase(0, end + 1)) {
      taken += taken_of(text.substr(0, end), tried);
    }
    CHECK(taken > 60);
  }

  TEST_CASE("a number inside a text, below zero or of an unknown field belongs to no field") {
    const std::string line = line_of(tag(3, 40, 210), "p:7,");
    CHECK(taken_of(line, tried) > 60);
    std::string more = line_of(tag(3, 40, 210));
    more.insert(more.size() - 2, ",\"later\":4,\"below\":-5,\"list\":[1,2]");
    CHECK(taken_of(more, tried) > 60);
    std::string below = line_of(tag(3, 40, 210));
    below.insert(below.find("\"row\":") + 6, 1, '-');
    CHECK(taken_of(below, tried) == 0);
  }

  TEST_CASE("limbs must add up, so a tag with limbs is read by its text") {
    TagCount limbs = tag(3, 40, 60);
    limbs.limbs = {20, 40};
    CHECK(taken_of(line_of(limbs), tried) == 0);
  }

  TEST_CASE("any two numbers at once, at random, are read as their text is") {
    nthtree::base::Random random(3);
    const std::string line = line_of(tag(3, 40, 210));
    const auto places = places_in(line);
    AlikeRecords alike;
    REQUIRE(alike.learn(line, places));
    int taken = 0;
    for (int round = 0; round < 5000; ++round) {
      const auto pick = [&] { return tried[random.below(tried.size())]; };
      const Line once = with(line, places, random.below(places.size()), pick());
      const Line twice = with(once.text, places_in(once.text), random.below(places.size()), pick());
      const auto judged = read_kept_record(twice.text);
      auto* record = alike.read(twice.numbers);
      if (!record) continue;
      REQUIRE(judged);
      REQUIRE(same(**record, *judged));
      (**record).stamp = {5, 5};  // as somebody may, until the next call
      ++taken;
    }
    CHECK(taken > 500);
  }
}
