// SPDX-License-Identifier: Apache-2.0
//
// What names a record, and what puts it in its place: device, sequence, hybrid logical clock.
//
// Invariants: an id is never used twice; places are totally ordered, the same on every device.
//
//   if (const auto id = parse_record_id("3f0c9a1e5b7d42689a1c0e4f72d5b8c1-57")) …
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace nthtree::ledger {

// 128 random bits made anew for every installation of the app: a phone that was reset or cloned
// is a new device. Written as 32 lower-case hexadecimal digits.
struct DeviceKey {
  std::uint64_t high = 0;
  std::uint64_t low = 0;
  friend auto operator<=>(const DeviceKey&, const DeviceKey&) = default;
  std::string text() const;
};
std::optional<DeviceKey> parse_device_key(std::string_view text);

// Names a record: the device and its own counter, 1, 2, 3 … without a gap. "<device>-<sequence>".
struct RecordId {
  DeviceKey device;
  std::uint64_t sequence = 0;
  friend auto operator<=>(const RecordId&, const RecordId&) = default;
  std::string text() const;
};
std::optional<RecordId> parse_record_id(std::string_view text);

// Hybrid logical clock (Kulkarni et al., OPODIS 2014, LNCS 8878 p. 17-32): close to wall time, and
// later than everything its writer had seen. See clock_of_device.h.
struct Stamp {
  std::int64_t at_ms = 0;  // since 1970-01-01 UTC
  std::uint32_t tick = 0;
  friend auto operator<=>(const Stamp&, const Stamp&) = default;
};

// The place of a record in the fold: the same on every device that holds it.
struct FoldPosition {
  Stamp stamp;
  RecordId id;
  friend auto operator<=>(const FoldPosition&, const FoldPosition&) = default;
};

}  // namespace nthtree::ledger
