// SPDX-License-Identifier: Apache-2.0
#include <doctest/doctest.h>

#include <set>

#include "reference/book.h"

using namespace nthtree::reference;

TEST_SUITE("reference") {
  TEST_CASE("every published value is met within its stated tolerance") {
    for (const NamedTopic& named : all_topics()) {
      const std::string file = named.file;
      Book book(file);
      named.topic(book);
      book.finish();
      for (const auto& problem : book.problems()) FAIL_CHECK(file << ": " << problem);
      CHECK_MESSAGE(!book.rows().empty(), file);
      for (const auto& row : book.rows()) {
        CHECK_MESSAGE(row.met(), file << ": " << row.quantity << ": ours " << row.ours
                                      << ", published " << row.published << " +- "
                                      << row.tolerance << " (" << book.source() << ")");
      }
    }
  }

  TEST_CASE("hundreds of checks come from print, not from another program's recomputation") {
    std::size_t printed = 0, all = 0;
    std::set<std::string> sources;
    for (const NamedTopic& named : all_topics()) {
      Book book(named.file);
      named.topic(book);
      sources.insert(book.source());
      for (const auto& row : book.rows()) {
        ++all;
        printed += row.from_print() ? 1 : 0;
      }
    }
    CHECK(printed >= 300);
    CHECK(all >= 1400);
    CHECK(sources.size() >= 50);
  }

  TEST_CASE("a wrong value, a forgotten check and an unknown one are noticed") {
    Book book("handbook_c_chart.json");
    book.compare("centre", 16.1);
    book.compare("no such check", 1);
    book.finish();
    REQUIRE(book.rows().size() == 1);
    CHECK_FALSE(book.rows()[0].met());
    CHECK(book.problems().size() == 3);  // the unknown one, and high and low forgotten
  }
}
