// SPDX-License-Identifier: Apache-2.0
#include "ledger/plain_json.h"

#include <doctest/doctest.h>

#include <cstdlib>
#include <string>

#include "base/random.h"
#include "ledger/json_text.h"

using namespace nthtree::ledger;

TEST_SUITE("ledger") {
  TEST_CASE("plain JSON is taken apart by name, in objects and lists") {
    PlainJson json;
    REQUIRE(json.read(R"({"a":1,"b":{"c":"x","d":[2,-3,0.5]},"e":true,"f":false,"g":{},"h":[]})"));
    CHECK(json.find(json.root(), "a")->number == 1);
    const PlainJson::Part* b = json.find(json.root(), "b");
    REQUIRE(b);
    CHECK(json.find(*b, "c")->value == "x");
    CHECK(json.find(json.root(), "c") == nullptr);
    double sum = 0;
    json.each(*json.find(*b, "d"), [&](const PlainJson::Part& item) { sum += item.number; });
    CHECK(sum == -0.5);
    CHECK(json.find(json.root(), "e")->kind == PlainJson::Kind::yes);
    CHECK(json.find(json.root(), "f")->kind == PlainJson::Kind::no);
    int items = 0;
    json.each(*json.find(json.root(), "h"), [&](const PlainJson::Part&) { ++items; });
    CHECK(items == 0);
  }

  TEST_CASE("what is not plain is left to the reader that judges") {
    for (const char* text :
         {"", "[]", "1", "{", "{}x", " {}", "{} ", R"({"a": 1})", R"({"a":01})", R"({"a":-0})",
          R"({"a":1.})", R"({"a":.5})", R"({"a":1e2})", R"({"a":1E2})", R"({"a":+1})",
          R"({"a":1234567890123456})", R"({"a":null})", R"({"a":"\n"})", R"({"a":"ñ"})",
          R"({"a":1,"a":2})", R"({"a":1,})", R"({"a":[1,]})", R"({"a"})", R"({"a":tru})",
          R"({"a":{"b":{"c":{"d":{"e":{"f":1}}}}}})", R"({"a":1 })", "{\"a\":\"\t\"}",
          R"({"a":--1})", R"({"a":0.12345678901234567})"}) {
      CAPTURE(text);
      CHECK_FALSE(PlainJson().read(text));
    }
    std::string many = "{\"a\":[0";
    for (int i = 0; i < 200; ++i) many += ",0";
    CHECK_FALSE(PlainJson().read(many + "]}"));
  }

  TEST_CASE("a decimal is the double nearest to what is written") {
    nthtree::base::Random random(8);
    for (int i = 0; i < 20000; ++i) {
      std::string written = random.chance(0.3) ? "-" : "";
      written += std::to_string(1 + random.next() % 10000000);
      written += '.';
      for (int digit = random.next() % 8; digit >= 0; --digit) {
        written += static_cast<char>('0' + random.next() % 10);
      }
      PlainJson json;
      const std::string text = "{\"a\":" + written + "}";
      if (!json.read(text)) continue;
      CAPTURE(written);
      const auto judged = parse_json(text, {});
      REQUIRE(judged);
      CHECK(json.find(json.root(), "a")->number == (*judged)["a"].get<double>());
      CHECK(json.find(json.root(), "a")->number == std::strtod(written.c_str(), nullptr));
    }
  }
}
