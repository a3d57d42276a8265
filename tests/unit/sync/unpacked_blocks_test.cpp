// SPDX-License-Identifier: Apache-2.0
#include "sync/unpacked_blocks.h"

#include <doctest/doctest.h>

#include "support/records.h"

namespace nthtree::sync {
namespace {

using test::phone_a;
using test::phone_b;

TEST_SUITE("sync") {

TEST_CASE("a text is parted into its lines, empty ones included") {
  const Lines lines("one\n\nthree\n");
  REQUIRE(lines.size() == 3);
  CHECK(lines[0] == "one");
  CHECK(lines[1].empty());
  CHECK(lines[2] == "three");
  CHECK(Lines("").size() == 0);
}

TEST_CASE("a block is unpacked once, until it is forgotten or many others were asked for") {
  UnpackedBlocks blocks;
  int unpacked = 0;
  const auto ask = [&](const ledger::DeviceKey& device, std::size_t block) {
    const auto unpack = [&] {
      ++unpacked;
      return Lines(std::to_string(block) + "\n");
    };
    CHECK(blocks.of({device, block}, unpack)[0] == std::to_string(block));
    return unpacked;
  };
  CHECK(ask(phone_a, 0) == 1);
  CHECK(ask(phone_a, 0) == 1);
  CHECK(ask(phone_b, 0) == 2);
  blocks.forget({phone_a, 0});
  CHECK(ask(phone_b, 0) == 2);
  CHECK(ask(phone_a, 0) == 3);
  for (std::size_t block = 1; block < UnpackedBlocks::kept_max; ++block) {
    ask(phone_a, block);
    ask(phone_a, 0);  // which is the latest again, and stays
  }
  const int before = unpacked;
  CHECK(ask(phone_a, 0) == before);
  CHECK(ask(phone_b, 0) == before + 1);
  blocks.clear();
  CHECK(ask(phone_b, 0) == before + 2);
}

}  // TEST_SUITE
}  // namespace
}  // namespace nthtree::sync
