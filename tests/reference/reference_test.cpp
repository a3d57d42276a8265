// SPDX-License-Identifier: Apache-2.0
#include <doctest/doctest.h>

#include <set>

#include "reference/published_values.h"

using namespace nthtree::reference;

TEST_SUITE("reference") {
  TEST_CASE("every published value is met within its stated tolerance") {
    for (const NamedTopic& named : all_topics()) {
      const std::string file = named.file;
      PublishedValues published(file);
      named.topic(published);
      published.finish();
      for (const auto& problem : published.problems()) FAIL_CHECK(file << ": " << problem);
      CHECK_MESSAGE(!published.rows().empty(), file);
      for (const auto& row : published.rows()) {
        CHECK_MESSAGE(row.met(), file << ": " << row.quantity << ": ours " << row.ours
                                      << ", published " << row.published << " +- "
                                      << row.tolerance << " (" << published.source() << ")");
      }
    }
  }

  TEST_CASE("hundreds of checks come from print, not from another program's recomputation") {
    std::size_t printed = 0, all = 0;
    std::set<std::string> sources;
    for (const NamedTopic& named : all_topics()) {
      PublishedValues published(named.file);
      named.topic(published);
      sources.insert(published.source());
      for (const auto& row : published.rows()) {
        ++all;
        printed += row.from_print() ? 1 : 0;
      }
    }
    CHECK(printed >= 300);
    CHECK(all >= 1390);
    CHECK(sources.size() >= 50);
  }

  TEST_CASE("a wrong value, a forgotten check and an unknown one are noticed") {
    PublishedValues published("siegmund.json");
    published.compare(PublishedValues("siegmund.json").ids().front(), -1);
    published.compare("no such check", 1);
    published.finish();
    REQUIRE(published.rows().size() == 1);
    CHECK_FALSE(published.rows()[0].met());
    // The unknown one, and all others forgotten.
    CHECK(published.problems().size() == published.ids().size());
  }
}
