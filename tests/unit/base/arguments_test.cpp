// SPDX-License-Identifier: Apache-2.0
#include "base/arguments.h"

#include <doctest/doctest.h>

using namespace nthtree::base;

namespace {

const std::vector<OptionName> known = {{"--at", true}, {"--json", false}, {"--help", false}};

Result<Arguments> read(const Words& words) { return read_arguments(words, known, 1, 2); }

}  // namespace

TEST_SUITE("base") {
  TEST_CASE("words are options and the rest, in any order, until -- ends the options") {
    const auto read_here = read({"a", "--at", "noon", "--json", "--", "--at"});
    REQUIRE(read_here.ok());
    CHECK(read_here->rest == Words{"a", "--at"});
    CHECK(read_here->value("--at") == "noon");
    CHECK(read_here->has("--json"));
    CHECK_FALSE(read_here->has("--help"));
    CHECK(read_here->value("--help", "none") == "none");
    CHECK(read({"--at=2026=7", "-"})->value("--at") == "2026=7");
    CHECK(read({"-"})->rest == Words{"-"});  // standard input
  }

  TEST_CASE("words that cannot be meant are refused by name, with what is allowed") {
    struct Wrong { Words words; const char* id; const char* where; };
    const Wrong all[] = {{{"a", "--colour", "green"}, "unknown_option", "--colour"},
                         {{"a", "-j"}, "unknown_option", "-j"},
                         {{"a", "--at", "1", "--at=2"}, "doubled_option", "--at"},
                         {{"a", "--at"}, "missing_value", "--at"},
                         {{"a", "--at="}, "missing_value", "--at"},
                         {{"a", "--json=yes"}, "extra_value", "--json"},
                         {{"--json"}, "missing_argument", ""},
                         {{"a", "b", "c"}, "extra_argument", "c"}};
    for (const Wrong& wrong : all) {
      const auto refused = read(wrong.words);
      CAPTURE(wrong.id);
      REQUIRE_FALSE(refused.ok());
      CHECK(refused.error().id == wrong.id);
      CHECK(refused.error().where == wrong.where);
    }
    CHECK(read({"--colour"}).error().what == "is not known: allowed are --at, --json, --help");
  }

  TEST_CASE("a number from outside is whole where it must be, and within its range") {
    CHECK(*read_number("2.5", 0, 3, "x") == 2.5);
    CHECK(read_number("2.5kg", 0, 3, "x").error().id == "not_a_number");
    CHECK(read_number("", 0, 3, "x").error().id == "not_a_number");
    CHECK(read_number("3.1", 0, 3, "x").error().id == "out_of_range");
    CHECK(*read_whole("3", 0, 3, "x") == 3);
    CHECK(*read_whole("-9007199254740992", -(1LL << 53), 0, "x") == -(1LL << 53));
    CHECK(read_whole("4", 0, 3, "x").error().id == "out_of_range");
    CHECK(read_whole("2.5", 0, 3, "x").error().id == "not_whole");
    CHECK(read_whole("two", 0, 3, "x").error().where == "x");
    const auto words = read_arguments({"7", "seven"}, {}, 0, 2);
    CHECK(*words->whole(0, 0, 9, 1, "runs") == 7);
    CHECK(words->whole(1, 0, 9, 1, "seed").error().where == "seed");
    CHECK(*words->whole(2, 0, 9, 1, "days") == 1);
  }
}
