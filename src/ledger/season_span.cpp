// SPDX-License-Identifier: Apache-2.0
#include "ledger/season_span.h"

#include <algorithm>
#include <limits>

namespace nthtree::ledger {
namespace {

constexpr std::int64_t none = std::numeric_limits<std::int64_t>::min();
constexpr std::int64_t latest = std::numeric_limits<std::int64_t>::max();
// No count on the whole farm for four months: what comes after is another season's pruning.
constexpr std::int64_t season_gap_ms = 120LL * 24 * 3600 * 1000;

auto first_after(const Entries<TagCount>& tags, std::int64_t ms) {
  return std::lower_bound(tags.begin(), tags.end(), ms,
                          [](const auto& e, std::int64_t at) { return e.at_ms() < at; });
}

}  // namespace

std::int64_t season_begins(const Season& season, std::int64_t cut_ms) {
  std::int64_t begins = none;
  for (const auto& [id, block] : season.blocks()) {
    const auto end = first_after(block.tag_counts, cut_ms == latest ? latest : cut_ms + 1);
    if (end != block.tag_counts.begin()) begins = std::max(begins, end[-1].at_ms());
  }
  for (bool moved = begins != none; moved;) {
    moved = false;
    for (const auto& [id, block] : season.blocks()) {
      const auto it = first_after(block.tag_counts, begins - season_gap_ms);
      if (it == block.tag_counts.end() || it->at_ms() >= begins) continue;
      begins = it->at_ms();
      moved = true;
    }
  }
  return begins;
}

std::size_t counts_before(const Season& season, std::int64_t since_ms) {
  std::size_t counts = 0;
  for (const auto& [id, block] : season.blocks()) {
    const auto end = first_after(block.tag_counts, since_ms);
    counts += static_cast<std::size_t>(std::count_if(
        block.tag_counts.begin(), end, [](const auto& entry) { return !entry.withdrawn; }));
  }
  return counts;
}

}  // namespace nthtree::ledger
