// SPDX-License-Identifier: Apache-2.0
#include "ledger/body_fields.h"

#include <doctest/doctest.h>

#include "ledger/json_text.h"
#include "ledger/record.h"
#include "ledger/wire.h"
#include "support/records.h"

using namespace nthtree::ledger;
using namespace nthtree::test;

namespace {

std::string written(Body body) {
  FieldWriter writer;
  Visited visitor(writer);
  body_fields(visitor, body);
  CHECK(!writer.failed());
  return writer.object();
}

std::string read_again(const std::string& text, std::size_t kind) {
  const auto json = parse_json(text, {});
  if (!json) return json.error().text();
  Body body = body_of_kind(kind);
  FieldReader reader(*json, "body");
  Visited visitor(reader);
  body_fields(visitor, body);
  return reader.failed() ? reader.error().text() : written(body);
}

}  // namespace

TEST_SUITE("ledger") {
  TEST_CASE("what is written of a settings record with groups in groups is read back whole") {
    BlockSettings settings = block_settings();
    settings.block.target.fruits_per_tree.reset();
    settings.block.target.yield = nthtree::orchard::YieldGoal{
        1500, nthtree::orchard::YieldUnit::boxes_per_acre, {.count_per_box = 100}};
    const std::string text = written(settings);
    CHECK(text.find("\"count_per_box\":100") != std::string::npos);
    CHECK(text.find("\"trunk\"") == std::string::npos);
    CHECK(read_again(text, Body(settings).index()) == text);
  }

  TEST_CASE("an error inside a group names the way to it") {
    const BlockSettings settings = block_settings();
    std::string text = written(settings);
    const auto at = text.find("\"target\":{");
    REQUIRE(at != std::string::npos);
    text.insert(at + 10, "\"yield\":{\"amount\":0},");
    CHECK(read_again(text, Body(settings).index()) ==
          "body.target.yield.amount: 0 is out of range: 0.001 to 10000000 is allowed "
          "(out_of_range)");
  }

  TEST_CASE("a spelling that is not known leaves the error, not a value") {
    CHECK(read_again(R"({"block":"b","step":"burnt"})", Body(BlockProgress{}).index()) ==
          "body.step: \"burnt\" is not known: allowed are started, finished, accepted, revisit "
          "(unknown_choice)");
  }

  TEST_CASE("a kind that nobody knows has no fields") {
    CHECK(written(Unknown{}) == "{}");
  }
}
