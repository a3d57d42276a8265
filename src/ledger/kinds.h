// SPDX-License-Identifier: Apache-2.0
//
// Every kind of record, declared once: its name on the wire, and what the season does with it.
// Body, reading, writing, the schema, the season's lists, its fingerprint and the hand-over from
// phone to phone all follow from this table; a kind whose row, fields (body_fields.cpp) or list
// (block_season.h) is missing does not compile.
//
//   if constexpr (is_listed<T>) entries_of<T>(block).push_back(entry);
//   each_list(block, [&](const auto& entries) { size += entries.size(); });
#pragma once

#include <array>
#include <concepts>
#include <string_view>
#include <tuple>
#include <variant>

#include "ledger/block_season.h"

namespace nthtree::ledger {

// The latest record of a key() wins as a whole. Handed over with whatever is: nothing else is
// understood without it.
template <typename T>
struct Settings {
  using Body = T;
  std::string_view name;
};

// Every record stands in this list of its block. Handed over with the day it was written on.
template <typename T>
struct Listed {
  using Body = T;
  std::string_view name;
  Entries<T> BlockSeason::*list;
};

// Leaves nothing of its own in the season.
template <typename T>
struct Passing {
  using Body = T;
  std::string_view name;
};

// ---- DO NOT CHANGE below this line: add rows at the end, never rename, reorder or reuse one. ----

inline constexpr std::tuple kinds{
    Passing<Unknown>{""},
    Settings<FarmSettings>{"farm"},
    Settings<BlockSettings>{"block"},
    Settings<PersonSettings>{"person"},
    Listed<BudSample>{"bud_sample", &BlockSeason::bud_samples},
    Listed<BeforeCount>{"before_count", &BlockSeason::before_counts},
    Listed<TagCount>{"tag_count", &BlockSeason::tag_counts},
    Listed<CheckCount>{"check_count", &BlockSeason::check_counts},
    Listed<Advice>{"advice", &BlockSeason::advice},
    Listed<WorkSpell>{"work_spell", &BlockSeason::work_spells},
    Listed<BlockProgress>{"block_progress", &BlockSeason::progress},
    Listed<GrowthStage>{"growth_stage", &BlockSeason::growth_stages},
    Listed<ClusterCount>{"cluster_count", &BlockSeason::cluster_counts},
    Listed<HarvestCount>{"harvest_count", &BlockSeason::harvest_counts},
    Listed<ReturnBloom>{"return_bloom", &BlockSeason::return_bloom},
    Listed<ExerciseCount>{"exercise_count", &BlockSeason::exercise_counts},
    Passing<Withdrawal>{"withdrawal"},
    Settings<VarietySettings>{"variety"},
    Listed<RowDone>{"row_done", &BlockSeason::rows_done},
    Listed<TreeState>{"tree_state", &BlockSeason::tree_states},
    Listed<PartCount>{"part_count", &BlockSeason::part_counts},
    Listed<PartCheck>{"part_check", &BlockSeason::part_checks},
    Listed<EyeScore>{"eye_score", &BlockSeason::eye_scores},
    Listed<TreeSize>{"tree_size", &BlockSeason::tree_sizes},
    Listed<FrostSample>{"frost_sample", &BlockSeason::frost_samples},
    Settings<Temperatures>{"temperatures"},
    Settings<SeasonClosed>{"season_closed"},
    Listed<PartClusters>{"part_clusters", &BlockSeason::part_clusters},
};

// ---- DO NOT CHANGE above this line. ----

// Calls visit(row) for every kind, in order.
template <typename Visit>
constexpr void each_kind(Visit&& visit) {
  std::apply([&](const auto&... row) { (visit(row), ...); }, kinds);
}

// The names by index of Body; that of Unknown is empty.
inline constexpr auto kind_names =
    std::apply([](const auto&... row) { return std::array{row.name...}; }, kinds);

namespace internal {
template <typename... Rows>
std::variant<typename Rows::Body...> body_of(const std::tuple<Rows...>&);

// The place of T's row in the table; its length where T has none.
template <typename T, typename... Rows>
constexpr std::size_t index_in(const std::tuple<Rows...>&) {
  std::size_t index = 0;
  (void)((std::same_as<T, typename Rows::Body> || (++index, false)) || ...);
  return index;
}
}  // namespace internal

// What a record says: one of the kinds.
using Body = decltype(internal::body_of(kinds));

// A kind as index of Body, and its row.
template <typename T>
inline constexpr std::size_t body_index = internal::index_in<T>(kinds);
template <typename T>
inline constexpr const auto& kind_of = std::get<body_index<T>>(kinds);

template <typename T>
concept is_listed = requires { kind_of<T>.list; };
template <typename T>
concept is_settings = std::same_as<std::remove_cvref_t<decltype(kind_of<T>)>, Settings<T>>;

// The list of one kind in a block, const or not.
template <typename T, typename Block>
auto& entries_of(Block& block) {
  return block.*kind_of<T>.list;
}

// Calls visit(entries) for every list of a block, in the order of the kinds.
template <typename Block, typename Visit>
void each_list(Block& block, Visit&& visit) {
  each_kind([&](const auto& row) {
    if constexpr (requires { row.list; }) visit(block.*row.list);
  });
}

}  // namespace nthtree::ledger
