// SPDX-License-Identifier: Apache-2.0
#include "app/stored_batch.h"

#include <doctest/doctest.h>

#include <string>

#include "base/check_sum.h"
#include "base/text.h"

using namespace nthtree;
using namespace nthtree::app;

namespace {

std::string with_sum(std::string text) {
  const unsigned sum = base::crc32(text);
  return std::move(text) + '\t' + base::print("%08x", sum);
}

std::string batch_of(std::size_t records) {
  std::string text = "abc\t2001\t";
  for (std::size_t i = 0; i < records; ++i) {
    text += (i ? "\n" : "") + ("{\"n\":" + std::to_string(i)) + "}";
  }
  return text;
}

}  // namespace

TEST_SUITE_BEGIN("app");

TEST_CASE("a whole batch gives its thousand records as they lie") {
  const std::string text = with_sum(batch_of(stored_batch_records));
  const auto records = read_stored_batch(text);
  REQUIRE(records.size() == stored_batch_records);
  CHECK(records.front() == "{\"n\":0}");
  CHECK(records.back() == "{\"n\":999}");
}

TEST_CASE("a batch with any byte changed, cut short or of another length gives none") {
  const std::string good = with_sum(batch_of(stored_batch_records));
  for (const std::size_t at : {std::size_t{0}, std::size_t{5}, good.size() / 2, good.size() - 9,
                               good.size() - 1}) {
    CAPTURE(at);
    std::string bad = good;
    bad[at] ^= 1;
    CHECK(read_stored_batch(bad).empty());
    CHECK(read_stored_batch(std::string_view(good).substr(0, at)).empty());
  }
  CHECK(read_stored_batch(with_sum(batch_of(stored_batch_records - 1))).empty());
  CHECK(read_stored_batch(with_sum(batch_of(stored_batch_records + 1))).empty());
  CHECK(read_stored_batch(with_sum("no tab")).empty());
  CHECK(read_stored_batch("").empty());
}

// Reckoned by web/check_sum.js under Node: checkSumOf("d", 1, "ñ€\u{1f333}" + "\n".repeat(999)).
TEST_CASE("letters beyond ASCII are summed as the store sums them") {
  std::string text = "d\t1\t\u00f1\u20ac\U0001f333" + std::string(999, '\n');
  CHECK(read_stored_batch(text + "\tb655372b").size() == stored_batch_records);
  text[4] ^= 1;
  CHECK(read_stored_batch(text + "\tb655372b").empty());
}

TEST_SUITE_END();
