// SPDX-License-Identifier: Apache-2.0
#include "ledger/ledger.h"

#include <doctest/doctest.h>

#include "support/records.h"

using namespace nthtree::ledger;
using namespace nthtree::test;

TEST_SUITE("ledger") {
  TEST_CASE("a record received twice changes nothing; other bytes under its id are a conflict") {
    Ledger ledger;
    CHECK(ledger.add({phone_a, 1}, "one") == Ledger::Added::added);
    CHECK(ledger.add({phone_a, 1}, "one") == Ledger::Added::already_held);
    CHECK(ledger.add({phone_a, 1}, "other") == Ledger::Added::conflict);
    CHECK(*ledger.bytes({phone_a, 1}) == "one");
    CHECK(ledger.size() == 1);
  }

  TEST_CASE("the head is where the first gap begins") {
    Ledger ledger;
    ledger.add({phone_a, 2}, "b");
    CHECK(ledger.head(phone_a) == 0);
    ledger.add({phone_a, 4}, "d");
    ledger.add({phone_a, 1}, "a");
    CHECK(ledger.head(phone_a) == 2);
    ledger.add({phone_a, 3}, "c");
    CHECK(ledger.head(phone_a) == 4);
    CHECK(ledger.highest(phone_a) == 4);
    CHECK(ledger.head(phone_b) == 0);
    CHECK(ledger.bytes({phone_b, 1}) == nullptr);
  }

  TEST_CASE("a bad line of a file is told with its number and takes no good line with it") {
    const std::string good = record_of(phone_a, 1, 0, tag(1, 1, 150)).bytes;
    const std::string other = record_of(phone_a, 2, 1, tag(1, 2, 160)).bytes;
    const LedgerFile file = read_ledger_file(good + "\r\n{\"v\":1}\n\n" + other);
    CHECK(file.records.size() == 2);
    REQUIRE(file.errors.size() == 1);
    CHECK(file.errors[0].text() == "line 2: id: is missing (missing_field)");
  }

  TEST_CASE("a mark of byte order became part of a record and made it another one") {
    const std::string mark = "\xef\xbb\xbf";
    const std::string one = record_of(phone_a, 1, 0, tag(1, 1, 150)).bytes;
    const std::string two = record_of(phone_a, 2, 1, tag(1, 2, 160)).bytes;
    const LedgerFile file = read_ledger_file(mark + one + "\r\n" + mark + two + "\n");
    CHECK(file.errors.empty());
    REQUIRE(file.records.size() == 2);
    CHECK(file.records[0].bytes == one);
    CHECK(file.records[1].bytes == two);
  }
}
