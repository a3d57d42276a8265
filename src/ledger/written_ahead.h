// SPDX-License-Identifier: Apache-2.0
//
// Records that claim to be from the future: written by a phone whose clock ran days ahead. They are
// kept, passed on and named with their phone; until their time comes they move nobody's numbers.
//
// A live app knows what time it is. Files do not say: there the present is the last stamp, but for
// a phone whose counting stands alone more than three weeks past everything of every other.
// Not here: refusing such records, or mending their stamps (a device's own order is all it has).
// Units: milliseconds since 1970-01-01 UTC.
//
//   const std::int64_t now_ms = present_of(records);
//   for (const WrittenAhead& phone : written_ahead(records, now_ms)) warn(phone.device.text());
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "ledger/record.h"
#include "ledger/season.h"

namespace nthtree::ledger {

// A stamp may run this far past the present and still be of today: time zones set wrong, mostly.
inline constexpr std::int64_t clock_slack_ms = 36LL * 3600 * 1000;

struct WrittenAhead {
  DeviceKey device;
  std::string author;        // of the earliest of them
  std::size_t records = 0;
  std::int64_t first_ms = 0; // the earliest stamp

  // Whole days that the earliest stands past the present, one at least.
  int days_past(std::int64_t present_ms) const;
};

// Who wrote when: what is kept of a record to tell the present.
struct WrittenAt {
  std::int64_t at_ms = 0;
  DeviceKey device;
  bool is_daily_work = false;
};

// The present of files, from one record after the other.
class Present {
 public:
  void add(const Record& record);
  // 0 where there is no record. Records of the season's other end (harvest, bloom, settings) stand
  // alone by right, and a farm of one phone has nothing to be held against.
  std::int64_t ms();

 private:
  std::vector<WrittenAt> written_;
};
std::int64_t present_of(const std::vector<Record>& records);

// By phone, what is stamped more than clock_slack_ms past now_ms.
class LatePhones {
 public:
  explicit LatePhones(std::int64_t now_ms) : after_ms_(now_ms + clock_slack_ms) {}
  void add(const FoldPosition& position, const std::string& author);
  std::vector<WrittenAhead> all() const;

 private:
  std::int64_t after_ms_;
  std::map<DeviceKey, WrittenAhead> phones_;
};
std::vector<WrittenAhead> written_ahead(const std::vector<Record>& records, std::int64_t now_ms);
// The same of what stands in the blocks' lists.
std::vector<WrittenAhead> written_ahead(const Season& season, std::int64_t now_ms);

}  // namespace nthtree::ledger
