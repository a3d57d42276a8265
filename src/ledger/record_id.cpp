// SPDX-License-Identifier: Apache-2.0
#include "ledger/record_id.h"

#include <array>

#include "base/text.h"

namespace nthtree::ledger {
namespace {

constexpr unsigned no_digit = 0x80;

constexpr auto digits_of_letters = [] {
  std::array<unsigned char, 256> digits{};
  for (unsigned char& digit : digits) digit = no_digit;
  for (unsigned char i = 0; i < 10; ++i) digits['0' + i] = i;
  for (unsigned char i = 0; i < 6; ++i) digits['a' + i] = static_cast<unsigned char>(10 + i);
  return digits;
}();

std::optional<std::uint64_t> hexadecimal(std::string_view text) {
  std::uint64_t value = 0;
  unsigned all = 0;
  for (const char c : text) {
    const unsigned digit = digits_of_letters[static_cast<unsigned char>(c)];
    all |= digit;
    value = value << 4 | (digit & 15);
  }
  if ((all & no_digit) != 0) return std::nullopt;
  return value;
}

}  // namespace

std::string DeviceKey::text() const {
  return base::print("%016llx%016llx", static_cast<unsigned long long>(high),
                     static_cast<unsigned long long>(low));
}

std::string RecordId::text() const {
  return device.text() + base::print("-%llu", static_cast<unsigned long long>(sequence));
}

std::optional<DeviceKey> parse_device_key(std::string_view text) {
  if (text.size() != 32) return std::nullopt;
  const auto high = hexadecimal(text.substr(0, 16));
  const auto low = hexadecimal(text.substr(16));
  if (!high || !low) return std::nullopt;
  return DeviceKey{*high, *low};
}

std::optional<RecordId> parse_record_id(std::string_view text) {
  // 16 digits hold every sequence number a device could ever reach, far under 2^53 for JavaScript.
  if (text.size() < 34 || text.size() > 33 + 15 || text[32] != '-') return std::nullopt;
  const auto device = parse_device_key(text.substr(0, 32));
  if (!device || text[33] == '0') return std::nullopt;
  std::uint64_t sequence = 0;
  for (const char c : text.substr(33)) {
    if (c < '0' || c > '9') return std::nullopt;
    sequence = sequence * 10 + static_cast<std::uint64_t>(c - '0');
  }
  return RecordId{*device, sequence};
}

}  // namespace nthtree::ledger
