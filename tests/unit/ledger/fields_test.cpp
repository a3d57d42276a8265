// SPDX-License-Identifier: Apache-2.0
#include "ledger/fields.h"

#include <doctest/doctest.h>

#include "ledger/json_text.h"

using namespace nthtree::ledger;

namespace {

struct Sample {
  std::string name;
  int spurs = 0;
  double share = 0.25;
  std::optional<int> again;
};

template <typename Visitor>
void sample_fields(Visitor& v, Sample& sample) {
  v.text("name", sample.name, 4);
  v.integer("spurs", sample.spurs, {0, 5000});
  v.number_or("share", sample.share, {0, 1});
  v.integer_or("again", sample.again, {0, 9});
}

std::string reading_error(const char* text) {
  const auto json = parse_json(text, {});
  if (!json) return json.error().text();
  Sample sample;
  FieldReader reader(*json, "body");
  sample_fields(reader, sample);
  return reader.failed() ? reader.error().text() : "";
}

}  // namespace

TEST_SUITE("ledger") {
  TEST_CASE("an error names the field, the value and what is allowed") {
    CHECK(reading_error(R"({"name":"a","spurs":1000000000})") ==
          "body.spurs: 1000000000 is out of range: 0 to 5000 is allowed (out_of_range)");
    CHECK(reading_error(R"({"name":"a"})") == "body.spurs: is missing (missing_field)");
    CHECK(reading_error(R"({"name":"a","spurs":"7"})") ==
          "body.spurs: \"7\" is not a number (wrong_type)");
    CHECK(reading_error(R"({"name":"a","spurs":1.5})") ==
          "body.spurs: 1.5 is not a whole number (wrong_type)");
    CHECK(reading_error(R"({"name":"","spurs":1})") ==
          "body.name: 0 bytes long: 1 to 4 are allowed (too_long)");
    CHECK(reading_error(R"({"name":"a","spurs":1,"share":-0.1})") ==
          "body.share: -0.1 is out of range: 0 to 1 is allowed (out_of_range)");
    CHECK(reading_error("[1]") == "body: a list stands where an object must be (wrong_type)");
  }

  TEST_CASE("the first of several errors is the one told") {
    CHECK(reading_error(R"({"name":5,"spurs":-1})").find("body.name") == 0);
  }

  TEST_CASE("an absent optional field keeps its default") {
    const auto json = parse_json(R"({"name":"a","spurs":3})", {});
    REQUIRE(json.ok());
    Sample sample;
    FieldReader reader(*json, "");
    sample_fields(reader, sample);
    CHECK_FALSE(reader.failed());
    CHECK(sample.share == 0.25);
    CHECK_FALSE(sample.again.has_value());
  }

  TEST_CASE("what is written is read back the same") {
    Sample sample{"äb", 12, 0.1, 7};
    FieldWriter writer;
    sample_fields(writer, sample);
    CHECK_FALSE(writer.failed());
    CHECK(writer.object() == R"({"name":"äb","spurs":12,"share":0.1,"again":7})");
  }

  TEST_CASE("writing refuses what reading would refuse") {
    Sample sample{"a", 5001, 0.1, std::nullopt};
    FieldWriter writer;
    sample_fields(writer, sample);
    REQUIRE(writer.failed());
    CHECK(writer.error().text() ==
          "spurs: 5001 is out of range: 0 to 5000 is allowed (out_of_range)");
  }
}
