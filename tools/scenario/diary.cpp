// SPDX-License-Identifier: Apache-2.0
#include "diary.h"

#include <algorithm>
#include <numeric>

#include "base/random.h"

namespace nthtree::scenario {

Diary::Diary(std::uint64_t seed, int devices) {
  base::Random random(seed ^ 0xd1a27);
  for (int i = 0; i < devices; ++i) keys_.push_back({random.next(), random.next()});
}

std::size_t Diary::note(std::int64_t at_ms, int device, std::string author, ledger::Body body,
                        std::optional<std::size_t> replaces) {
  NTHTREE_ASSERT(!replaces || events_[*replaces].at_ms < at_ms);
  events_.push_back({at_ms, device, std::move(author), std::move(body), replaces});
  return events_.size() - 1;
}

base::Result<std::vector<std::string>> Diary::written(std::int64_t until_ms) const {
  std::vector<std::size_t> order(events_.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return events_[a].at_ms < events_[b].at_ms;
  });
  std::vector<std::string> lines(keys_.size());
  std::vector<std::uint64_t> sequences(keys_.size(), 0);
  std::vector<ledger::Stamp> last(keys_.size());
  std::vector<ledger::RecordId> ids(events_.size());
  for (const std::size_t index : order) {
    const Event& event = events_[index];
    if (until_ms > 0 && event.at_ms >= until_ms) break;
    const auto device = static_cast<std::size_t>(event.device);
    ledger::Record record;
    record.id = ids[index] = {keys_[device], ++sequences[device]};
    record.stamp = {event.at_ms, 0};
    if (record.stamp <= last[device]) record.stamp = {event.at_ms, last[device].tick + 1};
    last[device] = record.stamp;
    record.clock_ms = event.at_ms;
    record.author = event.author;
    record.body = event.body;
    if (event.replaces) record.replaces = ids[*event.replaces];
    const auto written = ledger::write_record(std::move(record));
    if (!written) return written.error();
    lines[device] += written->bytes + "\n";
  }
  return lines;
}

}  // namespace nthtree::scenario
