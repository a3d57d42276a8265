// SPDX-License-Identifier: Apache-2.0
#include "ledger/season_span.h"

#include <algorithm>
#include <limits>

#include "base/clock.h"

namespace nthtree::ledger {
namespace {

constexpr std::int64_t none = std::numeric_limits<std::int64_t>::min();
constexpr std::int64_t latest = std::numeric_limits<std::int64_t>::max();
// No count on the whole farm for four months: what comes after is another season's pruning.
constexpr std::int64_t season_gap_ms = 120 * base::day_ms;

// At one end of nearly every list, which a farm of hundreds of blocks need not search for.
template <typename T>
auto first_after(const Entries<T>& counts, std::int64_t ms) {
  if (counts.empty() || counts.back().at_ms() < ms) return counts.end();
  if (counts.front().at_ms() >= ms) return counts.begin();
  return std::lower_bound(counts.begin(), counts.end(), ms,
                          [](const auto& e, std::int64_t at) { return e.at_ms() < at; });
}

// Calls visit(entries) for the lists that hold pruners' counts: of whole trees, of some limbs.
template <typename Visit>
void each_count_list(const Season& season, Visit&& visit) {
  for (const auto& held : season.blocks()) {
    visit(held.second.tag_counts);
    visit(held.second.part_counts);
  }
}

}  // namespace

std::int64_t season_begins(const Season& season, std::int64_t cut_ms) {
  std::int64_t begins = none;
  each_count_list(season, [&](const auto& counts) {
    const auto end = first_after(counts, cut_ms == latest ? latest : cut_ms + 1);
    if (end != counts.begin()) begins = std::max(begins, end[-1].at_ms());
  });
  for (bool moved = begins != none; moved;) {
    moved = false;
    each_count_list(season, [&](const auto& counts) {
      const auto it = first_after(counts, begins - season_gap_ms);
      if (it == counts.end() || it->at_ms() >= begins) return;
      begins = it->at_ms();
      moved = true;
    });
  }
  return begins;
}

std::size_t counts_before(const Season& season, std::int64_t since_ms) {
  std::size_t before = 0;
  each_count_list(season, [&](const auto& counts) {
    const auto end = first_after(counts, since_ms);
    before += static_cast<std::size_t>(std::count_if(
        counts.begin(), end, [](const auto& entry) { return !entry.withdrawn; }));
  });
  return before;
}

}  // namespace nthtree::ledger
