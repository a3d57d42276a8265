// SPDX-License-Identifier: Apache-2.0
#include "app/stored_batch.h"

#include <doctest/doctest.h>

#include <string>

#include "sync/packed_lines.h"

using namespace nthtree;
using namespace nthtree::app;

namespace {

const std::string device = "11112222333344445555666677778888";

std::string head_of(std::size_t records) {
  return device + "\t2001\t" + std::to_string(records) + "\t";
}

std::string lines(std::size_t records) {
  std::string text;
  for (std::size_t i = 0; i < records; ++i) {
    text += (i ? "\n" : "") + ("{\"ñ\":" + std::to_string(i * i)) + ",\"t\":\"\tz\"}";
  }
  return text;
}

std::string stored(std::size_t records) {
  return head_of(records) + pack_stored_batch(head_of(records) + lines(records));
}

}  // namespace

TEST_SUITE_BEGIN("app");

TEST_CASE("a batch gives its records byte for byte, a thousand, a few or one") {
  for (const std::size_t records : {1000, 137, 1}) {
    CAPTURE(records);
    const std::string text = stored(records);
    const auto batch = read_stored_batch(text);
    REQUIRE(batch);
    CHECK(batch->device == device);
    CHECK(batch->first == 2001);
    CHECK(batch->records == records);
    CHECK(sync::unpack_lines(batch->packed, records, text.size() * 10) == lines(records) + "\n");
  }
  CHECK(stored(1000).size() < lines(1000).size() / 2);
}

TEST_CASE("a batch with any byte changed, cut short, or of another place is not believed") {
  const std::string good = stored(20);
  for (std::size_t at = 0; at < good.size(); ++at) {
    CAPTURE(at);
    std::string bad = good;
    bad[at] ^= 1;
    CHECK_FALSE(read_stored_batch(bad));
    CHECK_FALSE(read_stored_batch(std::string_view(good).substr(0, at)));
  }
  const std::string packed = pack_stored_batch(head_of(20) + lines(20));
  CHECK_FALSE(read_stored_batch(device + "\t3001\t20\t" + packed));
  CHECK_FALSE(read_stored_batch(head_of(21) + packed));
  CHECK_FALSE(read_stored_batch(""));
}

TEST_CASE("a batch whose numbers are none, or of more records than one may have, is none") {
  for (const char* count : {"0", "1001", "-1", "x", ""}) {
    CAPTURE(count);
    const std::string head = device + "\t1\t" + count + "\t";
    CHECK_FALSE(read_stored_batch(head + pack_stored_batch(head + lines(3))));
  }
}

TEST_SUITE_END();
