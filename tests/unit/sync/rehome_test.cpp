// SPDX-License-Identifier: Apache-2.0
#include "sync/rehome.h"

#include "support/records.h"
#include "sync/digest.h"

namespace nthtree::sync {
namespace {

using test::phone_a;
using test::record_of;
using test::tag;

TEST_SUITE("sync") {

TEST_CASE("a re-homed record is the same record under an id of its own bytes") {
  const auto record = record_of(phone_a, 11, 5, tag(3, 4, 131));
  const auto moved = rehome(record.bytes);
  REQUIRE(moved);
  CHECK(moved->id.sequence == 1);
  CHECK(moved->id.device.text() == hexadecimal(sha256(record.bytes)).substr(0, 32));
  const auto read = ledger::read_record(moved->bytes);
  REQUIRE(read.ok());
  CHECK(read->id == moved->id);
  CHECK(read->stamp == record.stamp);
  CHECK(read->author == record.author);
  CHECK(std::get_if<ledger::TagCount>(&read->body)->spurs == 131);

  SUBCASE("and tells what it was") {
    const auto original = original_of(moved->id, moved->bytes);
    REQUIRE(original);
    CHECK(original->id == record.id);
    CHECK(original->bytes == record.bytes);
  }
  SUBCASE("everybody makes the same of it") { CHECK(rehome(record.bytes) == moved); }
  SUBCASE("one changed byte and it is no longer believed") {
    std::string forged = moved->bytes;
    forged.replace(forged.find("131"), 3, "132");
    CHECK_FALSE(original_of(moved->id, forged));
  }
  SUBCASE("an ordinary record has no other origin") {
    CHECK_FALSE(original_of(record.id, record.bytes));
  }
}

// SHA-256 of "a" begins with ca97, of "b" with 3e23 (FIPS 180-4): the smaller one keeps the id. Two
// versions of the app that differed here would drop each other's records for ever.
TEST_CASE("of two records under one id the one with the smaller digest keeps it, in every version") {
  CHECK(hexadecimal(sha256("a")).rfind("ca978112", 0) == 0);
  CHECK(hexadecimal(sha256("b")).rfind("3e23e816", 0) == 0);
  CHECK(keeps_id("b", "a"));
  CHECK_FALSE(keeps_id("a", "b"));
}

TEST_CASE("the id is found whatever stands before it") {
  const std::string id = "000000000000aaaa0000000000000001-7";
  const auto expected = ledger::parse_record_id(id);
  for (const std::string& text :
       {"{\"id\":\"" + id + "\"}", "{ \"v\" : 1 , \"id\" :  \"" + id + "\" }",
        R"({"body":{"id":"x","n":[{"id":"y"}]},"id":")" + id + "\"}",
        R"({"author":"id\",\"id\":\"z","id":")" + id + "\"}"}) {
    CAPTURE(text);
    CHECK(peek_id(text) == expected);
  }
  for (const char* text : {"", "{}", "[]", "{\"id\":7}", "{\"id\"", "{\"id\":\"short\"}", "\"id\"",
                           "{\"body\":{\"id\":\"000000000000aaaa0000000000000001-7\"}}",
                           "[\"id\",\"000000000000aaaa0000000000000001-7\"]"}) {
    CAPTURE(text);
    CHECK_FALSE(peek_id(text));
  }
}

TEST_CASE("the longest record can be re-homed") {
  // A later version of this program may write more fields than this one knows.
  std::string longest = record_of(phone_a, 1, 5, tag(3, 4, 131)).bytes;
  longest.insert(longest.size() - 1, ",\"later\":\"\"");
  longest.insert(longest.size() - 2, std::string(ledger::record_bytes_max - longest.size(), 'x'));
  REQUIRE(ledger::read_record(longest).ok());
  const auto moved = rehome(longest);
  REQUIRE(moved);
  CHECK(moved->bytes.size() <= kept_bytes_max);
  CHECK(well_formed_id(moved->bytes) == moved->id);
  CHECK(original_of(moved->id, moved->bytes)->bytes == longest);
}

TEST_CASE("what is kept and passed on is one line of JSON with an id, and nothing else") {
  const std::string id = "\"id\":\"000000000000aaaa0000000000000001-7\"";
  CHECK(well_formed_id("{" + id + "}"));
  CHECK(well_formed_id("{" + id + ",\"v\":99,\"new\":[1]}"));
  for (const std::string& text : std::vector<std::string>{
           "", "{" + id, "{" + id + "}x", "{" + id + ",}", "{\n" + id + "}", "{}",
           "{" + id + "," + id + "}", "{" + id + ",\"t\":\"\xff\"}",
           "{" + id + ",\"t\":[[[[[[[[1]]]]]]]]}",
           "{" + id + ",\"t\":\"" + std::string(kept_bytes_max, 'x') + "\"}"}) {
    CAPTURE(text);
    CHECK_FALSE(well_formed_id(text));
  }
}

TEST_CASE("of two records one keeps the id, and it is the same one from both sides") {
  const auto x = record_of(phone_a, 1, 5, tag(3, 4, 131)), y = record_of(phone_a, 1, 6, tag(3, 4, 9));
  CHECK(keeps_id(x.bytes, y.bytes) != keeps_id(y.bytes, x.bytes));
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
