// SPDX-License-Identifier: Apache-2.0
#include "base/check_sum.h"

#include <array>

#include "base/text.h"

namespace nthtree::base {
namespace {

constexpr std::size_t at_once = 8;  // bytes; one by one takes four times as long
using Tables = std::array<std::array<std::uint32_t, 256>, at_once>;

// tables[n][b]: what byte b does to the sum when n more bytes follow. Made at the first use: as
// constants they would be eight of the kilobytes that a phone fetches first. That is why this is no
// lambda: clang works one out while it compiles.
Tables made_tables() {
  Tables tables{};
  for (std::uint32_t byte = 0; byte < 256; ++byte) {
    std::uint32_t crc = byte;
    for (int bit = 0; bit < 8; ++bit) crc = crc & 1 ? 0xedb88320u ^ (crc >> 1) : crc >> 1;
    tables[0][byte] = crc;
  }
  for (std::size_t n = 1; n < at_once; ++n) {
    for (std::size_t byte = 0; byte < 256; ++byte) {
      const std::uint32_t crc = tables[n - 1][byte];
      tables[n][byte] = tables[0][crc & 255] ^ (crc >> 8);
    }
  }
  return tables;
}

}  // namespace

std::uint32_t crc32(std::string_view bytes, std::uint32_t before) {
  static const Tables table = made_tables();
  const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(bytes[i]); };
  std::uint32_t crc = ~before;
  for (; bytes.size() >= at_once; bytes.remove_prefix(at_once)) {
    std::uint32_t next = 0;
    for (std::size_t i = 0; i < at_once; ++i) {
      const std::uint32_t known = i < 4 ? crc >> (8 * i) & 255 : 0;
      next ^= table[at_once - 1 - i][byte(i) ^ known];
    }
    crc = next;
  }
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    crc = table[0][(crc ^ byte(i)) & 255] ^ (crc >> 8);
  }
  return ~crc;
}

std::string crc32_text(std::string_view bytes) { return print("%08x", crc32(bytes)); }

}  // namespace nthtree::base
