// SPDX-License-Identifier: Apache-2.0
#include "base/json_text.h"

#include <doctest/doctest.h>

using namespace nthtree::base;

namespace {

std::string error_id(std::string_view text, JsonLimits limits = {}) {
  const auto json = parse_json(text, limits);
  return json ? "" : json.error().id;
}

}  // namespace

TEST_SUITE("base") {
  TEST_CASE("JSON at the depth limit is read, one level deeper is refused") {
    CHECK(error_id("[[[[[[[[]]]]]]]]", {.depth_max = 8}) == "");
    CHECK(error_id("[[[[[[[[[]]]]]]]]]", {.depth_max = 8}) == "too_deep");
  }

  TEST_CASE("a hundred thousand brackets cost neither stack nor time") {
    CHECK(error_id(std::string(100000, '[')) == "too_deep");
    CHECK(error_id(std::string(100000, '[') + std::string(100000, ']')) == "too_deep");
  }

  TEST_CASE("JSON at the size limit is read, one byte more is refused") {
    CHECK(error_id("\"1234\"", {.bytes_max = 6}) == "");
    CHECK(error_id("\"12345\"", {.bytes_max = 6}) == "too_long");
  }

  TEST_CASE("a doubled key, broken UTF-8 and a number no double holds are refused") {
    CHECK(error_id(R"({"a":1,"a":2})") == "doubled_key");
    CHECK(error_id("\"\xc0\xaf\"") == "not_json");
    CHECK(error_id("[1e400]") == "not_json");
    CHECK(error_id("[NaN]") == "not_json");
    CHECK(error_id("[1] trailing") == "not_json");
    CHECK(error_id("") == "not_json");
  }

  TEST_CASE("an error says at which byte") {
    const auto json = parse_json(R"({"a":1,})", {});
    REQUIRE_FALSE(json.ok());
    CHECK(json.error().where == "byte 8");
    CHECK(json.error().what.find("column 8") != std::string::npos);
  }

  TEST_CASE("what is read is what was written") {
    const auto json = parse_json(R"({"a":[1,-2,0.5,true,null,"ñ"],"b":{"c":{}}})", {});
    REQUIRE(json.ok());
    CHECK(json->dump() == R"({"a":[1,-2,0.5,true,null,"ñ"],"b":{"c":{}}})");
  }

  TEST_CASE("text is quoted as JSON, and bytes that are not UTF-8 are replaced") {
    CHECK(json_quoted("say \"no\"\n") == R"("say \"no\"\n")");
    CHECK(json_quoted("\xff") == "\"\xEF\xBF\xBD\"");
    std::string all = "ñ€🍎";
    for (int c = 0; c < 128; ++c) all += static_cast<char>(c);
    CHECK(json_quoted(all) == nlohmann::json(all).dump());
  }
}
