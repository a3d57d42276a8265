// SPDX-License-Identifier: Apache-2.0
#include "app/stored_batch.h"

#include <algorithm>
#include <charconv>
#include <cstdint>

#include "base/check_sum.h"

namespace nthtree::app {
namespace {

constexpr std::size_t digits = 8;  // of the check sum

bool is_ascii(char c) { return static_cast<unsigned char>(c) < 0x80; }

// The next code point, behind which `at` moves; cut short at the end of the text.
std::uint32_t next_code_point(const char*& at, const char* end) {
  const auto lead = static_cast<unsigned char>(*at++);
  std::uint32_t point = lead >= 0xf0 ? lead & 0x07 : lead >= 0xe0 ? lead & 0x0f : lead & 0x1f;
  while (at != end && (static_cast<unsigned char>(*at) & 0xc0) == 0x80) {
    point = point << 6 | (static_cast<unsigned char>(*at++) & 0x3f);
  }
  return point;
}

std::uint32_t add_unit(std::uint32_t crc, std::uint32_t unit) {
  const char bytes[] = {static_cast<char>(unit & 255), static_cast<char>(unit >> 8)};
  return base::crc32({bytes, unit > 255 ? 2u : 1u}, crc);
}

// As web/check_sum.js reckons it of a script's text: of UTF-16 units, the high byte only where
// there is one. Nearly all of a record is ASCII, where a unit is the byte.
std::uint32_t check_sum_of_units(std::string_view text) {
  std::uint32_t crc = 0;
  const char* at = text.data();
  const char* const end = at + text.size();
  while (at != end) {
    const char* const plain = at;
    at = std::find_if_not(at, end, is_ascii);
    crc = base::crc32({plain, static_cast<std::size_t>(at - plain)}, crc);
    if (at == end) break;
    const std::uint32_t point = next_code_point(at, end);
    if (point < 0x10000) {
      crc = add_unit(crc, point);
    } else {
      crc = add_unit(crc, 0xd800 + ((point - 0x10000) >> 10 & 0x3ff));
      crc = add_unit(crc, 0xdc00 + (point & 0x3ff));
    }
  }
  return crc;
}

bool is_whole(std::string_view text, std::string_view sum) {
  std::uint32_t written = 0;
  const auto [end, error] = std::from_chars(sum.data(), sum.data() + sum.size(), written, 16);
  return error == std::errc() && end == sum.data() + sum.size() &&
         written == check_sum_of_units(text);
}

}  // namespace

std::vector<std::string_view> read_stored_batch(std::string_view text) {
  if (text.size() <= digits || text[text.size() - digits - 1] != '\t') return {};
  const std::string_view sum = text.substr(text.size() - digits);
  text.remove_suffix(digits + 1);
  const std::size_t first = text.find('\t');
  const std::size_t begin = first == std::string_view::npos ? first : text.find('\t', first + 1);
  if (begin == std::string_view::npos || !is_whole(text, sum)) return {};
  std::vector<std::string_view> records;
  records.reserve(stored_batch_records);
  for (std::string_view rest = text.substr(begin + 1);;) {
    const std::size_t end = rest.find('\n');
    records.push_back(rest.substr(0, end));
    if (end == std::string_view::npos) break;
    rest.remove_prefix(end + 1);
  }
  if (records.size() != stored_batch_records) return {};
  return records;
}

}  // namespace nthtree::app
