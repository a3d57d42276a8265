// SPDX-License-Identifier: Apache-2.0
#include "hub/row_values.h"

#include <zlib.h>

#include "hub/log.h"
#include "sync/message.h"

namespace nthtree::hub {

std::string key_bytes(const ledger::DeviceKey& key) {
  std::string bytes(16, '\0');
  for (int i = 0; i < 8; ++i) {
    bytes[static_cast<std::size_t>(i)] = static_cast<char>(key.high >> (56 - 8 * i));
    bytes[static_cast<std::size_t>(8 + i)] = static_cast<char>(key.low >> (56 - 8 * i));
  }
  return bytes;
}

ledger::DeviceKey key_of(std::string_view bytes) {
  ledger::DeviceKey key;
  for (std::size_t i = 0; i < 8 && bytes.size() == 16; ++i) {
    key.high = key.high << 8 | static_cast<unsigned char>(bytes[i]);
    key.low = key.low << 8 | static_cast<unsigned char>(bytes[8 + i]);
  }
  return key;
}

std::string_view view(const sync::Digest& digest) {
  return {reinterpret_cast<const char*>(digest.data()), digest.size()};
}

sync::Digest digest_of(std::string_view bytes) {
  sync::Digest digest{};
  for (std::size_t i = 0; i < digest.size() && i < bytes.size(); ++i) {
    digest[i] = static_cast<std::uint8_t>(bytes[i]);
  }
  return digest;
}

orchard::Role role_of(std::string_view name) {
  return sync::role_named(name).value_or(orchard::Role::pruner);
}

std::int64_t sum_of(std::string_view device, std::int64_t sequence, std::string_view bytes) {
  const std::string place = std::string(device) + std::to_string(sequence);
  const auto text = [](std::string_view t) { return reinterpret_cast<const Bytef*>(t.data()); };
  const uLong of_place = crc32(0, text(place), static_cast<uInt>(place.size()));
  return static_cast<std::int64_t>(crc32(of_place, text(bytes), static_cast<uInt>(bytes.size())));
}

bool is_whole(std::string_view device, std::int64_t sequence, std::string_view bytes,
              std::int64_t sum) {
  if (sum_of(device, sequence, bytes) == sum) return true;
  const ledger::RecordId id{key_of(device), count(sequence)};
  log(Level::error, "record_damaged", {{"id", id.text()}});  // the phones are asked for it again
  return false;
}

}  // namespace nthtree::hub
